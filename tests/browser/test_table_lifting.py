"""What a hand holds on the drawing table is painted simply while it is held; taken back, the picture is as it was."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.product import Product
from tests.browser.test_drawing_table import (
    AT,
    acted,
    draw_over_both,
    middle_of,
    open_empty,
    ready,
    two_covered_arches,
)
from tests.browser.visitors import DESK, INES, sign_in, visit

Place = tuple[float, float]
PICTURE = '() => document.querySelector(".table-piece").outerHTML'
HIDDEN = '.table-piece use[href^="#b"][visibility=hidden]'
SIMPLE = ".table-lifted circle"
COLOURS = """() => {
  const hidden = [...document.querySelectorAll('.table-piece use[href^="#b"][visibility=hidden]')];
  const simple = [...document.querySelectorAll(".table-lifted circle")];
  return {
    others: document.querySelectorAll(".table-lifted > g :not(circle, g)").length,
    hidden: hidden.map((each) => each.getAttribute("href").replace("#b", "#g")).sort(),
    simple: simple.map((each) => each.getAttribute("fill").slice(4, -1)).sort(),
  };
}"""


@pytest.fixture
def table(product: Product, browser: Browser) -> Iterator[Page]:
    """Two covered arches with a garland over both."""
    with visit(browser, product.site, DESK, told=("ERR_INTERNET_DISCONNECTED",)) as page:
        sign_in(page, INES)
        open_empty(page)
        two_covered_arches(page)
        draw_over_both(page)
        page.reload()
        ready(page)
        yield page


def grip_at(page: Page, selector: str) -> Place:
    """Where a grip of the selected thing is on the screen."""
    box = page.locator(selector).bounding_box()
    assert box
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def on_screen(page: Page, place: Place) -> Place:
    """Where a place [m] is on the screen."""
    x, y = page.evaluate(AT, list(place))
    return x, y


def held(page: Page, at: Place) -> None:
    """Taken hold of and moved, the hand still down."""
    page.mouse.move(*at)
    page.mouse.down()
    page.mouse.move(at[0] + 60, at[1] - 40, steps=4)
    page.evaluate("() => new Promise(requestAnimationFrame)")


def selected(page: Page, ref: str) -> None:
    """A thing selected by the list of everything."""
    page.locator(f'[data-select="{ref}"]').evaluate("link => link.click()")
    expect(page.locator("#table-panel")).to_have_attribute("data-ref", ref)


GARLAND, FRAME = "garland:garland-1", "frame:frame-2"
WAYS = {
    "a point": (GARLAND, ".is-selected .grip-point >> nth=2 >> .grip-dot"),
    "a frame": (FRAME, ""),
    "a size": (FRAME, ".is-selected .grip-size[tabindex] .grip-square-dot >> nth=0"),
}


@pytest.mark.parametrize("way", WAYS)
def test_held_balloons_are_one_disc_each_and_escape_gives_the_picture_from_before(
    table: Page, way: str
) -> None:
    ref, grip = WAYS[way]
    selected(table, ref)
    before = table.evaluate(PICTURE)
    at = grip_at(table, grip) if grip else on_screen(table, (middle_of(table, ref)[0], 1.0))
    held(table, at)
    assert table.evaluate(PICTURE) != before, "the picture's own balloons are hidden"
    found = table.evaluate(COLOURS)
    assert len(found["simple"]) > 20
    assert found["simple"] == found["hidden"]
    assert found["others"] == 0
    table.keyboard.press("Escape")
    table.mouse.up()
    assert table.evaluate(PICTURE) == before
    expect(table.locator(".table-lifted")).to_have_count(0)


def test_a_balloon_held_is_where_and_as_large_as_it_was(table: Page) -> None:
    """Radius and place of a sprite, read off the numbers in its transform."""
    selected(table, GARLAND)
    held(table, grip_at(table, WAYS["a point"][1]))
    wrong = table.evaluate("""() => {
      const numbers = (text) => text.match(/[-\\d.]+/g).map(Number);
      const hidden = [...document.querySelectorAll('.table-piece use[visibility=hidden]')];
      return [...document.querySelectorAll(".table-lifted circle")].filter((disc, k) => {
        const [x, y, r] = numbers(hidden[k].getAttribute("transform"));
        const is = ["cx", "cy", "r"].map((name) => Number(disc.getAttribute(name)));
        return Math.hypot(is[0] - x, is[1] - y, is[2] - r) > 0.01;
      }).length;
    }""")
    assert wrong == 0
    table.keyboard.press("Escape")
    table.mouse.up()


def test_what_was_let_go_lies_where_the_hand_left_it_until_the_answer_comes(table: Page) -> None:
    selected(table, FRAME)
    before = middle_of(table, FRAME)[0]
    balloons = table.locator('.table-piece use[href^="#b"]')
    table.context.set_offline(True)
    held(table, on_screen(table, (before, 1.0)))
    moved = table.locator(SIMPLE).count()
    table.mouse.up()
    expect(table.locator("#table-waits")).to_contain_text("sent again")
    expect(table.locator(HIDDEN)).to_have_count(0)
    expect(table.locator(".table-lifted")).to_have_count(0)
    twice = balloons.evaluate_all("all => all.filter((each) => each.transform.baseVal.length === 3).length")
    assert twice == moved > 20
    acted(table, lambda: table.context.set_offline(False))
    assert middle_of(table, FRAME)[0] > before + 0.2
