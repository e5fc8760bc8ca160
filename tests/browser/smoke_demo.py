"""A smoke run of `make demo`, as a new user meets it: `python -m tests.browser.smoke_demo`.

It starts the demo in a folder and on a port of its own, signs in, looks at a quote's picture, offers the
quote and gets the PDF from the worker, presses Ctrl-C, and looks for anything left running. Then once more,
to see that the data was kept and that the second start is quick. It knows what the demo prints, no more.
"""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path

from playwright.sync_api import Browser, Page, Playwright, expect, sync_playwright
from pypdf import PdfReader

from studio.local import processes
from studio.local.place import CHECKOUT, LOCAL, open_place
from studio.local.system_packages import browser as system_browser

FIRST_START_SECONDS = 240
SECOND_START_SECONDS = 60
STOP_SECONDS = 60
OWN = ("DATABASE_URL", "OWNER_DATABASE_URL", "ADMIN_DATABASE_URL", "BACKUP_DATABASE_URL", "REDIS_URL")


@dataclass
class Demo:
    """A `make demo` at a terminal of its own, and what it has printed."""

    process: subprocess.Popen[str]
    lines: list[str] = field(default_factory=list)

    def read(self) -> None:
        """Note and show every line until the demo ends."""
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.lines.append(line.rstrip())
            print(f"  | {line}", end="", flush=True)

    @property
    def output(self) -> str:
        """All that was printed so far."""
        return "\n".join(self.lines)

    def wait_for(self, pattern: str, *, seconds: float) -> str:
        """What the pattern's group matches, once it is printed."""
        deadline = time.monotonic() + seconds
        while not (found := re.search(pattern, self.output)):
            if self.process.poll() is not None or time.monotonic() > deadline:
                raise SystemExit(f"`make demo` did not print {pattern!r} in time.")
            time.sleep(0.1)
        return found[1]

    def press_ctrl_c(self) -> None:
        """Send what a terminal sends: SIGINT to the whole group of processes in the foreground."""
        os.killpg(self.process.pid, signal.SIGINT)
        self.process.wait(STOP_SECONDS)


@contextmanager
def demo(folder: Path) -> Iterator[Demo]:
    """Start `make demo`; whatever happens, end it."""
    environment = {name: value for name, value in os.environ.items() if name not in OWN}
    process = subprocess.Popen(
        ["make", "--no-print-directory", "demo", "PORT=0", f"FOLDER={folder}"],
        cwd=CHECKOUT,
        env=environment,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        start_new_session=True,
    )
    started = Demo(process)
    reader = threading.Thread(target=started.read)
    reader.start()
    try:
        yield started
    finally:
        if process.poll() is None:
            started.press_ctrl_c()
        reader.join(STOP_SECONDS)


def chromium(playwright: Playwright) -> Browser:
    """The system's Chromium where there is one, else Playwright's own."""
    flags = ["--disable-background-networking", "--disable-component-update", "--disable-sync"]
    if os.geteuid() == 0:
        flags.append("--no-sandbox")
    return playwright.chromium.launch(executable_path=system_browser(), args=flags)


@contextmanager
def window(browser: Browser, site: str) -> Iterator[Page]:
    """A browser window; of a failure it leaves a picture and the page's words."""
    page = browser.new_page(base_url=site)
    try:
        yield page
    except BaseException:
        page.screenshot(path=LOCAL / "smoke-failure.png", full_page=True)
        print(f"At {page.url}:\n{page.locator('body').inner_text()[:2000]}", flush=True)
        raise
    finally:
        page.close()


def sign_in(page: Page, email: str, password: str) -> None:
    """Through the front door."""
    page.goto("/account/login/")
    page.locator("#id_login").fill(email)
    page.locator("#id_password").fill(password)
    page.get_by_role("button", name="Sign in", exact=True).click()
    page.wait_for_url("**/s/**")


