"""The drawing table in a browser: drawn by mouse, by touch and by keys; two people at once; without a connection."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import Any

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, Route, expect

from tests.browser.product import Product
from tests.browser.visitors import DESK, INES, TEO, sign_in, visit

TOUCH: dict[str, Any] = {"viewport": {"width": 820, "height": 1180}, "has_touch": True, "is_mobile": True}
DESIGNS = "/s/wickerlark/designs/"
MOST_ACTS = 25
ACT = re.compile(r"/drawing-table/\d+/(act|undo|redo)/")
OVER_BOTH = (
    (-1.3, 0.02), (-1.0, 0.05), (-0.65, 0.3), (-0.57, 0.8), (-0.56, 1.2), (-0.4, 1.75), (-0.1, 1.9), (0.1, 1.85),
    (0.3, 2.1), (0.6, 2.2), (0.95, 2.1), (1.2, 1.8), (1.3, 1.2), (1.3, 0.8),
)  # fmt: skip
"""An unsteady stroke from the floor over a low and a tall arch [m]."""
AT = """([x, y]) => {
  const svg = document.getElementById("table-scene");
  const place = new DOMPoint(x * 200, -y * 200).matrixTransform(svg.getScreenCTM());
  return [place.x, place.y];
}"""
PICTURE_TOP = '() => document.getElementById("table-scene").getBoundingClientRect().top'
SOME_BALLOONS = """() => {
  const all = [...document.querySelectorAll('.table-piece [data-thing^="garland:"] use[href^="#b"]')];
  const places = all.filter((_, k) => k % 60 === 0).map((ball) => ball.getBoundingClientRect());
  return places.map((box) => [box.x + box.width / 2, box.y + box.height / 2]);
}"""
DRAWN_AT = """([x, y]) => {
  const drawn = document.elementsFromPoint(x, y).map((each) => each.closest(".table-piece [data-thing]"));
  return drawn.find((each) => each)?.dataset.thing ?? "";
}"""
BALLOONS = "#table-strip .strip-number >> nth=0"


def test_a_set_piece_is_drawn_from_nothing_and_quoted(product: Product, browser: Browser) -> None:
    with visit(browser, product.site, DESK) as page:
        acts: list[str] = []
        page.on("request", lambda request: acts.append(request.url) if ACT.search(request.url) else None)
        sign_in(page, INES)
        open_empty(page)
        two_covered_arches(page)
        draw_over_both(page)
        assert count(page) > 100
        expect(page.locator("#table-panel-head")).to_contain_text("Garland")
        for _ in range(2):
            acted(page, tile(page, "Big round").click)
        acted(page, lambda: drag(page, *middle_of(page, "round:round-2"), (1.6, 1.5)))
        add(page, "florals", "Add florals")
        add(page, "sign", "Hang a sign")
        rename(page, f"Two arches by hand {page.url.split('/')[-2]}")
        price = page.locator("#table-strip .money")
        expect(price).not_to_have_text("$0.00")
        assert len(acts) <= MOST_ACTS, acts
        page.get_by_role("link", name="Quote with this").click()
        page.get_by_role("button", name=re.compile("Start a quote")).first.click()
        expect(page.locator("svg [data-part=garland]").first).to_be_visible()
        expect(page.locator(".tape-total .money, .tape-total td").first).to_contain_text("$")
        page.get_by_role("button", name="Change this piece").click()
        expect(page.get_by_role("button", name="Update the quote")).to_be_visible()
        assert count(page) > 100, "the piece is on the table as it was quoted"


def test_a_press_takes_what_lies_in_front_and_a_drag_what_is_selected(
    product: Product, browser: Browser
) -> None:
    with visit(browser, product.site, DESK) as page:
        sign_in(page, INES)
        open_empty(page)
        two_covered_arches(page)
        draw_over_both(page)
        expect(page.locator(".is-selected .grip-square-dot").first).to_be_visible()
        add(page, "florals", "Add florals")
        for place in page.evaluate(SOME_BALLOONS):
            page.mouse.click(*page.evaluate(AT, [-1.9, 2.5]))
            expect(page.locator("#table-panel-head")).to_have_text("This design")
            page.mouse.click(*place)
            expect(page.locator("#table-panel-head")).to_contain_text("Garland")
        page.mouse.click(*page.evaluate(AT, list(middle_of(page, "spray:spray-1"))))
        expect(page.locator("#table-panel")).to_have_attribute("data-ref", "spray:spray-1")
        page.locator('[data-select="frame:frame-2"]').evaluate("link => link.click()")
        expect(page.locator("#table-panel")).to_have_attribute("data-ref", "frame:frame-2")
        x, _ = middle_of(page, "frame:frame-2")
        in_front = page.evaluate(DRAWN_AT, page.evaluate(AT, [x, 2.05]))
        assert in_front == "garland:garland-1", "a balloon lies over the arch there"
        acted(page, lambda: drag(page, x, 2.05, (x + 0.5, 2.05)))
        assert middle_of(page, "frame:frame-2")[0] > x + 0.3


def test_what_was_said_stays_in_sight_and_the_picture_in_its_place(
    product: Product, browser: Browser
) -> None:
    with visit(browser, product.site, DESK) as page:
        sign_in(page, INES)
        open_empty(page)
        acted(page, tile(page, "Arch").click)
        draw_over_both(page)
        page.mouse.wheel(0, 3000)
        page.wait_for_function("() => scrollY + innerHeight >= document.documentElement.scrollHeight - 1")
        stood = page.evaluate(PICTURE_TOP)
        page.locator(".is-selected .grip-thick").nth(1).locator(".grip-square").first.click()
        expect(page.get_by_label("Thickness", exact=True)).to_be_in_viewport()
        place = page.locator("#thickness-at").input_value()
        requests: list[str] = []
        page.on("request", lambda request: requests.append(request.url) if ACT.search(request.url) else None)
        page.get_by_label("Thickness", exact=True).fill("900")
        page.get_by_label("Thickness", exact=True).press("Tab")
        assert not requests, "the form waits for its button"
        apply = page.locator("form[data-act=thickness] .button")
        acted(page, apply.click, status=422)
        expect(page.locator("#table-problem")).to_be_in_viewport()
        expect(page.locator("#table-problem [data-words]")).to_have_text("Between 50 % and 180 %.")
        page.get_by_label("Thickness", exact=True).fill("130")
        acted(page, apply.click)
        expect(page.locator("#table-said")).to_be_in_viewport()
        expect(page.locator("#table-said")).to_contain_text("thickness changed")
        assert page.locator("#thickness-at").input_value() == place
        expect(page.get_by_label("Thickness", exact=True)).to_have_value("130")
        expect(page.get_by_role("button", name="Undo")).to_be_in_viewport()
        page.locator('[data-select="frame:frame-1"]').evaluate("link => link.click()")
        expect(page.locator("#table-panel")).to_have_attribute("data-ref", "frame:frame-1")
        assert page.evaluate(PICTURE_TOP) == stood


def test_a_finger_draws_a_garland_on_a_tablet(product: Product, browser: Browser) -> None:
    with visit(browser, product.site, TOUCH) as page:
        sign_in(page, INES)
        open_empty(page)
        two_covered_arches(page)
        tile(page, "Garland").click()
        expect(page.locator("#table-scene")).to_have_class(re.compile("is-drawing"))
        acted(page, lambda: swipe(page, OVER_BOTH))
        drawn = count(page)
        assert drawn > 100
        acted(page, lambda: swipe(page, [(0.75, 0.6), (0.85, 0.6), (1.0, 0.6)]))
        expect(page.locator("#table-panel-head")).to_contain_text("Arch")
        swipe(page, [(-0.2, 1.0), (-0.3, 1.0), (-0.4, 1.0)], cancelled=True)
        expect(page.locator(".is-carried")).to_have_count(0)


def test_a_set_piece_is_built_by_keys_alone(product: Product, browser: Browser) -> None:
    with visit(browser, product.site, DESK) as page:
        sign_in(page, INES)
        open_empty(page)
        for _ in range(2):
            acted(page, lambda: press(page, tile(page, "Arch"), "Enter"))
        body = page.locator('.hold[data-ref="frame:frame-2"] .hold-body')
        before = float(page.locator('.hold[data-ref="frame:frame-2"]').get_attribute("data-x") or 0)
        acted(page, lambda: press(page, body, "Shift+ArrowRight"))
        after = float(page.locator('.hold[data-ref="frame:frame-2"]').get_attribute("data-x") or 0)
        assert round(after - before, 3) == 0.2
        expect(body).to_be_focused()
        press(page, tile(page, "Garland"), "Enter")
        along = page.get_by_label("Along", exact=True)
        along.focus()
        page.keyboard.press("Home")
        acted(page, lambda: press(page, page.locator("#table-panel .button", has_text="Add").first, "Enter"))
        assert count(page) > 50
        press(page, tile(page, "Sign"), "Enter")
        expect(page.locator("#table-panel-head")).to_have_text("Hang a sign")
        acted(page, lambda: press(page, page.locator("#table-panel .button", has_text="Add").first, "Enter"))
        point = page.locator(".hold-garland .grip-point").nth(1)
        page.locator('[data-select^="garland:"]').first.evaluate("link => link.click()")
        point.wait_for()
        acted(page, lambda: press(page, point, "ArrowUp"))
        acted(page, lambda: page.keyboard.press("Control+z"))
        found = Axe().run(page)
        assert found.violations_count == 0, found.generate_report()


def test_who_acts_on_an_older_picture_is_told_and_can_still_act(product: Product, browser: Browser) -> None:
    with visit(browser, product.site, DESK) as first, visit(browser, product.site, DESK) as second:
        sign_in(first, INES)
        open_empty(first)
        acted(first, tile(first, "Arch").click)
        sign_in(second, TEO)
        second.goto(first.url)
        ready(second)
        acted(second, tile(second, "Ring").click)
        acted(first, tile(first, "Big round").click, status=422)
        expect(first.locator("#table-problem")).to_contain_text("in the meantime")
        expect(first.locator(".hold.hold-frame")).to_have_count(2)
        acted(first, first.get_by_role("button", name="Make my change").click)
        expect(first.locator(".hold.hold-round")).to_have_count(1)
        expect(first.locator("#table-problem")).to_be_hidden()


def test_a_lost_connection_loses_no_act_and_undo_works_tomorrow(product: Product, browser: Browser) -> None:
    told = ("ERR_INTERNET_DISCONNECTED", "ERR_FAILED")
    with visit(browser, product.site, DESK, told=told) as page:
        sign_in(page, INES)
        open_empty(page)
        acted(page, tile(page, "Arch").click)
        x, y = page.evaluate(AT, [0.0, 1.0])
        page.mouse.move(x, y)
        page.mouse.down()
        page.mouse.move(x + 60, y, steps=4)
        page.context.set_offline(True)
        page.mouse.move(x + 150, y, steps=4)
        page.mouse.up()
        expect(page.locator("#table-waits")).to_contain_text("sent again")
        with page.expect_response(ACT):
            page.context.set_offline(False)
        expect(page.locator("#table-waits")).to_be_hidden()
        moved = page.locator(".hold.hold-frame").get_attribute("data-x")
        assert float(moved or 0) > 0.2
        page.goto(DESIGNS)
        page.go_back()
        page.reload()
        ready(page)
        expect(page.locator(".hold.hold-frame")).to_have_attribute("data-x", moved or "")
        acted(page, page.get_by_role("button", name="Undo").click)
        expect(page.locator(".hold.hold-frame")).to_have_attribute("data-x", "0.0")


def test_an_answer_that_got_lost_is_no_second_act(product: Product, browser: Browser) -> None:
    told = ("ERR_FAILED", "ERR_CONNECTION")
    with visit(browser, product.site, DESK, told=told) as page:
        sign_in(page, INES)
        open_empty(page)
        lost: list[int] = []

        def lose_the_first(route: Route) -> None:
            if lost:
                route.continue_()
                return
            lost.append(route.fetch().status)
            route.abort()

        page.route(ACT, lose_the_first)
        tile(page, "Arch").click()
        expect(page.locator(".hold.hold-frame")).to_have_count(1)
        page.reload()
        assert lost == [200]
        expect(page.locator(".hold.hold-frame")).to_have_count(1)


# What hands do


def open_empty(page: Page) -> None:
    """A new design on the table."""
    page.goto(DESIGNS)
    page.get_by_role("button", name="New design", exact=True).click()
    ready(page)


def ready(page: Page) -> None:
    """Until hands on the picture are heeded; before, the same buttons load the page."""
    page.locator("#table[data-ready]").wait_for()


def tile(page: Page, name: str) -> Any:
    """What adds a thing."""
    return page.locator(".tile", has=page.locator(".tile-name", has_text=re.compile(f"^{name}$"))).first


def acted(page: Page, do: Callable[[], object], *, status: int = 200) -> None:
    """Do something that is one act, and wait until the picture shows it."""
    with page.expect_response(ACT) as coming:
        do()
    assert coming.value.status == status, coming.value.text()
    version = str(coming.value.json()["version"])
    expect(page.locator("#table")).to_have_attribute("data-version", version)


def two_covered_arches(page: Page) -> None:
    """A low arch and a tall one behind it, both covered."""
    acted(page, tile(page, "Arch").click)
    acted(page, lambda: page.get_by_label("Size").select_option("frame-arch-6ft"))
    acted(page, lambda: page.get_by_label("Cover").select_option("cover-arch-6ft-oat"))
    acted(page, tile(page, "Arch").click)
    acted(page, lambda: page.get_by_label("Cover").select_option("cover-arch-7ft-sage"))


def draw_over_both(page: Page) -> None:
    """A garland by one stroke of the mouse."""
    tile(page, "Garland").click()
    expect(page.locator("#table-scene")).to_have_class(re.compile("is-drawing"))
    x, y = page.evaluate(AT, list(OVER_BOTH[0]))
    page.mouse.move(x, y)
    page.mouse.down()
    for place in OVER_BOTH[1:]:
        x, y = page.evaluate(AT, list(place))
        page.mouse.move(x, y, steps=4)
    acted(page, page.mouse.up)


def drag(page: Page, x_m: float, y_m: float, to: tuple[float, float]) -> None:
    """Take hold of what is there, and let it go elsewhere."""
    x, y = page.evaluate(AT, [x_m, y_m])
    page.mouse.move(x, y)
    page.mouse.down()
    x, y = page.evaluate(AT, list(to))
    page.mouse.move(x, y, steps=6)
    page.mouse.up()


def middle_of(page: Page, ref: str) -> tuple[float, float]:
    """Where a thing is [m]."""
    hold = page.locator(f'.hold[data-ref="{ref}"]')
    return float(hold.get_attribute("data-x") or 0), float(hold.get_attribute("data-y") or 0)


def swipe(page: Page, places: Sequence[tuple[float, float]], *, cancelled: bool = False) -> None:
    """One finger over these places [m]; the system may take the touch away before it ends."""
    page.evaluate("scrollTo(0, 0)")
    touch = page.context.new_cdp_session(page)
    points = [page.evaluate(AT, list(place)) for place in places]
    for k, (x, y) in enumerate(points):
        kind = "touchMove" if k else "touchStart"
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": y}]})
    touch.send(
        "Input.dispatchTouchEvent", {"type": "touchCancel" if cancelled else "touchEnd", "touchPoints": []}
    )


def press(page: Page, target: Any, key: str) -> None:
    """Press a key on what has the focus."""
    target.focus()
    page.keyboard.press(key)


def add(page: Page, what: str, title: str) -> None:
    """Add something that is chosen in the panel."""
    page.locator(f'[data-add="{what}"]').click()
    expect(page.locator("#table-panel-head")).to_have_text(title)
    acted(page, page.locator("#table-panel .button", has_text="Add").first.click)


def rename(page: Page, name: str) -> None:
    """Give the design a name, with nothing selected."""
    page.mouse.click(*page.evaluate(AT, [-1.9, 2.5]))
    expect(page.locator("#table-panel-head")).to_have_text("This design")
    field = page.get_by_label("Name", exact=True)
    field.fill(name)
    acted(page, lambda: field.press("Enter"))


def count(page: Page) -> int:
    """The balloons in the strip at the foot."""
    return int(page.locator(BALLOONS).inner_text())
