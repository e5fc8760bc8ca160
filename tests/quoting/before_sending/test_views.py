"""The page of what is open: a field for each point, errors at the field, and the owner's word."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from quoting.models import Offer, Quote, Rates
from quoting.pricing import rates as rating
from quoting.pricing.instalments import Instalment, read
from quoting.quotes import adjusting, sheet
from stock.models import Item
from studio.models import TaxRate, entered_studio
from tests.people import House
from tests.quoting import offer_scenes

pytestmark = pytest.mark.django_db


@pytest.fixture
def unsettled(wickerlark: House) -> Quote:
    """A quote with one point open of every matter."""
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        Item.objects.filter(code="frame-arch-7ft").update(unit_cost=None, expected_uses=None)
        TaxRate.objects.update(retired_at=timezone.now(), is_default=False)
        rates = rating.rates_of(entered_studio())
        rates.strike_hour, rates.margin_floor_percent = Decimal(0), Decimal(90)
        rating.keep_rates(rates)
        today = timezone.now().astimezone(entered_studio().tz).date()
        return adjusting.set_payment(
            quote.pk,
            deposit_percent=None,
            version=quote.version,
            instalments=[Instalment(Decimal(20), today)],
        )


def address(house: House, quote: Quote) -> str:
    return house.url("quoting:quote-before-sending", quote.pk)


def filled(quote: Quote, **changed: str) -> dict[str, str]:
    today = timezone.now().date().isoformat()
    with_day = {f"day-{read(quote.instalments)[0].due_on.isoformat()}-day": changed.pop("day", "")}
    return {
        "version": str(quote.version),
        "cost-frame-arch-7ft-cost": "120",
        "cost-frame-arch-7ft-uses": "",
        "hour-strike-hour": "20",
        "tax-name": "Sales tax",
        "tax-percent": "6.25",
        **with_day,
        **changed,
        "today": today,
    }


def test_offering_leads_to_the_page_which_names_every_point(wickerlark: House, unsettled: Quote) -> None:
    client = wickerlark.client()
    pressed = client.post(wickerlark.url("quoting:offer-make", unsettled.pk), {"version": unsettled.version})
    assert pressed.status_code == 302
    assert pressed["Location"] == address(wickerlark, unsettled)
    page = client.get(pressed["Location"]).content.decode()
    for words in (
        "Not sent yet", "No cost is known for Arch frame 7 ft", "Strike has no rate", "No tax is set up",
        "The smallest that you want is 90 %", "That day has come already", "Make the offer on my word",
    ):  # fmt: skip
        assert words in page
    with wickerlark.enter():
        assert not Offer.objects.exists()


def test_what_is_filled_in_is_saved_where_it_belongs(wickerlark: House, unsettled: Quote) -> None:
    later = timezone.now().date() + timedelta(days=5)
    answer = wickerlark.client().post(
        address(wickerlark, unsettled), filled(unsettled, day=later.isoformat())
    )
    assert answer.status_code == 302
    with wickerlark.enter():
        assert Item.objects.get(code="frame-arch-7ft").unit_cost == 120
        assert Rates.objects.get().strike_hour == 20
        assert TaxRate.objects.get(is_default=True).percent == Decimal("6.25")
        quote = sheet.find_quote(unsettled.pk)
        assert [one.due_on for one in read(quote.instalments)] == [later]
        again = sheet.read_sheet(quote, entered_studio())
        assert quote.priced_total == again.whole_tape.total
        frames = next(line for line in again.whole_tape.lines if line.part == "frames")
        # By hand: two frames of 120; one over its 40 uses, one over the studio's usual 25.
        assert frames.cost == Decimal(120) / 40 + Decimal(120) / 25


def test_a_fault_stands_at_its_field_and_nothing_is_saved(wickerlark: House, unsettled: Quote) -> None:
    said = filled(unsettled, **{"cost-frame-arch-7ft-cost": "12o", "tax-name": "Levy", "tax-percent": ""})
    answer = wickerlark.client().post(address(wickerlark, unsettled), said)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "12o" in page
    assert "Levy" in page
    assert "Enter the rate." in page
    with wickerlark.enter():
        assert Item.objects.get(code="frame-arch-7ft").unit_cost is None
        assert Rates.objects.get().strike_hour == 0


def test_a_day_that_has_passed_is_refused(wickerlark: House, unsettled: Quote) -> None:
    past = (timezone.now().date() - timedelta(days=5)).isoformat()
    answer = wickerlark.client().post(address(wickerlark, unsettled), filled(unsettled, day=past))
    assert answer.status_code == 422
    assert "Choose a day after today." in answer.content.decode()


def test_the_owner_sends_it_on_their_word_and_the_offer_shows_it(wickerlark: House, unsettled: Quote) -> None:
    client = wickerlark.client()
    page = client.get(address(wickerlark, unsettled))
    word = page.context["word"]
    said = {
        "version": unsettled.version, "after_version": "0", "word": "1", "seen": word["seen"].value(),
        **dict.fromkeys(("cost", "hours", "tax", "margin", "instalment"), "on"),
    }  # fmt: skip
    make = wickerlark.url("quoting:offer-make", unsettled.pk)
    without = client.post(make, said)
    assert without.status_code == 422
    assert "Enter why it goes out like this." in without.content.decode()
    assert without.content.decode().count("checked") >= 5, "what was ticked stays"
    sent = client.post(make, {**said, "reason": "A gift to the library"})
    assert sent.status_code == 302
    with wickerlark.enter():
        offer = Offer.objects.get()
    shown = client.get(wickerlark.url("quoting:offer", offer.pk)).content.decode()
    assert "Reason: A gift to the library" in shown
    staff = wickerlark.client("staff").get(wickerlark.url("quoting:offer", offer.pk)).content.decode()
    assert "A gift to the library" not in staff, "the margin is the owner's to see"


def test_one_box_left_open_sends_nothing(wickerlark: House, unsettled: Quote) -> None:
    client = wickerlark.client()
    word = client.get(address(wickerlark, unsettled)).context["word"]
    said = {"word": "1", "seen": word["seen"].value(), "cost": "on", "tax": "on", "reason": "Why not"}
    sent = client.post(wickerlark.url("quoting:offer-make", unsettled.pk), said)
    assert sent["Location"] == address(wickerlark, unsettled)
    with wickerlark.enter():
        assert not Offer.objects.exists()


def test_staff_see_what_is_open_without_figures_and_can_only_move_days(
    wickerlark: House, unsettled: Quote
) -> None:
    client = wickerlark.client("staff")
    page = client.get(address(wickerlark, unsettled)).content.decode()
    assert "The margin is below the studio" in page
    assert "90 %" not in page
    assert "Make the offer on my word" not in page
    assert "cost-frame-arch-7ft-cost" not in page
    later = (timezone.now().date() + timedelta(days=5)).isoformat()
    assert client.post(address(wickerlark, unsettled), filled(unsettled, day=later)).status_code == 302
    with wickerlark.enter():
        assert Item.objects.get(code="frame-arch-7ft").unit_cost is None
        assert read(sheet.find_quote(unsettled.pk).instalments)[0].due_on.isoformat() == later


def test_the_page_says_when_nothing_is_open(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
    page = wickerlark.client().get(address(wickerlark, quote)).content.decode()
    assert "Nothing is open" in page
    assert "Make an offer" in page


def test_crew_and_other_studios_find_nothing_there(
    wickerlark: House, federkorn: House, unsettled: Quote
) -> None:
    assert wickerlark.client("crew").get(address(wickerlark, unsettled)).status_code in (403, 404)
    assert federkorn.client().get(address(federkorn, unsettled)).status_code == 404
