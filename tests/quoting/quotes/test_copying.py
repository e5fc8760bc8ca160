"""A quote taken over to another event, and how likely quotes come about."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from events.jobs import calling_off
from events.models import Stage, Venue
from quoting.models import Quote
from quoting.quotes import adjusting, copying, sketch, steps
from tests.people import House
from tests.quoting import scenes
from tests.quoting.quote_page.test_call_limits import MARKS

pytestmark = pytest.mark.django_db
D = Decimal


def full(house: House) -> Quote:
    """A quote with a made-to-measure piece, a free line, a discount and a price set by hand."""
    quote = scenes.quote(house)
    piece = quote.pieces.get()
    quote = sketch.alter_piece(quote.pk, piece.pk, {"fullness": 0.8}, version=quote.version)
    quote = sketch.add_free_line(
        quote.pk, label="Hired plinth", quantity=D(2), unit_price=D(30), tax_id=None, version=quote.version
    )
    quote = adjusting.set_by_hand(quote.pk, "hands", amount=D(99), reason="a friend", version=quote.version)
    return adjusting.adjust(
        quote.pk,
        rush_percent=D(0),
        discount_percent=D(10),
        discount_amount=D(0),
        reason="a friend",
        version=quote.version,
    )


def test_pieces_and_lines_come_along_and_what_was_arranged_stays_behind(wickerlark: House) -> None:
    with wickerlark.enter():
        source = full(wickerlark)
        terrace = Venue.objects.create(name="Terrace", drive_minutes=50, setting="outdoor")
        other = scenes.event("Harvest supper")
        other.venue = terrace
        other.save()
        made = copying.copy_quote(source.pk, other)
        source.refresh_from_db()
        piece, copied = source.pieces.get(), made.pieces.get()
        assert copied.pk != piece.pk
        assert copied.design["garlands"] == piece.design["garlands"], "fullness and all"
        assert (copied.width_m, copied.height_m) == (piece.width_m, piece.height_m)
        assert copied.design["site"]["outdoors"]
        assert not piece.design["site"].get("outdoors")
        line = made.free_lines.get()
        assert (line.label, line.quantity, line.unit_price) == ("Hired plinth", D(2), D(30))
        assert (made.title, made.drive_minutes, made.version) == ("Harvest supper", 50, 1)
        assert (made.discount_percent, made.by_hand, made.instalments) == (D(0), {}, [])
        assert copied.by_hand == {}
        assert made.priced_total is not None
        assert source.priced_total is not None
        assert made.priced_total > source.priced_total
        other.refresh_from_db()
        assert other.stage == Stage.SKETCH
        assert (source.pieces.count(), source.free_lines.count()) == (1, 1), "nothing was moved"


def test_nothing_is_copied_to_an_event_that_was_called_off(wickerlark: House) -> None:
    with wickerlark.enter():
        source = scenes.quote(wickerlark)
        other = scenes.event("Harvest supper")
        calling_off.call_off(other.pk, why="rain")
        other.refresh_from_db()
        with pytest.raises(steps.ClosedSketch, match="This event was canceled"):
            copying.copy_quote(source.pk, other)
        assert Quote.objects.count() == 1


def test_the_page_offers_coming_events_and_a_press_leads_to_the_copy(wickerlark: House) -> None:
    with wickerlark.enter():
        source = scenes.quote(wickerlark)
        other = scenes.event("Harvest supper")
    staff = wickerlark.client("staff")
    page = staff.get(wickerlark.url("quoting:quote-copy", source.pk)).content.decode()
    assert "Harvest supper" in page
    assert f'href="{wickerlark.url("events:event", source.event_id)}"' not in page, "not to its own event"
    answer = staff.post(wickerlark.url("quoting:quote-start", other.pk), {"quote": source.pk})
    with wickerlark.enter():
        made = Quote.objects.get(event=other)
    assert answer.headers["Location"] == wickerlark.url("quoting:quote", made.pk)
    assert wickerlark.client("crew").get(wickerlark.url("quoting:quote-copy", source.pk)).status_code == 403
    assert staff.get(wickerlark.url("quoting:quote-copy", 999_999)).status_code == 404
    assert staff.post(wickerlark.url("quoting:quote-start", other.pk), {"quote": 999_999}).status_code == 404


def test_the_page_takes_as_many_queries_with_many_events(wickerlark: House) -> None:
    with wickerlark.enter():
        source = scenes.quote(wickerlark)
        scenes.event("One")
    staff, address = wickerlark.client("staff"), wickerlark.url("quoting:quote-copy", source.pk)
    counts = []
    for _ in range(2):
        with CaptureQueriesContext(connection) as caught:
            assert staff.get(address).status_code == 200
        counts.append(sum(not query["sql"].startswith(MARKS) for query in caught.captured_queries))
        with wickerlark.enter():
            for number in range(4):
                scenes.event(f"More {number}")
    assert counts[0] == counts[1] <= 12
