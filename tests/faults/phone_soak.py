"""Phones in a cellar: what they showed as kept is on the server exactly once, whatever happened on the way.

``python -m tests.faults.phone_soak`` lets three phones do 500 things on one load-out list while the network is cut
at random, pages are loaded anew and the web server is killed and restarted in the midst of it. Then everything is
compared: the log that a script of this test kept on each phone, beside the product's own store, with the rows that
the backup role reads from the server's table. What the phones show in the end is compared with a fold of those rows
that is written here again, without the product's code.
"""

from __future__ import annotations

import argparse
import json
import random
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from typing import Any, Final

from playwright.sync_api import Browser, Page, sync_playwright

from studio.local.services import passing_services
from tests.browser import product as product_module
from tests.browser.phones import kept, ready
from tests.browser.product import Product
from tests.browser.visitors import MARIT, PHONE, TEO, chromium, sign_in

JONAH: Final = "jonah@wickerlark.example"
PEOPLE: Final = (MARIT, JONAH, TEO)
SETTLE_SECONDS: Final = 180

# Every entry that the page's store takes is written down beside it: when it was asked for, and once it was safe.
JOURNAL: Final = """(() => {
  const add = IDBObjectStore.prototype.add;
  IDBObjectStore.prototype.add = function (entry, ...more) {
    if (this.name === "post" && entry.op) {
      const name = `soak.${entry.uuid}`;
      localStorage.setItem(name, JSON.stringify({ ...entry.op, safe: false }));
      this.transaction.addEventListener("complete", () =>
        localStorage.setItem(name, JSON.stringify({ ...entry.op, safe: true })));
    }
    return add.call(this, entry, ...more);
  };
})()"""
READ_JOURNAL: Final = """() => Object.keys(localStorage).filter((key) => key.startsWith("soak."))
  .map((key) => JSON.parse(localStorage.getItem(key)))"""
SHOWN: Final = """() => Object.fromEntries([...document.querySelectorAll("[data-line]")].map((row) => {
  const words = row.querySelector("[data-shown]").textContent.split(" / ");
  const pressed = row.querySelector(".tick").getAttribute("aria-pressed");
  const count = pressed === "false" ? 0 : pressed === "true" ? Number(row.dataset.quantity) : Number(words[0]);
  return [row.dataset.line, count];
}))"""
PRESS: Final = """([line, what, value]) => {
  const row = document.querySelector(`[data-line="${line}"]`);
  if (what === "tick") return row.querySelector(".tick").click();
  const box = row.querySelector(what === "some" ? "input[type=number]" : "input[type=text]");
  box.value = value;
  row.querySelector(`button[data-press=${what}]`).click();
}"""


@dataclass
class Figures:
    """What happened, and what was found."""

    phones: int
    operations: int = 0
    cuts: int = 0
    reloads: int = 0
    kills: int = 0
    restarts: int = 0
    seconds: float = 0.0
    rows: int = 0
    faults: list[str] = field(default_factory=list)

    def told(self) -> str:
        """One line."""
        return (
            f"{self.operations} things on {self.phones} phones in {self.seconds:.0f} s; network cut "
            f"{self.cuts} times, pages loaded anew {self.reloads} times, server killed {self.kills} times and "
            f"restarted {self.restarts} times; {self.rows} rows on the server; {len(self.faults)} faults"
        )


@dataclass
class Handset:
    """One phone of the soak."""

    person: str
    page: Page
    address: str
    online: bool = True

    def cut(self) -> None:
        """The signal goes, or comes back."""
        self.online = not self.online
        self.page.context.set_offline(not self.online)

    def reload(self) -> None:
        """Load the page anew, with signal or without."""
        self.page.goto(self.address)
        self.page.wait_for_selector("html[data-ready]")


