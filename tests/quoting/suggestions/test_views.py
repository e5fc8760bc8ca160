"""Fitting a set piece into its site on the page: what fills it best, why the rest is refused, and taking it."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

import pytest

from quoting.models import Quote
from quoting.quotes import sketch, stock_view
from quoting.suggestions import into_room
from stock.catalogue.items import Material
from stock.holds import holds
from tests.people import House
from tests.quoting import scenes
from tests.quoting.quote_page.test_quote_page import MOST_QUERIES, counted
from tests.worker import do_long_work

D = Decimal
ROOM = {
    "width_m": "10 ft", "height_m": "8 ft", "depth_m": "5 ft", "ceiling_m": "9 ft", "wall_gap_m": "1 ft",
    "sides_m": "0", "above_m": "6 in", "front_m": "",
}  # fmt: skip


@pytest.fixture
def quoted(wickerlark: House) -> Quote:
    with wickerlark.enter():
        return scenes.quote(wickerlark, width_m=D("2.9"), height_m=D("2.3"))


def address(house: House, quote: Quote) -> str:
    with house.enter():
        return house.url("quoting:piece-fit-room", quote.pk, quote.pieces.get().pk)


def ask(house: House, quote: Quote, **changes: str) -> Any:
    """The page that says what fills the room, once the worker has worked it out; or why it wasn't asked."""
    browser = house.client("staff")
    answer = browser.post(address(house, quote), {**ROOM, **changes})
    if answer.status_code != 302:
        return answer
    assert "<progress" in browser.get(answer["Location"]).content.decode()
    assert do_long_work(house) == 1
    return browser.get(answer["Location"])


def plain(html: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html))


def test_the_room_is_what_the_client_asked_for_and_nothing_is_reckoned_unasked(
    wickerlark: House, quoted: Quote
) -> None:
    html = wickerlark.client("staff").get(address(wickerlark, quoted)).content.decode()
    assert 'value="9 ft 6¼ in"' in html
    assert "Tried</h2>" not in html


def test_what_fills_the_room_stays_inside_it_and_the_rest_says_why_not(
    wickerlark: House, quoted: Quote
) -> None:
    answer = ask(wickerlark, quoted)
    html = answer.content.decode()
    words = plain(html)
    assert answer.status_code == 200, words[-2000:]
    assert "Use this<" in html, words[-2000:]
    share = re.search(r"fills (\d+) % of the space", words)
    assert share
    assert int(share[1]) > 60
    assert re.search(r"comes out \d+ ft[^;]* (high|wide); [^;]* is clear", words), "in the studio's lengths"
    with wickerlark.enter():
        piece = quoted.pieces.get()
        owned, free = into_room.owned_by_studio(quoted, piece)
        room = into_room.Room(
            *(D(n) for n in ("3.048", "2.4384", "1.524", "2.7432", "0.3048", "0", "0.1524", "0"))
        )
        found = into_room.fit(piece, room, owned, free)
    assert found.chosen
    assert found.chosen.width_m <= 3.048 + 0.006
    assert found.chosen.height_m <= 2.4384 + 0.006


def test_taking_it_is_one_change_that_undo_takes_back(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        before = quoted.pieces.get().design
    found = ask(wickerlark, quoted)
    answer = wickerlark.client("staff").post(found.request["PATH_INFO"])
    assert answer.status_code == 302
    with wickerlark.enter():
        quote = Quote.objects.get()
        taken = quote.pieces.get()
        assert quote.version == quoted.version + 1
        assert taken.height_m <= D("2.45")
        sketch.undo(quote.pk, version=quote.version)
        assert quote.pieces.get().design == before


def test_a_stale_taking_changes_nothing_and_says_so(wickerlark: House, quoted: Quote) -> None:
    found = ask(wickerlark, quoted)
    with wickerlark.enter():
        sketch.alter_piece(quoted.pk, quoted.pieces.get().pk, {"loss": 0.2}, version=quoted.version)
        before = quoted.pieces.get().design
    answer = wickerlark.client().post(found.request["PATH_INFO"])
    assert answer.status_code == 422
    assert "changed this quote in the meantime" in answer.content.decode()
    with wickerlark.enter():
        assert quoted.pieces.get().design == before


def test_frames_that_others_hold_are_not_promised_twice(wickerlark: House, quoted: Quote) -> None:
    window = quoted.event.hold_window()
    with wickerlark.enter():
        codes = [f"frame-arch-{feet}ft" for feet, _, _ in scenes.ARCHES]
        holds.hold(
            label="A ball elsewhere",
            window=window,
            needs=[Material(code, 2) for code in codes[1:]],
            key="ball",
        )
        piece = quoted.pieces.get()
        free = into_room.free_frames(quoted, piece, stock_view.owned())
    assert free == {codes[0]: 2, **dict.fromkeys(codes[1:], 0)}
    words = plain(ask(wickerlark, quoted).content.decode())
    assert re.search(r"takes \d of Arch frame \d ft; 0 there", words)


def test_the_quote_s_other_pieces_keep_their_frames(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        first = quoted.pieces.get()
        whole = into_room.free_frames(quoted, first, stock_view.owned())
        quote = sketch.add_piece(quoted.pk, scenes.starter(wickerlark.studio).pk, version=quoted.version)
        left = into_room.free_frames(quote, first, stock_view.owned())
    assert sum(whole.values()) - sum(left.values()) == 2


def test_a_room_in_which_nothing_fits_says_what_each_lacks(wickerlark: House, quoted: Quote) -> None:
    answer = ask(wickerlark, quoted, width_m="3 ft", height_m="3 ft")
    html = answer.content.decode()
    assert "No free frame makes this piece fit" in html
    assert "Use this<" not in html
    assert "is clear" in html
    again = wickerlark.client().post(answer.request["PATH_INFO"])
    assert again.status_code == 200
    with wickerlark.enter():
        assert Quote.objects.get().version == quoted.version


@pytest.mark.parametrize(
    ("name", "typed", "words"),
    [
        ("width_m", "wide", "is no length"),
        ("ceiling_m", "200 ft", "At most"),
        ("sides_m", "6 ft", "leaves no width"),
        ("depth_m", "", "required"),
    ],
)
def test_a_room_that_is_none_is_told_at_the_field(
    name: str, typed: str, words: str, wickerlark: House, quoted: Quote
) -> None:
    answer = ask(wickerlark, quoted, **{name: typed})
    assert answer.status_code == 422
    html = answer.content.decode()
    assert words in html
    assert f'value="{typed}"' in html or not typed


def test_the_page_asks_the_database_little_and_belongs_to_its_studio(
    wickerlark: House, federkorn: House, quoted: Quote
) -> None:
    page = address(wickerlark, quoted)
    result = ask(wickerlark, quoted).request["PATH_INFO"]
    assert max(counted(wickerlark.client(), each) for each in (page, result)) <= MOST_QUERIES
    assert federkorn.client().get(result.replace("/wickerlark/", "/federkorn/")).status_code == 404
    with wickerlark.enter():
        foreign = federkorn.url("quoting:piece-fit-room", quoted.pk, quoted.pieces.get().pk)
    assert federkorn.client().get(foreign).status_code == 404
    assert wickerlark.client("crew").get(page).status_code == 403
