"""Three set pieces from nothing, by mouse, by finger and by keys: drawn, quoted, agreed to, loaded."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from quoting.demo import PASSWORD
from tests.browser.hands import Finger, Hands, Keys, Mouse
from tests.browser.product import Product
from tests.browser.test_drawing_table import ACT, OVER_BOTH, TOUCH, count, ready, tile
from tests.browser.test_thin_job import let_clients_see_counts, shown_counts
from tests.browser.visitors import DESK, INES, MARIT, PHONE, sign_in, visit

TODAY = date.today()  # noqa: DTZ011 - days far enough for any zone
MOST_ACTS = 25
MAX = (
    "#...#..###..#...#",
    "##.##.#...#.#...#",
    "#.#.#.#...#..#.#.",
    "#.#.#.#####...#..",
    "#...#.#...#..#.#.",
    "#...#.#...#.#...#",
    "#...#.#...#.#...#",
)
"""The word as it stands on the wall, drawn by hand."""
BALLOONS_OF_THE_WALL = """() => [...document.querySelectorAll('.table-piece [data-thing="wall:wall-1"] use')]
  .map((ball) => [ball.transform.baseVal[0].matrix.e, ball.transform.baseVal[0].matrix.f, ball.getAttribute("href")])"""
BALLOON_FILLS = """() => [...document.querySelectorAll(".table-piece .part use")]
  .map((ball) => ball.getAttribute("href")).filter((name) => name.startsWith("#b"))"""
BETWEEN_CELLS = 0.06
"""Nearer than this to the border of two cells, in cells, a balloon may be of either."""
HANDS: dict[str, tuple[type[Hands], dict[str, Any]]] = {
    "desk": (Mouse, DESK),
    "tablet": (Finger, TOUCH),
    "keys": (Keys, DESK),
}


@dataclass(frozen=True)
class Piece:
    """A set piece: how hands make it, and what its load-out list must bring at least, by the beginning of the code."""

    title: str
    day: int
    make: Callable[[Hands], None]
    brings: dict[str, int]


def two_arches(hands: Hands) -> None:
    """Two staggered arches with covers, a garland from the floor over both, big rounds, florals, a sign."""
    page = hands.page
    hands.act(tile(page, "Arch"))
    hands.choose(page.get_by_label("Size"), "Arch frame 6 ft")
    hands.choose(page.get_by_label("Cover"), "Cover for arch 6 ft, oat")
    hands.act(tile(page, "Arch"))
    hands.choose(page.get_by_label("Cover"), "Cover for arch 7 ft, sage")
    hands.lay_garland(OVER_BOTH, ("Arch frame 6 ft", "Arch frame 7 ft"))
    expect(page.locator(".is-selected > .grip-end[data-which=start]")).to_have_attribute("data-how", "pool")
    assert count(page) > 100
    for _ in range(2):
        hands.act(tile(page, "Big round"))
    hands.carry("round:round-2", (1.6, 1.5))
    hands.act(hands.ask("florals", "Add florals").locator("form[data-act=scatter] .button"))
    hands.act(hands.ask("sign", "Hang a sign").get_by_role("button", name="Add"))
    expect(page.locator(".hold.hold-spray")).to_have_count(6)


def a_lettered_wall(hands: Hands) -> None:
    """A wall of balloons with a word in it."""
    page = hands.page
    panel = hands.ask("wall", "Add a balloon wall")
    hands.write(panel.get_by_label("Word in it"), "MAX")
    hands.write(panel.get_by_label("Width"), "15 ft")
    hands.act(panel.get_by_role("button", name="Add"))
    expect(page.locator(".hold.hold-wall")).to_have_count(1)
    stands_as_drawn(page.evaluate(BALLOONS_OF_THE_WALL))


def stands_as_drawn(balloons: list[tuple[float, float, str]]) -> None:
    """Every balloon of the picture is a letter's where the word that was drawn by hand has one, and nowhere else.

    A column of quads takes two cells and shows five places, left to right: one, two, the middle, and the same again.
    """
    places, heights = sorted({x for x, _, _ in balloons}), sorted({y for _, y, _ in balloons})
    columns, rows = 2 * len(places) // 5, len(heights)
    left, above = (columns - len(MAX[0])) // 2, (rows - len(MAX)) // 2
    letters = {
        (column + left, row + above)
        for row, line in enumerate(MAX)
        for column, mark in enumerate(line)
        if mark == "#"
    }
    counts = Counter(fill for _, _, fill in balloons)
    letter = min(counts, key=lambda fill: counts[fill])
    for x, y, fill in balloons:
        column = (x - places[0]) / (places[-1] - places[0]) * (columns - 1)
        near = {math.floor(column + 0.5 + off) for off in (-BETWEEN_CELLS, BETWEEN_CELLS)}
        assert (fill == letter) in {(each, heights.index(y)) in letters for each in near}, (x, y, fill)


def a_six_between_columns(hands: Hands) -> None:
    """Two columns with a big round on each, and a foil number on a plinth between them."""
    page = hands.page
    hands.act(tile(page, "Column"))
    hands.carry("garland:column-1", (-1.0, 0.0))
    put_round_on_top(hands)
    hands.act(tile(page, "Column"))
    hands.carry("garland:column-2", (1.0, 0.0))
    put_round_on_top(hands)
    hands.act(hands.ask("prop", "Add a prop").get_by_role("button", name="Add").first)
    hands.carry("prop:prop-1", (0.0, 0.0))
    hands.open(page.locator("#table-on-top"))
    own = page.locator("#table-on-top form").filter(has=page.get_by_label("Foil balloon of yours"))
    hands.choose(own.get_by_label("Foil balloon of yours"), "Foil digit gold 34 in")
    hands.write(own.get_by_label("Text"), "6")
    hands.act(own.get_by_role("button"))
    expect(page.locator("#table-panel-head")).to_have_text("Foil digit gold 34 in")


def put_round_on_top(hands: Hands) -> None:
    """A big round on the column that is selected."""
    hands.open(hands.page.locator("#table-on-top"))
    hands.act(hands.page.locator("#table-on-top form[data-act=put-round] .button"))


PIECES = {
    "arches": Piece(
        "Harbour fair", 80, two_arches,
        {"frame-arch-6ft": 1, "frame-arch-7ft": 1, "cover-arch-6ft-oat": 1, "cover-arch-7ft-sage": 1, "sign-light": 1,
         "pick-fern": 6, "latex-": 3},
    ),
    "wall": Piece("Max is eight", 90, a_lettered_wall, {"latex-11-": 2}),
    "columns": Piece(
        "Six years of the yard", 100, a_six_between_columns,
        {"pole-column": 2, "plinth-white": 1, "foil-digit-gold-6": 1, "latex-": 1},
    ),
}  # fmt: skip


@pytest.mark.parametrize("by", HANDS)
@pytest.mark.parametrize("kind", PIECES)
def test_a_piece_is_made_from_nothing_and_comes_to_the_quote(
    product: Product, browser: Browser, kind: str, by: str
) -> None:
    piece = PIECES[kind]
    with at_work(browser, product, by) as hands:
        page = hands.page
        acts: list[str] = []
        page.on("request", lambda request: acts.append(request.url) if ACT.search(request.url) else None)
        event_address = take_enquiry(hands, f"{piece.title}, {by}", piece.day + list(HANDS).index(by))
        start_from_nothing(hands)
        piece.make(hands)
        assert len(acts) <= MOST_ACTS, acts
        total, drawn = page.locator("#table-strip .money").inner_text(), counts_by_color(page)
        hands.go(page.get_by_role("button", name="Put into the quote"))
        assert total_of(page) == total != "$0.00"
        takes = what_it_takes(page)
        for code, least in piece.brings.items():
            assert sum(number for each, number in takes.items() if each.startswith(code)) >= least, (
                code,
                takes,
            )
        if isinstance(hands, Keys):
            assert hands.pointers() == 0
        if by == "desk":
            agreed_and_loaded(browser, product, page, event_address, total, drawn, takes)


# What people do


@contextmanager
def at_work(browser: Browser, product: Product, by: str) -> Iterator[Hands]:
    """Somebody of the studio, signed in, with these hands."""
    make, device = HANDS[by]
    with visit(browser, product.site, device) as page:
        hands = make(page)
        page.goto("/account/login/")
        hands.write(page.get_by_label("E-mail address"), INES)
        hands.write(page.get_by_label("Password", exact=True), PASSWORD)
        hands.go(page.get_by_role("button", name="Sign in", exact=True))
        page.wait_for_url("**/s/**")
        yield hands


def take_enquiry(hands: Hands, title: str, days: int) -> str:
    """Who, what and when; gives back the event's address."""
    page, day = hands.page, TODAY + timedelta(days=days)
    hands.go(page.get_by_role("link", name="Add enquiry"))
    hands.write(page.get_by_label("Title"), title)
    is_typed = isinstance(hands, Keys)
    hands.write(page.get_by_label("Day", exact=True), f"{day:%m%d%Y}" if is_typed else day.isoformat())
    hands.write(page.get_by_label("Ready by"), "0400PM" if is_typed else "16:00")
    hands.write(page.get_by_label("New client’s name"), "Guild of Ropemakers")
    hands.write(page.get_by_label("E-mail address"), "guild@ropemakers.example")
    hands.go(page.get_by_role("button", name="Save enquiry"))
    expect(page.get_by_role("heading", name=title, level=1)).to_be_visible()
    return page.url


