"""What is hired out has its price for an event or for each day of use; what it costs stays as it is."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction

from events.models import Event
from quoting.pricing.tape import TapeLine
from quoting.quotes import sheet
from stock.models import HirePer, Item, Kind
from tests.people import House
from tests.quoting import scenes

pytestmark = pytest.mark.django_db
D = Decimal


def frames_of(house: House, quote_id: int) -> TapeLine:
    read = sheet.read_sheet(sheet.find_quote(quote_id), house.studio)
    return next(line for line in read.whole_tape.lines if line.part == "frames")


@pytest.mark.parametrize(
    ("hours", "days"), [(1, 1), (24, 1), (24.5, 2), (48, 2), (49, 3)], ids=lambda value: f"{value}"
)
def test_each_begun_day_of_use_is_charged(wickerlark: House, hours: float, days: int) -> None:
    """A day of 24 hours from access to the end of the take-down: common practice, no source."""
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        event = Event.objects.get(pk=quote.event_id)
        out = event.access_from + timedelta(hours=hours)
        step = (out - event.access_from) / 4
        Event.objects.filter(pk=event.pk).update(
            ready_by=event.access_from + step, guests_from=None, strike_from=out - step, out_by=out,
            back_at=out + timedelta(hours=1),
        )  # fmt: skip
        hired = Item.objects.filter(kind__in=[Kind.FRAME, Kind.COVER])
        hired.update(price_per_use=D("12.50"), hire_per=HirePer.EVENT)
        once = frames_of(wickerlark, quote.pk)
        hired.update(hire_per=HirePer.DAY)
        daily = frames_of(wickerlark, quote.pk)
        assert sheet.read_sheet(sheet.find_quote(quote.pk), wickerlark.studio).days == days
    assert daily.amount - once.amount == D("50.00") * (days - 1), "two frames and two covers; the clips stay"
    assert daily.cost == once.cost, "the margin is over what it costs, not over what it brings"


def test_the_database_refuses_a_negative_hire_price(wickerlark: House) -> None:
    with wickerlark.enter():
        scenes.quote(wickerlark)
        with pytest.raises(IntegrityError), transaction.atomic():
            Item.objects.filter(kind=Kind.FRAME).update(price_per_use=D(-1))


def test_the_form_of_a_frame_asks_for_its_hire_price_and_that_of_latex_does_not(wickerlark: House) -> None:
    with wickerlark.enter():
        scenes.quote(wickerlark)
        frame, latex = (Item.objects.filter(kind=kind)[0] for kind in (Kind.FRAME, Kind.LATEX))
    browser = wickerlark.client()
    page = browser.get(wickerlark.url("stock:item-change", frame.pk)).content.decode()
    assert "Hire price to clients" in page
    assert "A day of use is each begun 24 hours" in page.replace("\n", " ")
    assert (
        'name="hire_per"' not in browser.get(wickerlark.url("stock:item-change", latex.pk)).content.decode()
    )
