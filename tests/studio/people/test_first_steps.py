"""A new studio's owner reads on the opening page what to do first, until they put the list away."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied

from quoting.pricing import rates as rating
from stock.first_shelf import setting_up
from stock.first_shelf.setting_up import Owned
from stock.models import Item
from studio.models import Studio, entered_studio
from studio.people import first_steps, taxes
from tests.people import House
from tests.quoting import scenes

pytestmark = pytest.mark.django_db


@pytest.fixture
def new(wickerlark: House) -> House:
    """A studio that has just been opened."""
    with wickerlark.enter():
        Studio.objects.filter(pk=wickerlark.studio.pk).update(first_steps_open=True, address="", country="")
    return wickerlark


def done(house: House) -> list[bool]:
    with house.enter():
        return [step.is_done for step in first_steps.find_first_steps()]


def test_each_step_is_done_by_doing_it(new: House) -> None:
    assert done(new) == [False] * 7
    with new.enter():
        Studio.objects.filter(pk=new.studio.pk).update(country="US")
    assert done(new) == [True, *[False] * 6]
    with new.enter():
        Studio.objects.filter(pk=new.studio.pk).update(address="1 Quay Street")
    assert done(new) == [True, True, *[False] * 5]
    with new.enter():
        taxes.add_tax(name="No VAT", percent=Decimal(0), is_default=True)
    assert done(new) == [True] * 3 + [False] * 4
    with new.enter():
        setting_up.set_up(Owned(things={"ladder-6ft": 1}))
    assert done(new) == [True] * 4 + [False] * 3
    with new.enter():
        setting_up.check_costs({Item.objects.get().pk: Decimal(80)})
    assert done(new) == [True] * 5 + [False] * 2
    with new.enter():
        rating.keep_rates(rating.rates_of(entered_studio()))
    assert done(new) == [True] * 6 + [False]
    with new.enter():
        scenes.event()
    assert done(new) == [True] * 7


def test_the_opening_page_shows_the_steps_to_the_owner_alone(new: House) -> None:
    week = new.url("events:week")
    page = new.client().get(week).content.decode()
    assert "First steps" in page
    for words in ("Say what you have", "Set your rates", "Put this list away"):
        assert words in page
    assert "First steps" not in new.client("staff").get(week).content.decode()
    assert "First steps" not in new.client("crew").get(week).content.decode()


def test_a_list_that_was_put_away_stays_away(new: House) -> None:
    client = new.client()
    assert client.post(new.url("studio:first-steps-away")).status_code == 302
    assert client.post(new.url("studio:first-steps-away")).status_code == 302
    assert "First steps" not in client.get(new.url("events:week")).content.decode()
    assert done(new) == []


def test_staff_put_nothing_away(new: House) -> None:
    assert new.client("staff").post(new.url("studio:first-steps-away")).status_code == 403
    with new.enter("staff"), pytest.raises(PermissionDenied):
        first_steps.put_away()
    assert len(done(new)) == 7


def test_a_studio_that_has_long_been_open_sees_no_steps(wickerlark: House) -> None:
    assert done(wickerlark) == []


def strip(house: House, page: str) -> str:
    shown = house.client().get(house.url(page)).content.decode()
    return shown.partition('<nav class="first-steps-strip')[2].partition("</nav>")[0]


def test_the_page_of_a_step_says_which_it_is_and_leads_to_the_next_open_one(new: House) -> None:
    assert "1 of 7: open" in " ".join(strip(new, "studio:country").split())
    with new.enter():
        Studio.objects.filter(pk=new.studio.pk).update(country="US", address="1 Quay Street")
    brand = strip(new, "studio:profile")
    assert "2 of 7" in brand
    assert "Next: Set your tax" in brand
    assert "Next: Say what you have" in strip(new, "studio:money")
    assert "Next: Set your tax" in strip(new, "events:enquiry-add")
    assert strip(new, "studio:hours") == ""


def test_the_way_through_the_steps_ends_when_the_list_is_put_away(new: House) -> None:
    new.client().post(new.url("studio:first-steps-away"))
    assert strip(new, "studio:profile") == ""