def start_from_nothing(hands: Hands) -> None:
    """A quote for this event with an empty table."""
    hands.go(hands.page.get_by_role("link", name="Start a quote").first)
    hands.go(hands.page.get_by_role("button", name="Start from nothing"))
    ready(hands.page)


def total_of(page: Page) -> str:
    """The total on the tape."""
    return page.locator(".tape-total td").first.inner_text().strip()


def counts_by_color(page: Page) -> list[int]:
    """How many balloons the picture shows of each color, fewest first."""
    fills: list[str] = page.evaluate(BALLOON_FILLS)
    return sorted(Counter(fills).values())


def what_it_takes(page: Page) -> dict[str, int]:
    """Everything that the quote counts, spares included."""
    rows = page.locator("[data-code]").all()
    return {
        row.get_attribute("data-code") or "": int(re.sub(r"\D", "", row.locator("summary b").inner_text()))
        for row in rows
    }


def agreed_and_loaded(
    browser: Browser,
    product: Product,
    owner: Page,
    event_address: str,
    total: str,
    drawn: list[int],
    takes: dict[str, int],
) -> None:
    """Offered, agreed to on the client's phone, and ticked into the van on the crew's."""
    let_clients_see_counts(owner)
    with owner.expect_navigation():
        owner.get_by_role("button", name="Make an offer", exact=True).click()
    link = owner.get_by_label("Link to copy").input_value()
    with visit(browser, product.site, PHONE) as client:
        client.goto(link)
        expect(client.locator("#price .tape-total td")).to_have_text(total)
        shown = Counter(
            re.sub(" \\d+ in$", "", label)
            for number, label in shown_counts(client)
            for _ in range(int(number))
        )
        assert sorted(shown.values()) == drawn
        client.locator("#agree").get_by_label("Your name", exact=True).fill("Ada Hemp")
        client.get_by_role("checkbox", name=re.compile("I agree to the price of " + re.escape(total))).check()
        client.locator("#agree").get_by_role("button", name="Agree", exact=True).tap()
        expect(client.get_by_role("heading", name="Your agreement")).to_be_visible()
    with visit(browser, product.site, PHONE) as crew:
        sign_in(crew, MARIT)
        crew.goto(event_address)
        load_van(crew, takes)


def load_van(crew: Page, takes: dict[str, int]) -> None:
    """Everything that the piece takes is on the list, spares beside it, and goes in."""
    with crew.expect_navigation():
        crew.get_by_role("link", name=re.compile("Load")).first.tap()
    lines = crew.locator("[data-line]")
    expect(lines.first).to_be_visible()
    listed: Counter[str] = Counter()
    for line in lines.all():
        code = (line.get_attribute("data-code") or "").removeprefix("spare:")
        listed[code] += int(line.get_attribute("data-quantity") or 0)
    assert {code: listed[code] for code in takes} == takes
    ticks = lines.locator("> .tick")
    for number in range(ticks.count()):
        ticks.nth(number).tap()
        expect(ticks.nth(number)).to_have_attribute("aria-pressed", "true")
    expect(crew.get_by_text(f"{ticks.count()} of {ticks.count()} in")).to_be_visible()
    expect(crew.get_by_role("status").first).to_contain_text("All sent")
