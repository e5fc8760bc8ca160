"""Browsers and the people in them."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from urllib.parse import urlsplit

from playwright.sync_api import (
    Browser,
    BrowserContext,
    BrowserType,
    ConsoleMessage,
    Page,
    Playwright,
    Request,
)

from quoting.demo import PASSWORD
from studio.local.system_packages import browser as system_browser

PHONE: dict[str, Any] = {
    "viewport": {"width": 390, "height": 844},
    "is_mobile": True,
    "has_touch": True,
    "device_scale_factor": 2,
}
TABLET: dict[str, Any] = {"viewport": {"width": 820, "height": 1180}}
DESK: dict[str, Any] = {"viewport": {"width": 1440, "height": 1000}}

INES, TEO, MARIT = "ines@wickerlark.example", "teo@wickerlark.example", "marit@wickerlark.example"
JULE = "jule@federkorn.example"


def chromium(playwright: Playwright) -> Browser:
    """The system's Chromium where there is one, else Playwright's own."""
    return launched(playwright.chromium)


def with_graphics(browser: Browser) -> Browser:
    """Another one of its kind, in which pages have WebGL, worked out by the processor."""
    return launched(browser.browser_type, "--use-angle=swiftshader", "--enable-unsafe-swiftshader")


def launched(kind: BrowserType, *more: str) -> Browser:
    """A browser that asks for nothing by itself."""
    flags = [
        *more,
        "--no-first-run",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
    ]
    if os.getuid() == 0:
        flags.append("--no-sandbox")
    return kind.launch(executable_path=system_browser(), args=flags)


TOLD_ON_THE_PAGE = ("status of 409", "status of 422")
"""Answers with which a page says what can't be; Chromium notes them in its console."""


class Watch:
    """Notes what a page must not do: complain in the console, throw, or ask another host for anything."""

    def __init__(self, site: str, told: tuple[str, ...] = ()) -> None:
        self.site = urlsplit(site).netloc
        self.told = TOLD_ON_THE_PAGE + told
        self.faults: list[str] = []

    def follow(self, context: BrowserContext) -> None:
        """Watch every page of the context."""
        context.on("console", self._console)
        context.on("weberror", lambda error: self.faults.append(f"thrown: {error.error}"))
        context.on("request", self._request)

    def _console(self, message: ConsoleMessage) -> None:
        told = any(status in message.text for status in self.told)
        if message.type in ("error", "warning") and not told:
            self.faults.append(f"console: {message.text}")

    def _request(self, request: Request) -> None:
        parts = urlsplit(request.url)
        if parts.scheme in ("http", "https") and parts.netloc != self.site:
            self.faults.append(f"asked another host: {request.url}")


@contextmanager
def visit(
    browser: Browser, site: str, device: dict[str, Any], *, told: tuple[str, ...] = (), **options: Any
) -> Iterator[Page]:
    """A fresh browser window; at its end nothing may have gone wrong in it but what the page had ``told`` of."""
    context = browser.new_context(base_url=site, **device, **options)
    context.set_default_timeout(15_000)
    watch = Watch(site, told)
    watch.follow(context)
    try:
        yield context.new_page()
        assert not watch.faults, watch.faults
    finally:
        context.close()


def sign_in(page: Page, email: str) -> None:
    """Through the front door, as everybody does."""
    page.goto("/account/login/")
    page.get_by_label("E-mail address").fill(email)
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_role("button", name="Sign in", exact=True).click()
    page.wait_for_url("**/s/**")
