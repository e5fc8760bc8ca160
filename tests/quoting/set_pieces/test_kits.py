"""A kit that a design asks for is priced, looked for on the shelf and offered as its parts."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from msgspec import structs

from quoting.models import Quote
from quoting.offers.freezing import frozen_copy
from quoting.quotes import sheet, sketch
from stock.kits import kits
from stock.models import Item, Kind
from tests.people import House
from tests.quoting import scenes

pytestmark = pytest.mark.django_db


def with_kit(house: House, code: str) -> Quote:
    """A quote whose frames are asked for as two of a kit."""
    quote = scenes.quote(house)
    piece = quote.pieces.get()
    frames = [line for line in piece.takeoff.bill if line.part == "frames"]
    others = [line for line in piece.takeoff.bill if line.part != "frames"]
    asked = structs.replace(frames[0], code=code, label="Frame set", quantity=2)
    piece.takeoff = structs.replace(piece.takeoff, bill=(*others, asked))
    piece.save()
    return sheet.find_quote(quote.pk)


def frame_set() -> tuple[Item, Item]:
    """A frame with two of a cover, as a kit."""
    frame, cover = (Item.objects.filter(kind=kind).order_by("pk")[0] for kind in (Kind.FRAME, Kind.COVER))
    kits.save_kit(None, name="Frame set", note="", parts={frame.pk: 1, cover.pk: 2})
    return frame, cover


def test_price_shelf_and_offer_know_the_parts_of_a_kit(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = with_kit(wickerlark, "kit-frame-set")
        frame, cover = frame_set()
        read = sheet.read_sheet(quote, wickerlark.studio)
        assert (read.needs[frame.code], read.needs[cover.code]) == (2, 4)
        assert "kit-frame-set" not in read.needs
        assert "Frame set" not in read.unpriced
        assert read.labels[cover.code] == cover.name
        bill = frozen_copy(sheet.find_quote(quote.pk)).bill
        assert {line.code: line.quantity for line in bill}[cover.code] == 4
    page = wickerlark.client().get(wickerlark.url("quoting:quote", quote.pk)).content.decode()
    assert f'data-code="{cover.code}"' in page
    assert 'data-code="kit-frame-set"' not in page


def test_a_kit_that_is_not_known_is_called_so(wickerlark: House) -> None:
    with wickerlark.enter():
        read = sheet.read_sheet(with_kit(wickerlark, "kit-nothing"), wickerlark.studio)
        assert read.needs["kit-nothing"] == 2
        assert "Frame set" in read.unpriced


def test_a_kit_costs_one_query_and_none_where_there_is_none(wickerlark: House) -> None:
    with wickerlark.enter():
        frame_set_first = scenes.quote(wickerlark)
        frame_set()
        counts = []
        for quote in (sheet.find_quote(frame_set_first.pk), with_kit(wickerlark, "kit-frame-set")):
            with CaptureQueriesContext(connection) as caught:
                sheet.read_sheet(quote, wickerlark.studio)
            counts.append(len(caught))
    assert counts[1] == counts[0] + 1


def test_a_sketch_with_a_kit_can_be_changed(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = with_kit(wickerlark, "kit-frame-set")
        frame_set()
        before = quote.priced_total
        changed = sketch.set_way(quote.pk, distance_m=9000, drive_minutes=30, trips=2, version=quote.version)
        assert changed.priced_total is not None
        assert changed.priced_total != before
