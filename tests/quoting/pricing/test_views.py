"""The page on which a studio says what clients see."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from quoting.models import DeliveryBand, Rates
from quoting.pricing.rates import bands_of
from quoting.quotes import sheet
from tests.people import House
from tests.quoting import scenes
from tests.quoting.client_page.test_views import text_of

pytestmark = pytest.mark.django_db
D = Decimal
SAID: dict[str, Any] = {
    "client_view": "group", "clients_see_counts": "on", "rounding_step": "5", "deposit_amount": "$150",
    "delivery_by": "bands", "up_to_1": "10", "price_1": "40", "up_to_2": "25.5", "price_2": "$62.50",
}  # fmt: skip


def post(house: House, **changed: str) -> Any:
    return house.client().post(house.url("quoting:client-terms"), {**SAID, **changed})


def test_it_is_the_owner_s(wickerlark: House) -> None:
    address = wickerlark.url("quoting:client-terms")
    assert [wickerlark.client(who).get(address).status_code for who in ("owner", "staff", "crew")] == [
        200,
        403,
        403,
    ]


def test_what_is_said_is_kept_and_read_back(wickerlark: House) -> None:
    assert post(wickerlark).status_code == 302
    assert post(wickerlark).status_code == 302, "a second time changes nothing"
    with wickerlark.enter():
        kept = Rates.objects.get()
        assert (kept.client_view, kept.clients_see_counts, kept.clients_see_hours) == ("group", True, False)
        assert (kept.rounding_step, kept.deposit_amount) == (D(5), D(150))
        assert [(band.up_to, band.price) for band in bands_of(kept) or ()] == [
            (D(10), D(40)),
            (D("25.5"), D("62.5")),
        ]
    page = wickerlark.client().get(wickerlark.url("quoting:client-terms")).content.decode()
    for shown in ('value="25.5"', 'value="$62.50"', 'value="$150.00"'):
        assert shown in page


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"up_to_2": "10"}, "Enter more than 10"),
        ({"up_to_2": "8"}, "Enter more than 10"),
        ({"price_2": ""}, "Enter the price up to this distance"),
        ({"up_to_2": ""}, "Enter up to how far this price holds"),
        ({"price_1": "-4"}, "At least $0.00"),
        ({"up_to_1": "", "price_1": "", "up_to_2": "", "price_2": ""}, "Enter at least one distance"),
        ({"deposit_amount": "-5"}, "At least $0.00"),
        ({"deposit_amount": "lots"}, "is no amount of money"),
        ({"rounding_step": "-5"}, "Select a valid choice"),
        ({"client_view": "nothing"}, "Select a valid choice"),
    ],
)
def test_what_cannot_be_is_said_at_its_field_and_all_that_was_typed_stays(
    wickerlark: House, typed: dict[str, str], words: str
) -> None:
    answer = post(wickerlark, **typed)
    assert answer.status_code == 422
    assert words in text_of(answer.content)
    page = answer.content.decode()
    left = {
        name: value for name, value in {**SAID, **typed}.items() if name[:2] in ("up", "pr", "de") and value
    }
    del left["delivery_by"]
    for value in left.values():
        assert f'value="{value}"' in page
    with wickerlark.enter():
        assert not Rates.objects.exists()
        assert not DeliveryBand.objects.exists()


def test_the_database_refuses_two_bands_of_one_distance_and_a_negative_price(wickerlark: House) -> None:
    with wickerlark.enter():
        DeliveryBand.objects.create(up_to=D(10), price=D(40))
        for up_to, price in (("10", "41"), ("20", "-1"), ("0", "5")):
            with pytest.raises(IntegrityError), transaction.atomic():
                DeliveryBand.objects.create(up_to=D(up_to), price=D(price))


def test_a_quote_takes_the_bands_and_the_rounding(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
    post(wickerlark)
    with wickerlark.enter():
        read = sheet.read_sheet(sheet.find_quote(quote.pk), wickerlark.studio)
        assert read.bands is not None
        assert read.tape.net % 5 == 0
