"""What wind and helium ask for, from the price to the van: on the bill, held, loaded, and on every sheet."""

from __future__ import annotations

import io
import re
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from pypdf import PdfReader

from events.models import BillRow, Event, LoadOutLine, Venue
from events.models.venue import Setting
from events.schedule import run_sheet
from quoting.build_sheet import sheets
from quoting.craft.design.design_file import load_design
from quoting.design_library import library
from quoting.models import Quote
from quoting.offers import offering
from quoting.quotes import sheet, sketch
from stock.models import HoldLine, Kind
from studio.models import entered_studio
from studio.people import taxes
from studio.trade.cautions import HELIUM
from tests import shelf
from tests.events.conftest import printed
from tests.people import House
from tests.quoting import offer_scenes, scenes
from tests.quoting.quotes.test_options import agree

pytestmark = pytest.mark.django_db

FIXED = ("ballast-kg", "foot-fixing", "helium-cylinder-10l")


def terrace_quote(house: House, setting: Setting = Setting.OUTDOOR, *, stocked: bool = True) -> Quote:
    """The terrace frame with its two bouquets at a gust of 9 m/s; ballast is on the shelf, fixings and gas are not."""
    Venue.objects.get_or_create(name="Reading room", defaults={"setting": setting, "drive_minutes": 25})
    scenes.stocked()
    taxes.add_tax(name="Sales tax", percent=Decimal("6.25"), is_default=True)
    if stocked:
        slabs = shelf.thing(
            Kind.HARDWARE, "Ballast slabs", code="ballast-kg", unit_cost=Decimal(2), expected_uses=10
        )
        shelf.put([(slabs, 900)])
    design = load_design(library.STARTERS / "terrace-frame-bouquets.json")
    return sketch.start_quote(scenes.event(), library.keep_design(design, house.studio))


def agreed_event(house: House, setting: Setting = Setting.OUTDOOR) -> Event:
    with house.enter():
        quote = terrace_quote(house, setting)
        offer_scenes.plan_all(quote)
        offer = offering.offer(quote).offer
    agree(house, offer)
    return offer.quote.event


def test_ballast_is_priced_by_the_kilogram(wickerlark: House) -> None:
    """Ten uses of slabs at 2.00 a kilogram: 20 cents a kilogram of the frames' cost."""
    with wickerlark.enter():
        quote = terrace_quote(wickerlark)
        read = sheet.read_sheet(sheet.find_quote(quote.pk), entered_studio())
        goods = [one for share in read._shares(0, read.pieces[0]) for one in share.goods]
    ballast = next(one for one in goods if one.code == "ballast-kg")
    assert ballast.cost / ballast.per == Decimal("0.2")
    assert ballast.quantity == read.needs["ballast-kg"] > 50


def test_what_is_agreed_is_held_loaded_and_never_dropped(wickerlark: House) -> None:
    event = agreed_event(wickerlark)
    with wickerlark.enter():
        bill = dict(BillRow.objects.filter(event=event).values_list("code", "quantity"))
        short = dict(BillRow.objects.filter(event=event).values_list("code", "short"))
        loaded = {line.code: line for line in LoadOutLine.objects.filter(event=event)}
        held = dict(
            HoldLine.objects.filter(hold=Event.objects.get(pk=event.pk).hold_id).values_list(
                "item__code", "quantity"
            )
        )
    assert set(FIXED) <= set(bill)
    assert set(FIXED) <= set(loaded)
    assert held["ballast-kg"] == bill["ballast-kg"] == loaded["ballast-kg"].quantity
    assert "to hire or buy" not in loaded["ballast-kg"].detail
    for code in FIXED[1:]:
        assert loaded[code].detail.startswith("to hire or buy")
        assert short[code] == bill[code]


def test_the_quote_names_what_the_shelf_lacks(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = terrace_quote(wickerlark, stocked=False)
    html = wickerlark.client().get(wickerlark.url("quoting:quote", quote.pk)).content.decode()
    assert re.search(r"not in stock list, to hire or buy:\s*\d+", html)


def test_run_sheet_says_when_to_take_down_and_minds_the_gas(wickerlark: House) -> None:
    """9 m/s are 20.1 mph: 60 % of it is 12.08, 80 % is 16.1."""
    event = agreed_event(wickerlark)
    words = "Watch the wind from a gust of 12 mph. Take everything down at 16 mph."
    page = wickerlark.client("crew").get(wickerlark.url("events:run-sheet", event.pk)).content.decode()
    assert words in page
    assert HELIUM.text in page.replace("&#x27;", "'")
    paper = printed(wickerlark, wickerlark.client(), event, "run-sheet")
    text = " ".join(" ".join(each.extract_text() for each in PdfReader(io.BytesIO(paper)).pages).split())
    assert words in text


def test_indoors_no_sheet_speaks_of_wind(wickerlark: House) -> None:
    event = agreed_event(wickerlark, Setting.INDOOR)
    with wickerlark.enter():
        made = run_sheet.find_run_sheet(event, wickerlark.studio)
        codes = set(BillRow.objects.filter(event=event).values_list("code", flat=True))
    assert not any("gust" in caution for caution in made.cautions)
    assert {"helium-cylinder-10l", "bouquet-weight"} <= codes
    assert not {"ballast-kg", "foot-fixing"} & codes


def test_the_build_sheet_says_what_holds_the_piece(wickerlark: House) -> None:
    event = agreed_event(wickerlark)
    with wickerlark.enter():
        quote = Quote.objects.get(event=event)
        pdf = sheets.rendered(quote, sheets.pieces(quote, "feet", []), [], wickerlark.studio)
    html = wickerlark.client("crew").get(wickerlark.url("quoting:build-sheet", quote.pk)).content.decode()
    text = " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages).split())
    for shown in (html, text):
        assert re.search(r"\d+ lb of ballast on the feet", shown)
        assert re.search(r"Left bouquet: \d+ lb of ballast", shown)
        assert "Take it down at 16 mph." in shown


def test_limits_of_many_events_take_one_query(wickerlark: House) -> None:
    event = agreed_event(wickerlark)
    with wickerlark.enter():
        events = [event, scenes.event("Second"), scenes.event("Third")]
        counts = []
        for some in (events[:1], events):
            with CaptureQueriesContext(connection) as queries:
                run_sheet.find_run_sheets(some, wickerlark.studio)
            counts.append(len(queries))
    assert counts[0] == counts[1]
