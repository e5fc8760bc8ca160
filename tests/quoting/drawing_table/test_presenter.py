"""What the strip, the tiles and the lists say of the shelf and of the price."""

from __future__ import annotations

import re

import pytest

from quoting.drawing_table import opening
from quoting.models import Quote, TableDraft
from quoting.quotes import sketch
from tests.people import House
from tests.quoting import scenes
from tests.quoting.drawing_table.test_views import act, draft

__all__ = ["draft"]


def strip(house: House, draft: TableDraft) -> str:
    html = house.client("staff").get(house.url("quoting:table", draft.pk)).content.decode()
    return html[html.index('id="table-strip"') : html.index("</section>", html.index('id="table-strip"'))]


def test_the_strip_speaks_of_balloons_only_where_there_are_some(wickerlark: House, draft: TableDraft) -> None:
    act(wickerlark, draft, "put-frame", item="frame-arch-7ft")
    assert "on the shelf today: frames and covers; no date yet" in strip(wickerlark, draft)
    act(wickerlark, draft, "put-garland", along="frame-1")
    assert "on the shelf today: frames and covers, balloons; no date yet" in strip(wickerlark, draft)


def test_without_a_day_nothing_is_promised(wickerlark: House, draft: TableDraft) -> None:
    """What is owned today may be out on the day: no tick before there is one."""
    act(wickerlark, draft, "put-frame", item="frame-arch-7ft")
    assert "strip-good" not in strip(wickerlark, draft)
    with wickerlark.enter():
        quote = sketch.start_quote(scenes.event(), None)
        dated = opening.open_for_quote(quote.pk, wickerlark.studio)
    act(wickerlark, dated, "put-frame", item="frame-arch-7ft")
    assert "strip-good" in strip(wickerlark, dated)


def test_everything_short_is_named(wickerlark: House, draft: TableDraft) -> None:
    """By hand: the studio owns two arches of 6 ft and two of 7 ft; three of each stand on the table."""
    for number in range(3):
        act(wickerlark, draft, "put-frame", item="frame-arch-6ft", x_m=f"{2 * number} m")
        act(wickerlark, draft, "put-frame", item="frame-arch-7ft", x_m=f"{2 * number + 1} m")
    shown = strip(wickerlark, draft)
    assert "1 arch frame 6 ft to hire" in shown
    assert "1 more to get: arch frame 7 ft" in shown


def test_the_strip_says_whether_travel_is_in_the_price(wickerlark: House) -> None:
    with wickerlark.enter():
        scenes.stocked()
        quote = sketch.start_quote(scenes.event(), None)
        Quote.objects.filter(pk=quote.pk).update(drive_minutes=0, distance_m=0)
        dated = opening.open_for_quote(quote.pk, wickerlark.studio)
    act(wickerlark, dated, "put-frame", item="frame-arch-7ft")
    assert "whole quote, without travel" in strip(wickerlark, dated)
    with wickerlark.enter():
        Quote.objects.filter(pk=quote.pk).update(distance_m=9000)
    assert "without travel" not in strip(wickerlark, dated)


def test_what_other_pieces_of_the_quote_take_is_not_free(wickerlark: House) -> None:
    """By hand: the studio owns two arches of 6 ft; the quote's first piece takes one of them."""
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        (line,) = (each for each in quote.pieces.get().takeoff.bill if each.code == "frame-arch-6ft")
        assert line.quantity == 1
        draft = opening.open_for_quote(quote.pk, wickerlark.studio)
    act(wickerlark, draft, "put-frame", item="frame-arch-6ft")
    assert "frames and covers free that day" in strip(wickerlark, draft)
    page = wickerlark.url("quoting:table", draft.pk) + "?thing=frame:frame-1"
    html = wickerlark.client("staff").get(page).content.decode()
    assert re.search(r"Arch frame 6 ft · 0 free(?: · covers? [\w, ]+)?\s*</option>", html), (
        "two, less one there and one here"
    )
    act(wickerlark, draft, "put-frame", item="frame-arch-6ft", x_m="2 m")
    assert "frames and covers free" not in strip(wickerlark, draft)
    assert "1 arch frame 6 ft to hire" in strip(wickerlark, draft)


@pytest.mark.parametrize("in_quote", [False, True])
def test_tiles_and_lists_count_alike(in_quote: bool, wickerlark: House) -> None:
    with wickerlark.enter():
        scenes.stocked()
        quote = sketch.start_quote(scenes.event(), None)
        draft = (
            opening.open_for_quote(quote.pk, wickerlark.studio)
            if in_quote
            else opening.open_empty(wickerlark.studio)
        )
    act(wickerlark, draft, "put-frame", item="frame-arch-7ft")
    page = wickerlark.url("quoting:table", draft.pk)
    client = wickerlark.client("staff")
    tile = re.search(r"7 ft · (\d \w+)(?: · \d covers?)?</span>", client.get(page).content.decode())
    html = client.get(f"{page}?thing=frame:frame-1").content.decode()
    listed = re.findall(r"Arch frame 7 ft · (\d \w+)(?: · covers? [\w, ]+)?\s*</option>", html)
    assert tile
    assert set(listed) == {tile[1]}
    assert tile[1].split()[1] == ("free" if in_quote else "owned")


def test_what_cannot_stay_is_said_in_the_panel_of_its_thing(wickerlark: House, draft: TableDraft) -> None:
    """The room is less wide than a frame 5 m beside its middle would need."""
    act(wickerlark, draft, "put-frame", shape="arch-top", width_m="1.2 m", height_m="2 m", x_m="0")
    act(wickerlark, draft, "put-frame", shape="arch-top", width_m="1.2 m", height_m="2 m", x_m="5 m")
    page = wickerlark.url("quoting:table", draft.pk)
    html = wickerlark.client("staff").get(page, {"thing": "frame:frame-2"}).content.decode()
    panel = html[html.index('id="table-panel"') : html.index("</section>", html.index('id="table-panel"'))]
    assert 'class="small strip-short"' in panel
    other = wickerlark.client("staff").get(page, {"thing": "frame:frame-1"}).content.decode()
    assert 'class="small strip-short"' not in other


def test_a_frame_says_which_covers_there_are_before_it_is_chosen(
    wickerlark: House, draft: TableDraft
) -> None:
    """The shelf has a cover in oat and one in sage for each arch, and one of each is on the table then."""
    html = wickerlark.client("staff").get(wickerlark.url("quoting:table", draft.pk), {"add": "frame"})
    page = html.content.decode()
    assert re.search(r"Arch frame 5 ft · 2 owned · covers oat, sage\s*</option>", page)
    assert "7 ft · 2 owned · 2 covers" in page
    act(wickerlark, draft, "put-frame", item="frame-arch-5ft")
    act(wickerlark, draft, "cover", thing="frame:frame-1", item="cover-arch-5ft-oat")
    html = wickerlark.client("staff").get(wickerlark.url("quoting:table", draft.pk), {"add": "frame"})
    assert re.search(r"Arch frame 5 ft · 2 owned · cover sage\s*</option>", html.content.decode())
