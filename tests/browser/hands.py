"""Three pairs of hands at one page: a mouse, a finger, and keys alone."""

from __future__ import annotations

import re
from abc import ABC, abstractmethod
from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import Final

from playwright.sync_api import Locator, Page, expect

from tests.browser.test_drawing_table import AT, acted, drag, middle_of

Places = Sequence[tuple[float, float]]

MOST_TABS: Final = 260
STEP_M, BIG_STEP_M = 0.02, 0.2
"""How far an arrow key moves a thing, alone and with Shift, as the page says."""
FRAMES: Final = 4
NEXT_FRAME: Final = "() => new Promise((resolve) => { requestAnimationFrame(resolve); })"
COUNT_POINTERS = """() => {
  for (const kind of ["pointerdown", "mousedown", "touchstart"]) {
    addEventListener(kind, () => { sessionStorage.pointers = Number(sessionStorage.pointers ?? 0) + 1; }, true);
  }
}"""
POINTERS = "() => Number(sessionStorage.pointers ?? 0)"
HAS_FOCUS = "element => document.activeElement === element"
IS_BEFORE_FOCUS = """element => Boolean(document.activeElement !== document.body
  && element.compareDocumentPosition(document.activeElement) & Node.DOCUMENT_POSITION_FOLLOWING)"""


class Hands(ABC):
    """What somebody does at a page."""

    def __init__(self, page: Page) -> None:
        self.page = page

    @abstractmethod
    def press(self, target: Locator) -> None:
        """Press a button, a link or what folds something open."""

    @abstractmethod
    def write(self, field: Locator, text: str) -> None:
        """Write into a field in place of what stands there."""

    @abstractmethod
    def choose(self, field: Locator, words: str) -> None:
        """Choose the first option that begins with these words, and wait for each act that comes of it."""

    @abstractmethod
    def lay_garland(self, stroke: Places, along: Sequence[str]) -> None:
        """A garland over frames, with its beginning on the floor."""

    @abstractmethod
    def carry(self, ref: str, to: tuple[float, float]) -> None:
        """Bring a thing to a place [m]."""

    def act(self, target: Locator) -> None:
        """A press that is an act."""
        acted(self.page, lambda: self.press(target))

    def go(self, target: Locator) -> None:
        """A press that leads to another page."""
        with self.page.expect_navigation():
            self.press(target)

    def open(self, group: Locator) -> None:
        """Fold a group of the panel open."""
        if not group.evaluate("group => group.open"):
            self.press(group.locator("summary"))

    def ask(self, what: str, title: str) -> Locator:
        """Have something added asked for in the panel; gives the panel."""
        self.press(self.page.locator(f'[data-add="{what}"]'))
        expect(self.page.locator("#table-panel-head")).to_have_text(title)
        return self.page.locator("#table-panel")

    def take(self, ref: str) -> Locator:
        """Select a thing by the list of everything; gives its panel."""
        panel = self.page.locator("#table-panel")
        if panel.get_attribute("data-ref") != ref:
            self.open(self.page.locator("#table-things"))
            self.press(self.page.locator(f'#table-things [data-select="{ref}"]'))
            expect(panel).to_have_attribute("data-ref", ref)
        return panel


class Mouse(Hands):
    """A mouse, and a keyboard for what is written."""

    def press(self, target: Locator) -> None:
        target.click()

    def write(self, field: Locator, text: str) -> None:
        field.fill(text)

    def choose(self, field: Locator, words: str) -> None:
        option = label_of(field, words)
        _heeded(self.page, field, lambda: field.select_option(label=option))

    def lay_garland(self, stroke: Places, along: Sequence[str]) -> None:
        self._begin_drawing()
        x, y = self.page.evaluate(AT, list(stroke[0]))
        self.page.mouse.move(x, y)
        self.page.mouse.down()
        for place in stroke[1:]:
            x, y = self.page.evaluate(AT, list(place))
            self.page.mouse.move(x, y, steps=4)
        acted(self.page, self.page.mouse.up)

    def carry(self, ref: str, to: tuple[float, float]) -> None:
        acted(self.page, lambda: drag(self.page, *middle_of(self.page, ref), to))

    def _begin_drawing(self) -> None:
        self.press(self.page.locator('[data-add="garland"]'))
        expect(self.page.locator("#table-scene")).to_have_class(re.compile("is-drawing"))


