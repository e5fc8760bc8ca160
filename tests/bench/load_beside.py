"""What another studio does beside the owners of a load run: tables of items checked, or budgets fitted.

They work as one person in one browser does: ask, look until it is there, ask for the next.
"""

from __future__ import annotations

import re
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Final

from tests.bench.load_browser import LoadBrowser, fields, token
from tests.bench.load_desks import Desk

TABLES, ROWS = 24, 500
"""As many rows as one person may have looked at in ten minutes."""
FITS: Final = 20
"""As many as one person may ask for in a minute."""
LOOK_SECONDS: Final = 0.5


@dataclass
class Neighbour:
    """Another studio's owner, and how much of their work is done."""

    site: str
    desk: Desk
    done: int = 0
    refused: list[str] = field(default_factory=list)

    def check_table(self) -> None:
        """Have a table of new items checked, and look until the page says what it would change."""
        browser = self._browser()
        page = f"/s/{self.desk.studio}/shelf/import/"
        browser.upload(page, "file", _table(self.done), {"csrfmiddlewaretoken": token(browser.get(page))})
        _until_there(browser, browser.last_path)
        self.done += 1

    def fit_budget(self) -> None:
        """Have a budget fitted, and look until the versions are there."""
        browser = self._browser()
        page = f"/s/{self.desk.studio}/quotes/{self.desk.quote_id}/"
        sent = fields(browser.get(page), 'class="fit-budget')
        shown = browser.post(page + "fit-budget/", {**sent, "budget": str(700 + 10 * self.done)})
        if asks := re.search(r'id="fit-answer"[^>]*hx-get="([^"]+)"', shown):
            _until_there(browser, asks[1])
        self.done += 1

    def _browser(self) -> LoadBrowser:
        return LoadBrowser(self.site, self.desk.cookie)


KINDS: Final[Mapping[str, tuple[Callable[[Neighbour], None], int]]] = {
    "tables": (Neighbour.check_table, TABLES),
    "fits": (Neighbour.fit_budget, FITS),
}
"""By its name: one piece of work, and how many in a run."""


def work(neighbour: Neighbour, kind: str, is_on: Callable[[], bool | None]) -> None:
    """Do the work of that kind while it is on, until all of it is done or ``is_on`` says None."""
    once, most = KINDS[kind]
    while neighbour.done < most and (on := is_on()) is not None:
        if not on:
            time.sleep(0.2)
            continue
        try:
            once(neighbour)
        except Exception as fault:  # noqa: BLE001 # Whatever it is, the table says it.
            neighbour.refused.append(f"{type(fault).__name__}: {fault}")
            time.sleep(1)


# --- Private ---


def _table(number: int) -> bytes:
    rows = (f"load-{number}-{row},hardware,Clip {number} {row},box {row % 9}" for row in range(ROWS))
    return "\n".join(["code,kind,name,place", *rows]).encode()


def _until_there(browser: LoadBrowser, path: str) -> None:
    while "<progress" in browser.get(path, by_script=True):
        time.sleep(LOOK_SECONDS)
