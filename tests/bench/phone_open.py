"""How soon a kept load-out page can be used on a slow phone: ``python -m tests.bench.phone_open``.

Chromium with a processor four times slower and its "slow 3G" (400 kbit/s down and up, 2 s round trip, the figures
of the browser's own developer tools). The browser slows the page down but not its worker, so the same is measured
with a server that takes requests and never answers, which is slower than any network, and with no network at all.
The page notes by itself when its script has taken over, from when on a press ticks, and how long a press then takes
until the line is drawn as ticked: what the browser's driver takes in between is no part of either.
"""

from __future__ import annotations

import os
import signal
import statistics

from playwright.sync_api import Browser, CDPSession, Page, sync_playwright

from studio.local.services import passing_services
from tests.browser import product as product_module
from tests.browser.phones import all_sent, ready, ticks
from tests.browser.product import Product
from tests.browser.visitors import MARIT, PHONE, chromium, sign_in
from tests.faults.phone_soak import list_not_loaded

SLOW_3G = {
    "offline": False,
    "latency": 2000,
    "downloadThroughput": 400_000 / 8,
    "uploadThroughput": 400_000 / 8,
}
TIMES = 7
USABLE = "html[data-ready=yes]"
TICKED = "html[data-ticked=yes]"
NOTE_TIMES = """(() => {
  let pressed = 0;
  addEventListener("click", () => { pressed = performance.now(); }, true);
  new MutationObserver((changes) => {
    for (const { target, attributeName } of changes) {
      if (attributeName === "data-ready") window.listensAt ??= performance.now();
      if (attributeName !== "aria-pressed" || !pressed) continue;
      window.tickTook ??= performance.now() - pressed;
      document.documentElement.dataset.ticked = "yes";
    }
  }).observe(document, { subtree: true, attributes: true, attributeFilter: ["data-ready", "aria-pressed"] });
})()"""


def main() -> None:
    """Measure and print."""
    with passing_services() as addresses:
        product_module.adopt(addresses)
        with product_module.running() as running, sync_playwright() as playwright:
            browser = chromium(playwright)
            measure(browser, running)
            browser.close()


def measure(browser: Browser, product: Product) -> None:
    """Open the kept page again and again."""
    context = browser.new_context(base_url=product.site, **PHONE)
    context.add_init_script(NOTE_TIMES)
    page = context.new_page()
    sign_in(page, MARIT)
    address = list_not_loaded(page)
    page.goto(address)
    ready(page)
    page.goto(address)
    ready(page)
    wire = context.new_cdp_session(page)
    wire.send("Network.enable")
    print(f"unthrottled        {told(opened(page, address))}")
    wire.send("Emulation.setCPUThrottlingRate", {"rate": 4})
    print(f"4 × slower         {told(opened(page, address))}")
    wire.send("Network.emulateNetworkConditions", SLOW_3G)
    print(f"and slow 3G        {told(opened(page, address))}")
    unthrottle(wire, slower=4)
    assert product.web is not None
    group = product.web.running.process.pid
    os.killpg(group, signal.SIGSTOP)
    print(f"and a mute server  {told(opened(page, address))}")
    os.killpg(group, signal.SIGCONT)
    context.set_offline(True)
    print(f"and no network     {told(opened(page, address))}")
    context.set_offline(False)
    unthrottle(wire)
    all_sent(page)
    context.close()


def opened(page: Page, address: str) -> list[tuple[float, float]]:
    """Seconds from asking for the page until it listens, and what a press then takes, several times."""
    seconds = []
    first = ticks(page).first
    for _ in range(TIMES):
        page.goto(address, wait_until="commit")
        page.wait_for_selector(USABLE)
        first.tap()
        page.wait_for_selector(TICKED)
        listens, took = page.evaluate("[window.listensAt, window.tickTook]")
        seconds.append((listens / 1000, took / 1000))
    return seconds


def unthrottle(wire: CDPSession, *, slower: int = 1) -> None:
    """The network as fast as it is, and the processor as asked."""
    wire.send("Emulation.setCPUThrottlingRate", {"rate": slower})
    free = {"offline": False, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1}
    wire.send("Network.emulateNetworkConditions", free)


def told(seconds: list[tuple[float, float]]) -> str:
    """Median and slowest of both."""
    return "; ".join(
        f"{what}: median {statistics.median(each):.2f} s, slowest {max(each):.2f} s"
        for what, each in zip(("listens", "a press takes"), zip(*seconds, strict=True), strict=True)
    )


if __name__ == "__main__":
    main()