class Finger(Mouse):
    """One finger on glass."""

    def press(self, target: Locator) -> None:
        target.tap()

    def write(self, field: Locator, text: str) -> None:
        if field.get_attribute("type") not in ("date", "time"):
            field.tap()
        field.fill(text)

    def lay_garland(self, stroke: Places, along: Sequence[str]) -> None:
        self._begin_drawing()
        acted(self.page, lambda: glide(self.page, stroke))

    def carry(self, ref: str, to: tuple[float, float]) -> None:
        x, y = middle_of(self.page, ref)
        acted(self.page, lambda: glide(self.page, [(x, y), to]))


class Keys(Hands):
    """A keyboard alone: what can't be reached with Tab can't be pressed."""

    def __init__(self, page: Page) -> None:
        super().__init__(page)
        page.add_init_script(f"({COUNT_POINTERS})()")

    def press(self, target: Locator) -> None:
        self.reach(target)
        self.page.keyboard.press("Enter")

    def write(self, field: Locator, text: str) -> None:
        self.reach(field)
        if field.get_attribute("type") in ("date", "time"):
            field.press_sequentially(text)
            return
        self.page.keyboard.press("Control+a")
        self.page.keyboard.type(text)

    def choose(self, field: Locator, words: str) -> None:
        wanted = label_of(field, words)
        options = field.locator("option").all_inner_texts()
        away = options.index(wanted) - int(field.evaluate("field => field.selectedIndex"))
        self.reach(field)
        for _ in range(abs(away)):
            self.page.keyboard.press("ArrowDown" if away > 0 else "ArrowUp")
        _heeded(self.page, field, lambda: self.page.keyboard.press("Tab"))

    def lay_garland(self, stroke: Places, along: Sequence[str]) -> None:
        panel = self.ask("garland", "Draw a garland")
        self.choose(panel.get_by_label("Along", exact=True), along[0])
        if along[1:]:
            self.choose(panel.get_by_label("Then along"), along[1])
        self.act(panel.get_by_role("button", name="Add"))
        self.choose(self.page.get_by_label("Start", exact=True), "pools on the floor")

    def carry(self, ref: str, to: tuple[float, float]) -> None:
        self.reach(self.page.locator(f'.hold[data-ref="{ref}"] .hold-body'))
        x, y = middle_of(self.page, ref)
        presses = [*arrows(to[0] - x, "ArrowRight", "ArrowLeft"), *arrows(to[1] - y, "ArrowUp", "ArrowDown")]

        def press_all() -> None:
            for key in presses:
                self.page.keyboard.press(key)

        acted(self.page, press_all)

    def reach(self, target: Locator) -> None:
        """Tab, in the direction in which it lies, until it has the focus."""
        target.wait_for(state="attached")
        key = "Shift+Tab" if target.evaluate(IS_BEFORE_FOCUS) else "Tab"
        for _ in range(MOST_TABS):
            if target.evaluate(HAS_FOCUS):
                return
            self.page.keyboard.press(key)
        raise AssertionError(f"{target} can't be reached with {key}")

    def pointers(self) -> int:
        """How often anything but a key was pressed in this window."""
        return int(self.page.evaluate(POINTERS))


def glide(page: Page, places: Places) -> None:
    """One finger over these places [m], no faster than the page shows it, that comes to rest before it is lifted.

    A finger that is lifted in full flight flings, and Chromium takes the next tap for the one that stops the fling.
    """
    page.evaluate("scrollTo(0, 0)")
    touch = page.context.new_cdp_session(page)
    ways = [page.evaluate(AT, list(place)) for place in places]
    steps = [
        (a[0] + (b[0] - a[0]) * k / FRAMES, a[1] + (b[1] - a[1]) * k / FRAMES)
        for a, b in pairwise(ways)
        for k in range(1, FRAMES + 1)
    ]
    for k, (x, y) in enumerate([tuple(ways[0]), *steps, *[steps[-1]] * FRAMES]):
        kind = "touchMove" if k else "touchStart"
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": y}]})
        page.evaluate(NEXT_FRAME)
    touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def arrows(by_m: float, further: str, back: str) -> list[str]:
    """The presses that move a thing by so much."""
    key, steps = (further if by_m > 0 else back), round(abs(by_m) / STEP_M)
    a_big_one = round(BIG_STEP_M / STEP_M)
    return [f"Shift+{key}"] * (steps // a_big_one) + [key] * (steps % a_big_one)


def label_of(field: Locator, words: str) -> str:
    """The first option that begins with these words."""
    options = field.locator("option").all_inner_texts()
    found = [option for option in options if option.startswith(words)]
    assert found, (words, options)
    return found[0]


def _heeded(page: Page, field: Locator, do: Callable[[], object]) -> None:
    """Change a field; where its form sends itself, that is an act."""
    is_act = field.evaluate("field => field.form?.matches('[data-act]:not([data-waits])') ?? false")
    acted(page, do) if is_act else do()
