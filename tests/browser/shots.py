"""Screenshots of every page, three widths, light and dark, into .local/shots: ``make shots``.

Pages are read from the site's own addresses; each is opened with the newest objects that the demo holds.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, sync_playwright

from studio.local.services import passing_services
from tests.browser import product
from tests.browser.visitors import DESK, INES, PHONE, TABLET, chromium, sign_in

SHOTS = Path(".local") / "shots"
DEVICES: dict[str, dict[str, Any]] = {"390": PHONE, "820": TABLET, "1440": DESK}
START = ("/s/wickerlark/", "/s/wickerlark/events/", "/s/wickerlark/shelf/", "/s/wickerlark/designs/")
MOST_PAGES = 60


def main() -> None:
    """Start the product, find its pages by following their links, and take every picture."""
    SHOTS.mkdir(parents=True, exist_ok=True)
    with passing_services() as addresses:
        product.adopt(addresses)
        with product.running() as running, sync_playwright() as playwright:
            browser = chromium(playwright)
            pages = found_pages(browser, running.site)
            for width, device in DEVICES.items():
                for scheme in ("light", "dark"):
                    shoot(browser, running.site, pages, width, device, scheme)
            browser.close()
    print(f"{len(pages)} pages, {len(list(SHOTS.glob('*.png')))} pictures in {SHOTS}")


def found_pages(browser: Browser, site: str) -> list[str]:
    """Addresses of the studio's pages, one of each kind: ids are let stand for each other."""
    context = browser.new_context(base_url=site)
    page = context.new_page()
    sign_in(page, INES)
    kinds: dict[str, str] = {}
    waiting = list(START)
    while waiting and len(kinds) < MOST_PAGES:
        address = waiting.pop(0)
        kind = re.sub(r"\d+", "0", address)
        if kind in kinds or address.endswith((".pdf", ".svg", ".png", ".jpg", ".json")):
            continue
        answer = page.goto(address)
        if answer is None or not answer.ok:
            raise SystemExit(f"{address} answers {answer.status if answer else 'nothing'}")
        kinds[kind] = address
        links = page.eval_on_selector_all("a[href^='/']", "all => all.map(a => a.getAttribute('href'))")
        waiting += [link.split("#")[0].split("?")[0] for link in links if link.startswith("/s/wickerlark/")]
    context.close()
    return list(kinds.values())


def shoot(
    browser: Browser, site: str, pages: list[str], width: str, device: dict[str, Any], scheme: str
) -> None:
    """Every page at one width and in one scheme."""
    options: dict[str, Any] = {**device, "color_scheme": scheme}
    context = browser.new_context(base_url=site, **options)
    page = context.new_page()
    page.goto("/account/login/")
    page.screenshot(path=SHOTS / f"sign-in-{width}-{scheme}.png", full_page=True)
    sign_in(page, INES)
    for address in pages:
        page.goto(address)
        name = address.removeprefix("/s/wickerlark/").strip("/").replace("/", "-") or "week"
        page.screenshot(path=SHOTS / f"{name}-{width}-{scheme}.png", full_page=True)
    context.close()


if __name__ == "__main__":
    main()