def soak(
    product: Product, browser: Browser, *, phones: int, operations: int, seed: int, falls: int
) -> Figures:
    """Do it all and compare; ``falls`` times the server is killed or restarted, in turn."""
    assert product.web is not None
    dice, figures, began = random.Random(seed), Figures(phones), time.monotonic()  # noqa: S311 -- a soak's dice
    with handsets(browser, product.site, phones) as carried:
        event_id = int(carried[0].address.split("/events/")[1].split("/")[0])
        before = {row["uuid"] for row in rows_of(product, event_id)}
        lines = carried[0].page.evaluate(SHOWN)
        quantities = carried[0].page.eval_on_selector_all(
            "[data-line]",
            "rows => Object.fromEntries(rows.map((r) => [r.dataset.line, Number(r.dataset.quantity)]))",
        )
        falls_at = {operations * (number + 1) // (falls + 1) for number in range(falls)}
        down_since: int | None = None
        for number in range(operations):
            if number in falls_at:
                fall(product, figures)
                down_since = number
            if down_since is not None and number >= down_since + 8:
                product.web.start()
                down_since = None
            handset = dice.choice(carried)
            disturb(handset, dice, figures, server_is_up=down_since is None)
            act(handset, dice, list(lines), quantities)
            figures.operations += 1
        if down_since is not None:
            product.web.start()
        settle(carried, figures)
        compare(carried, rows_of(product, event_id), before, quantities, figures)
    figures.seconds = time.monotonic() - began
    return figures


@contextmanager
def handsets(browser: Browser, site: str, number: int) -> Iterator[list[Handset]]:
    """So many phones, each with somebody else signed in, all with the same list open."""
    with ExitStack() as stack:
        carried: list[Handset] = []
        address = ""
        for person in PEOPLE[:number]:
            context = browser.new_context(base_url=site, **PHONE)
            stack.callback(context.close)
            context.set_default_timeout(60_000)
            context.add_init_script(JOURNAL)
            page = context.new_page()
            sign_in(page, person)
            address = address or list_not_loaded(page)
            page.goto(address)
            ready(page)
            carried.append(Handset(person, page, address))
        yield carried


def list_not_loaded(page: Page) -> str:
    """Address of the list of an agreed event whose van isn't loaded yet."""
    page.goto("/s/wickerlark/events/")
    events = [link.get_attribute("href") for link in page.locator(".line-main a").all()]
    for address in (f"{event}load-out/" for event in events):
        page.goto(address)
        if page.locator('#step [data-when="agreed"]:not([hidden])').count():
            return address
    raise AssertionError("The demo has no agreed event whose van is still to be loaded.")


def fall(product: Product, figures: Figures) -> None:
    """The server dies, or is stopped for a new release."""
    assert product.web is not None
    if (figures.kills + figures.restarts) % 2 == 0:
        product.web.kill()
        figures.kills += 1
    else:
        product.web.stop()
        figures.restarts += 1


def disturb(handset: Handset, dice: random.Random, figures: Figures, *, server_is_up: bool) -> None:
    """Cut the network or give it back; load the page anew, which without signal is a thing of the phone alone."""
    if dice.random() < (0.10 if handset.online else 0.25):
        handset.cut()
        figures.cuts += not handset.online
    if dice.random() < 0.05 and (server_is_up or not handset.online):
        handset.reload()
        figures.reloads += 1


def act(handset: Handset, dice: random.Random, lines: list[str], quantities: dict[str, int]) -> None:
    """A tick, a count of some, or a note, on a line taken at random."""
    line = dice.choice(lines)
    what = dice.choices(("tick", "some", "note"), (6, 3, 1))[0]
    if what == "some" and quantities[line] == 1:
        what = "tick"
    value = str(dice.randint(0, quantities[line])) if what == "some" else f"note {dice.randint(0, 10**9)}"
    handset.page.evaluate(PRESS, [line, what, value])
    handset.page.wait_for_timeout(dice.choice((0, 20, 60)))


def settle(carried: list[Handset], figures: Figures) -> None:
    """Give every phone its signal back and wait until nothing waits on any."""
    for handset in carried:
        if not handset.online:
            handset.cut()
    deadline = time.monotonic() + SETTLE_SECONDS
    while any(kept(handset.page) for handset in carried):
        if time.monotonic() > deadline:
            figures.faults.append(f"still waiting: {[len(kept(handset.page)) for handset in carried]}")
            return
        carried[0].page.wait_for_timeout(500)
    for handset in carried:
        handset.reload()
        handset.page.wait_for_timeout(1500)  # the page looks for news as it opens


def rows_of(product: Product, event_id: int) -> list[dict[str, Any]]:
    """The server's own rows, read by the backup role."""
    names = ("uuid", "line_id", "kind", "count", "text", "after", "phone", "made_at")
    with product.connect_backup() as connection:
        found = connection.execute(
            "SELECT uuid::text, line_id, kind, count, text, after::text[], phone, made_at"
            " FROM events_tick WHERE event_id = %s",
            [event_id],
        ).fetchall()
    return [dict(zip(names, row, strict=True)) for row in found]


def compare(
    carried: list[Handset],
    rows: list[dict[str, Any]],
    before: set[str],
    quantities: dict[str, int],
    figures: Figures,
) -> None:
    """Every phone's journal beside the server's rows, and what the phones show beside the rows' fold."""
    figures.rows = sum(row["uuid"] not in before for row in rows)
    journal = [op for handset in carried for op in handset.page.evaluate(READ_JOURNAL)]
    figures.faults += faults_of(journal, rows, before)
    if sum(op["safe"] for op in journal) < figures.operations * 0.9:
        figures.faults.append(f"only {len(journal)} things were kept of {figures.operations} presses")
    for handset in carried:
        figures.faults += wrongly_shown(handset.person, handset.page.evaluate(SHOWN), rows, quantities)


def faults_of(journal: list[dict[str, Any]], rows: list[dict[str, Any]], before: set[str]) -> list[str]:
    """What is lost, doubled, changed on the way, or on the server from nowhere."""
    of_uuid = {row["uuid"]: row for row in rows if row["uuid"] not in before}
    tried = {op["uuid"]: op for op in journal}
    times = Counter(row["uuid"] for row in rows)
    return [
        *(f"on the server {number} times: {name}" for name, number in times.items() if number != 1),
        *(f"lost: {json.dumps(op)}" for op in journal if op["safe"] and op["uuid"] not in of_uuid),
        *(f"from nowhere: {name}" for name in of_uuid if name not in tried),
        *(
            f"changed on the way: {json.dumps(tried[name])}"
            for name, row in of_uuid.items()
            if name in tried and not same(tried[name], row)
        ),
    ]


def wrongly_shown(
    person: str, shown: dict[str, int], rows: list[dict[str, Any]], quantities: dict[str, int]
) -> list[str]:
    """The lines of which a phone shows another count than the log gives."""
    return [
        f"{person} shows {shown[line]} of line {line}, the log says {count}"
        for line, count in counts(rows, quantities).items()
        if shown[line] != min(count, quantities[line])
    ]


def same(op: dict[str, Any], row: dict[str, Any]) -> bool:
    """Whether the server's row says what the phone said."""
    said = (op["line"], op.get("kind", "loaded"), op.get("count", 0), op.get("text", ""), op["phone"])
    return said == (row["line_id"], row["kind"], row["count"], row["text"], row["phone"])


def counts(rows: list[dict[str, Any]], quantities: dict[str, int]) -> dict[str, int]:
    """How many of each line are in: of the ticks that no later one settled, the latest made."""
    found = dict.fromkeys(quantities, 0)
    for line in found:
        mine = [row for row in rows if row["kind"] == "loaded" and str(row["line_id"]) == line]
        settled = {name for row in mine for name in row["after"] or ()}
        open_ones = [row for row in mine if row["uuid"] not in settled]
        if open_ones:
            found[line] = max(open_ones, key=lambda row: (row["made_at"], row["uuid"]))["count"]
    return found


def main() -> int:
    """The whole soak on servers of its own; 1 when anything was lost, doubled or shown wrongly."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--operations", type=int, default=500)
    parser.add_argument("--phones", type=int, default=3, choices=(1, 2, 3))
    parser.add_argument("--falls", type=int, default=6)
    parser.add_argument("--seed", type=int, default=random.SystemRandom().randrange(10**6))
    asked = parser.parse_args()
    print(f"Seed {asked.seed}.", flush=True)
    with passing_services() as addresses:
        product_module.adopt(addresses)
        with product_module.running() as product, sync_playwright() as playwright:
            browser = chromium(playwright)
            figures = soak(
                product,
                browser,
                phones=asked.phones,
                operations=asked.operations,
                seed=asked.seed,
                falls=asked.falls,
            )
            browser.close()
    print(figures.told())
    for fault in figures.faults[:20]:
        print(f"  {fault}")
    return 1 if figures.faults else 0


if __name__ == "__main__":
    raise SystemExit(main())
