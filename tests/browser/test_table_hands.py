"""Hands in the picture of the drawing table: ends of garlands, sizes, turns, bent frames; by mouse, finger and keys."""

from __future__ import annotations

import re
from functools import partial

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.product import Product
from tests.browser.test_drawing_table import (
    AT,
    TOUCH,
    acted,
    add,
    draw_over_both,
    middle_of,
    open_empty,
    press,
    swipe,
    tile,
    two_covered_arches,
)
from tests.browser.visitors import DESK, INES, PHONE, sign_in, visit

IN_ROOM = """dot => {
  const box = dot.getBoundingClientRect();
  const svg = document.getElementById("table-scene");
  const seen = new DOMPoint(box.x + box.width / 2, box.y + box.height / 2);
  const place = seen.matrixTransform(svg.getScreenCTM().inverse());
  return [place.x / 200, -place.y / 200];
}"""
TURNED = "hold => JSON.parse(hold.dataset.turn).deg"
SIZED = "hold => JSON.parse(hold.dataset.size)"


def test_an_end_dragged_to_the_floor_pools_and_to_a_frame_follows_it(
    product: Product, browser: Browser
) -> None:
    with visit(browser, product.site, DESK) as page:
        sign_in(page, INES)
        open_empty(page)
        two_covered_arches(page)
        draw_over_both(page)
        end = grip(page, "point", -1)
        held(page, end, (1.8, 0.04))
        expect(page.locator(".guide-tag")).to_have_text("pools on the floor")
        acted(page, page.mouse.up)
        expect(page.locator("#table-said")).to_contain_text("It pools on the floor there.")
        expect(page.locator(".is-selected > .grip-end[data-which=end]")).to_have_attribute("data-how", "pool")
        held(page, grip(page, "point", -1), (1.4, 1.2))
        expect(page.locator(".guide-tag")).to_contain_text("goes to arch frame")
        acted(page, page.mouse.up)
        expect(page.locator("#table-said")).to_contain_text("It goes to arch frame")


def test_a_corner_makes_larger_and_a_handle_turns_and_keys_do_the_same(
    product: Product, browser: Browser
) -> None:
    with visit(browser, product.site, DESK) as page:
        sign_in(page, INES)
        open_empty(page)
        acted(page, tile(page, "Arch").click)
        x, y = grip(page, "size", -1)
        held(page, (x, y), (x - 0.1, y - 0.3))
        expect(page.locator(".guide-tag")).to_contain_text("Arch frame 6 ft")
        acted(page, page.mouse.up)
        expect(page.locator("#table-panel-head")).to_have_text("Arch frame 6 ft")
        body = page.locator('.hold[data-ref="frame:frame-1"] .hold-body')
        acted(page, lambda: press(page, body, "Control+ArrowUp"))
        expect(page.locator("#table-panel-head")).to_have_text("Arch frame 7 ft")
        add(page, "foil", "Add a foil number")
        foil = page.locator('.hold[data-ref="foil:foil-1"]')
        x, y = middle_of(page, "foil:foil-1")
        held(page, grip(page, "turn", 0), (x + 1.0, y + 0.9))
        expect(page.locator(".guide-tag")).to_have_text("45°")
        acted(page, page.mouse.up)
        page.keyboard.down("Shift")
        held(page, grip(page, "turn", 0), (x + 1.0, y + 0.9))
        acted(page, page.mouse.up)
        page.keyboard.up("Shift")
        assert foil.evaluate(TURNED) == 48
        acted(page, lambda: press(page, foil.locator(".hold-body"), "Alt+Shift+ArrowLeft"))
        assert foil.evaluate(TURNED) == 47
        page.get_by_label("Turned, degrees").fill("-30")
        acted(page, lambda: page.get_by_label("Turned, degrees").press("Enter"))
        assert foil.evaluate(TURNED) == -30
        add(page, "sign", "Hang a sign")
        sign = page.locator('.hold[data-ref="sign:sign-1"]')
        before = sign.evaluate(SIZED)["w"]
        acted(page, lambda: press(page, sign.locator('.grip-size[tabindex="0"]'), "ArrowRight"))
        assert sign.evaluate(SIZED)["w"] == pytest.approx(before + 0.02)
        expect(page.locator("#table-said")).to_contain_text("×")


def test_a_frame_is_bent_by_its_corners_and_by_form(product: Product, browser: Browser) -> None:
    with visit(browser, product.site, DESK) as page:
        sign_in(page, INES)
        open_empty(page)
        acted(page, tile(page, "Any shape").click)
        corners = page.locator(".is-selected > .grip-corner")
        expect(corners).to_have_count(5)
        x, y = grip(page, "corner", 2)
        held(page, (x, y), (x + 0.1, y + 0.3))
        acted(page, page.mouse.up)
        assert grip(page, "corner", 2) == pytest.approx((x + 0.1, y + 0.3), abs=0.02)
        x, y = grip(page, "between", 0)
        held(page, (x, y), (x - 0.3, y))
        acted(page, page.mouse.up)
        expect(corners).to_have_count(6)
        acted(page, lambda: press(page, corners.nth(1), "Delete"))
        expect(corners).to_have_count(5)
        acted(page, lambda: press(page, page.locator(".is-selected > .grip-between").first, "Enter"))
        expect(corners).to_have_count(6)
        page.locator("#table-more").evaluate("more => { more.open = true; }")
        acted(page, page.locator("form[data-act=remove-corner] .button").click)
        expect(corners).to_have_count(5)


