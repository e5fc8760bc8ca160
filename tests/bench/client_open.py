"""How a client's page feels on a slow phone: ``python -m tests.bench.client_open``.

Chromium with a processor four times slower, on a slow 4G line: the figures by which Lighthouse slows a browser request
by request (1,474.56 kbit/s down, 675 kbit/s up, 562.5 ms before each answer, which stands for a round trip of 150 ms;
from memory of its published constants). Each visit is a client's first: nothing is in the browser's cache. What is
measured are the browser's own Web Vitals: when the largest thing in sight is drawn (LCP), how far what is seen moves
by itself (CLS), and the slowest answer to a press (INP), by their definitions at web.dev.
"""

from __future__ import annotations

import os
import statistics
import sys
from dataclasses import dataclass
from urllib.parse import urljoin

from playwright.sync_api import Browser, Page, sync_playwright

from studio.local.services import passing_services
from tests.bench.figures import Figure, Figures
from tests.browser import product as product_module
from tests.browser.product import Product
from tests.browser.test_client_phone import link_of
from tests.browser.visitors import INES, PHONE, chromium

SLOW_4G = {
    "offline": False,
    "latency": 562.5,
    "downloadThroughput": 1_474_560 / 8,
    "uploadThroughput": 675_000 / 8,
}
TIMES = 7
EVENT = "Leaving ball"
LARGEST_S, MOVED, PRESS_MS = 1.5, 0.02, 100
"""The bars."""
NOTE = """(() => {
  window.vitals = { largest: 0, what: "", moved: 0, moves: [], press: 0, pressed: "" };
  new PerformanceObserver((list) => {
    for (const entry of list.getEntries()) {
      vitals.largest = entry.startTime;
      vitals.what = `${entry.element?.tagName} ${entry.element?.className} ${entry.url}`;
    }
  }).observe({ type: "largest-contentful-paint", buffered: true });
  new PerformanceObserver((list) => {
    for (const entry of list.getEntries()) {
      if (entry.hadRecentInput) continue;
      vitals.moved += entry.value;
      vitals.moves.push(...entry.sources.map(({ node }) => `${node?.nodeName} ${node?.className ?? ""}`));
    }
  }).observe({ type: "layout-shift", buffered: true });
  new PerformanceObserver((list) => {
    for (const entry of list.getEntries()) {
      if (!entry.interactionId || entry.duration <= vitals.press) continue;
      vitals.press = entry.duration;
      vitals.pressed = `${entry.name} on ${entry.target?.tagName} ${entry.target?.id}`;
    }
  }).observe({ type: "event", durationThreshold: 16, buffered: true });
})()"""


@dataclass(frozen=True)
class Visit:
    """What one visit came to, and what was largest and slowest."""

    largest_ms: float
    largest: str
    moved: float
    moves: str
    press_ms: float
    pressed: str
    bytes_sent: int


def main() -> int:
    """Measure and print; 1 where a bar isn't held."""
    with passing_services() as addresses:
        product_module.adopt(addresses)
        with product_module.running() as running, sync_playwright() as playwright:
            browser = chromium(playwright)
            figures = measured(browser, running)
            browser.close()
    sys.stdout.write("\n".join(figures.table({})) + "\n")
    return int(not all(each.holds for each in figures.found))


def measured(browser: Browser, product: Product) -> Figures:
    """The median of several first visits, by the clean address and by the link as it is sent."""
    link = link_of(browser, product, INES, EVENT)
    figures = Figures()
    for name in ("the page", "the link, which leads on to the page"):
        visits = [_visit(browser, link, by_link=name != "the page") for _ in range(TIMES)]
        largest = statistics.median(each.largest_ms for each in visits)
        figures.add(Figure(f"{name}, largest is drawn", largest / 1000, "s", bar=LARGEST_S))
        figures.add(Figure(f"{name}, moves by itself", max(each.moved for each in visits), "", bar=MOVED))
        press = statistics.median(each.press_ms for each in visits)
        figures.add(Figure(f"{name}, slowest press", press, "ms", bar=PRESS_MS))
        figures.add(Figure(f"{name}, sent", visits[0].bytes_sent / 1000, "kB"))
        sys.stdout.write(
            f"{name}: largest {visits[0].largest}; moved {visits[0].moves}; slowest {visits[0].pressed}\n"
        )
    return figures


def _visit(browser: Browser, link: str, *, by_link: bool) -> Visit:
    context = browser.new_context(**PHONE)
    context.add_init_script(NOTE)
    page = context.new_page()
    if not by_link:
        # The cookie that the link gives, then the page as a browser sees it that has nothing else yet.
        led_on = page.request.get(link, max_redirects=0).headers["location"]
        link = urljoin(link, led_on)
    wire = context.new_cdp_session(page)
    wire.send("Network.enable")
    wire.send("Network.setCacheDisabled", {"cacheDisabled": True})
    wire.send("Emulation.setCPUThrottlingRate", {"rate": 4})
    wire.send("Network.emulateNetworkConditions", SLOW_4G)
    sizes: list[int] = []
    wire.on("Network.loadingFinished", lambda done: sizes.append(int(done["encodedDataLength"])))
    page.goto(link, wait_until="networkidle", timeout=60_000)
    page.wait_for_timeout(500)
    drawn = page.evaluate("({...vitals})")
    sent = sum(sizes)
    _press(page)
    felt = page.evaluate("({...vitals})")
    context.close()
    return Visit(
        drawn["largest"],
        drawn["what"],
        felt["moved"],
        ", ".join(felt["moves"]),
        felt["press"],
        felt["pressed"],
        sent,
    )


def _press(page: Page) -> None:
    """What a client does: an option switched, a name typed, the box ticked, the form for a change opened."""
    page.get_by_role("checkbox").first.tap()
    page.wait_for_timeout(1500)
    page.locator("#agree").get_by_label("Your name", exact=True).tap()
    page.keyboard.type("Ada")
    page.get_by_role("checkbox").last.tap()
    page.get_by_text("Ask for a change").tap()
    page.wait_for_timeout(500)


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "1")
    sys.exit(main())