def look_at_a_quote_and_offer_it(page: Page) -> str:
    """See a picture, make an offer, get its PDF; gives back the quote's address."""
    page.goto(f"{page.url.rstrip('/')}/quotes/")
    links = page.locator(".quotes-list .line-main a").all()
    addresses = [str(link.get_attribute("href")) for link in links]
    assert addresses, "the demo has no quote that waits for an answer"
    quote = next((address for address in addresses if offered(page, address)), None)
    assert quote is not None, f"none of {len(addresses)} quotes could be offered"
    paper = page.get_by_role("link", name="Download the PDF")
    paper.wait_for(timeout=60_000)
    content = page.request.get(str(paper.get_attribute("href"))).body()
    reader = PdfReader(BytesIO(content))
    words = "".join(part.extract_text() for part in reader.pages)
    assert "Wickerlark" in words, words[:200]
    print(f"The worker made a PDF of {len(reader.pages)} pages, {len(content) / 1000:.0f} kB.", flush=True)
    return quote


def offered(page: Page, address: str) -> bool:
    """Look at the quote and press its Offer; whether that made an offer: a cancelled event's makes none."""
    page.goto(address)
    rounds_in_the_picture(page)
    button = page.locator("button#offer")
    if button.count() == 0:
        return False
    with page.expect_navigation():
        button.click()
    return "/offers/" in page.url


def rounds_in_the_picture(page: Page) -> int:
    """How many balloons the quote's picture shows; raises when it is not a picture of a set piece."""
    picture = page.locator("#quote svg[role=img]").first
    expect(picture).to_be_visible()
    rounds = picture.locator('use[href^="#b"]').count()
    assert rounds > 50, f"the picture shows {rounds} rounds"
    return rounds


def main() -> int:
    """The whole run; raises at the first thing that is not as it should be."""
    LOCAL.mkdir(exist_ok=True)
    folder = Path(tempfile.mkdtemp(dir=LOCAL, prefix="smoke-")) / "demo"
    folder.parent.chmod(0o711)
    try:
        with sync_playwright() as playwright:
            browser = chromium(playwright)
            with demo(folder) as running:
                site, password, email = first_start(running)
                with window(browser, site) as page:
                    sign_in(page, email, password)
                    quote = look_at_a_quote_and_offer_it(page)
                running.press_ctrl_c()
            nothing_runs(folder)
            with demo(folder) as running:
                site = second_start(running)
                with window(browser, site) as page:
                    sign_in(page, email, password)
                    page.goto(quote)
                    rounds = rounds_in_the_picture(page)
                    print(f"The quote is kept, its picture has {rounds} rounds.", flush=True)
                running.press_ctrl_c()
            nothing_runs(folder)
            browser.close()
    finally:
        processes.stop_left_behind(open_place(folder))
        discard(folder.parent)
    print("The smoke run of the demo passed.", flush=True)
    return 0


def first_start(running: Demo) -> tuple[str, str, str]:
    """The address, the password and the owner's e-mail address that the demo prints."""
    began = time.monotonic()
    site = running.wait_for(r"Billowbook runs at (http://localhost:\d+)", seconds=FIRST_START_SECONDS)
    print(f"The first start took {time.monotonic() - began:.1f} s.", flush=True)
    password = running.wait_for(r"the password (\S+)", seconds=5)
    return site, password, running.wait_for(r"(\S+@\S+) +owner", seconds=5)


def second_start(running: Demo) -> str:
    """The address of a demo that finds its data."""
    began = time.monotonic()
    site = running.wait_for(r"Billowbook runs at (http://localhost:\d+)", seconds=SECOND_START_SECONDS)
    print(f"The second start took {time.monotonic() - began:.1f} s.", flush=True)
    assert "the first time only" not in running.output, "the second start must keep the data"
    return site


def nothing_runs(folder: Path) -> None:
    """Raise if a process of that demo still lives."""
    left = [f"{process.pid} {process.name()}" for process in processes.left_behind(open_place(folder))]
    assert left == [], f"after Ctrl-C these still run: {left}"
    print("Ctrl-C left nothing running.", flush=True)


def discard(folder: Path) -> None:
    """Delete the demo's folder, and what lies elsewhere for it."""
    for note in folder.rglob("elsewhere"):
        shutil.rmtree(note.read_text(encoding="utf-8").strip(), ignore_errors=True)
    shutil.rmtree(folder)


if __name__ == "__main__":
    sys.exit(main())