@pytest.mark.parametrize("device", [TOUCH, PHONE], ids=["820", "390"])
def test_a_finger_beside_a_point_takes_the_nearest_one(
    product: Product, browser: Browser, device: dict[str, object]
) -> None:
    with visit(browser, product.site, device) as page:
        sign_in(page, INES)
        open_empty(page)
        two_covered_arches(page)
        tile(page, "Garland").click()
        expect(page.locator("#table-scene")).to_have_class(re.compile("is-drawing"))
        acted(page, lambda: swipe(page, [(-1.6, 2.4), (-1.2, 2.5), (-0.6, 2.55), (0.0, 2.5), (0.6, 2.5)]))
        x, y = grip(page, "point", -1)
        off = 18 / page.evaluate('() => document.getElementById("table-scene").getScreenCTM().a * 200')
        acted(page, lambda: swipe(page, [(x + off, y), (x + off + 0.1, y), (x + off + 0.35, y)]))
        expect(page.locator("#table-said")).to_contain_text("point moved")
        assert grip(page, "point", -1)[0] == pytest.approx(x + 0.35, abs=0.08)


def test_a_finger_on_a_page_that_was_scrolled_puts_the_thing_where_it_is(
    product: Product, browser: Browser
) -> None:
    with visit(browser, product.site, TOUCH) as page:
        sign_in(page, INES)
        open_empty(page)
        acted(page, tile(page, "Arch").click)
        page.evaluate("scrollTo(0, 0)")
        scroll_by_finger(page, 110)
        assert 60 < page.evaluate("scrollY") < 160
        acted(page, lambda: finger(page, [(0.3, 0.9), (0.6, 0.9), (0.8, 0.9)]))
        assert middle_of(page, "frame:frame-1")[0] == pytest.approx(0.5, abs=0.02)


def test_stems_are_scattered_by_one_act_and_taken_back_by_one_undo(
    product: Product, browser: Browser
) -> None:
    with visit(browser, product.site, DESK) as page:
        sign_in(page, INES)
        open_empty(page)
        two_covered_arches(page)
        draw_over_both(page)
        page.locator('[data-add="florals"]').click()
        page.get_by_label("How many").fill("9")
        page.get_by_label("From", exact=True).fill("20")
        acted(page, page.locator("form[data-act=scatter] .button").click)
        expect(page.locator(".hold.hold-spray")).to_have_count(9)
        expect(page.locator("#table-said")).to_contain_text("9 ×")
        acted(page, page.get_by_role("button", name="Undo").click)
        expect(page.locator(".hold.hold-spray")).to_have_count(0)


def test_the_room_has_a_depth_and_a_door_that_stays_free(product: Product, browser: Browser) -> None:
    with visit(browser, product.site, DESK) as page:
        sign_in(page, INES)
        open_empty(page)
        acted(page, tile(page, "Arch").click)
        page.mouse.click(*page.evaluate(AT, [-1.9, 2.5]))
        expect(page.locator("#table-panel-head")).to_have_text("This design")
        page.locator("#table-more").evaluate("more => { more.open = true; }")
        for label, value, told in (
            ("Door in the wall behind", "0.3 m", "Keep the way out free"),
            ("Room depth", "0.5 m", "too deep"),
            ("Door height", "1.1 m", "Keep the way out free"),
            ("Door width", "0.42 m", "too big for the door"),
        ):
            field = page.get_by_label(re.compile(f"^{label}"))
            field.fill(value)
            acted(page, partial(field.press, "Enter"))
            expect(page.locator(".table-limits")).to_contain_text(told)
        expect(page.locator(".room-door")).to_have_count(1)


# What hands do


def scroll_by_finger(page: Page, by: int) -> None:
    """Scroll the page by touch, beside everything, and hold still before letting go."""
    touch = page.context.new_cdp_session(page)
    x, y = 300, 1000
    for k in range(13):
        kind = "touchMove" if k else "touchStart"
        touch.send(
            "Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": y - by * k / 12}]}
        )
        page.wait_for_timeout(16)
    page.wait_for_timeout(200)
    touch.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [{"x": x, "y": y - by - 1}]})
    page.wait_for_timeout(200)
    touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    page.wait_for_timeout(200)


def finger(page: Page, places: list[tuple[float, float]]) -> None:
    """One finger over these places [m] of the page as it stands."""
    touch = page.context.new_cdp_session(page)
    points = [page.evaluate(AT, list(place)) for place in places]
    for k, (x, y) in enumerate(points):
        kind = "touchMove" if k else "touchStart"
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": y}]})
    touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def grip(page: Page, kind: str, number: int) -> tuple[float, float]:
    """Where something is that the selected thing is taken hold of by [m]."""
    page.locator(f".is-selected > .grip-{kind}").first.wait_for()
    dots = page.locator(f".is-selected > .grip-{kind} :is(.grip-dot, .grip-square-dot)")
    x, y = dots.nth(number).evaluate(IN_ROOM)
    return x, y


def held(page: Page, at: tuple[float, float], to: tuple[float, float]) -> None:
    """Take hold of what is there and bring it elsewhere, without letting go."""
    page.evaluate("scrollTo(0, 0)")
    page.mouse.move(*page.evaluate(AT, list(at)))
    page.mouse.down()
    page.mouse.move(*page.evaluate(AT, list(to)), steps=6)
