"""Where a second machine would help: ``python -m tests.bench.load_two``.

Starts the product, a second web server and a second set of workers beside it, and a streaming read replica of its
database, all on this machine. Owners look at the list of quotes, open one and change it, by turns with one web server
and with two, so that both are from the same minutes; then budgets are fitted by one worker and by two, and the lists'
queries are asked of the database and of its replica while edits go on. On a machine whose cores are taken already two
of anything share what one had: the table says how many cores there were.
"""

from __future__ import annotations

import argparse
import os
import random
import statistics
import sys
import tempfile
import threading
import time
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

import psycopg

from studio.local import demo, listening, processes
from studio.local.place import open_place
from studio.local.services import passing_services
from tests.bench.load_beside import Neighbour
from tests.bench.load_browser import LoadBrowser, fields
from tests.bench.load_desks import Desk, make_desks
from tests.bench.read_replica import read_replica
from tests.browser import product
from tests.browser.product import Product

STUDIO: Final = "wickerlark"
TURN_SECONDS: Final = 8.0
FITS: Final = 6
QUESTIONS: Final = {
    "list of quotes": "SELECT q.id, q.title, e.title FROM quoting_quote q JOIN events_event e ON e.id = q.event_id"
    " ORDER BY q.changed_at DESC LIMIT 50",
    "a quote's pieces": "SELECT id, design, takeoff FROM quoting_setpiece ORDER BY id DESC LIMIT 3",
    "holds of a day": "SELECT l.item_id, sum(l.quantity) FROM stock_holdline l JOIN stock_hold h ON h.id = l.hold_id"
    " WHERE h.state = 'held' AND l.standing GROUP BY l.item_id",
}
"""The hottest questions of lists, quotes and stock, as plain SQL: the replica has no app of its own to ask them."""


@dataclass
class Times:
    """Seconds by what was done and by how many servers did it."""

    took: defaultdict[tuple[str, int], list[float]] = field(default_factory=lambda: defaultdict(list))
    refused: list[str] = field(default_factory=list)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def note(self, what: str, servers: int, began: float) -> None:
        """Something was done just now."""
        with self.lock:
            self.took[what, servers].append(time.monotonic() - began)


def main() -> int:
    """Measure and print; 1 where anything was refused."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--owners", type=int, default=8)
    asked.add_argument("--seconds", type=float, default=64)
    given = asked.parse_args()
    with passing_services() as addresses:
        product.adopt(addresses)
        with product.running(capacity=given.owners) as one, _second_web(one) as second:
            os.environ.update({**one.environment, "DJANGO_SETTINGS_MODULE": "studio.settings"})
            desks = make_desks(STUDIO, given.owners)
            times = Times()
            _mix([one.site, second], desks, given.seconds, times)
            _tell_mix(times, given.seconds)
            _tell_fits(one, desks)
            assert addresses.admin is not None
            with read_replica(addresses.admin) as replica:
                _tell_replica(addresses.admin, replica, one, desks)
    for refused in sorted(set(times.refused)):
        sys.stdout.write(f"refused: {refused}\n")
    return int(bool(times.refused))


# --- Private ---


@contextmanager
def _second_web(one: Product) -> Iterator[str]:
    """The address of one more web server beside it."""
    with tempfile.TemporaryDirectory() as folder, ExitStack() as stack:
        sockets = stack.enter_context(listening.listen(0))
        web = product.Web(open_place(Path(folder) / "second"), dict(one.environment), sockets)
        stack.callback(web.stop)
        web.wait()
        yield f"http://localhost:{listening.port_of(sockets)}"


def _mix(sites: Sequence[str], desks: Sequence[Desk], seconds: float, times: Times) -> None:
    """Every owner works for so long: by turns all at the first server, and spread over both."""
    began = time.monotonic()

    def is_on() -> int | None:
        now = time.monotonic() - began
        return None if now > seconds else 1 + int(now / TURN_SECONDS) % 2

    threads = [
        threading.Thread(target=_work, args=(sites, desk, place, is_on, times))
        for place, desk in enumerate(desks)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


def _work(
    sites: Sequence[str], desk: Desk, place: int, is_on: Callable[[], int | None], times: Times
) -> None:
    chance = random.Random(place)  # noqa: S311 # No secret: the same edits at every run.
    browsers = [LoadBrowser(site, desk.cookie) for site in sites]
    page = f"/s/{desk.studio}/quotes/"
    try:
        while (servers := is_on()) is not None:
            browser = browsers[place % servers]
            began = time.monotonic()
            browser.get(page)
            times.note("list of quotes", servers, began)
            began = time.monotonic()
            html = browser.get(f"{page}{desk.quote_id}/")
            times.note("a quote", servers, began)
            sent = fields(html, 'class="sketch"') | {"loss": str(chance.randint(4, 12))}
            began = time.monotonic()
            browser.post(f"{page}{desk.quote_id}/alter/", sent)
            times.note("an edit", servers, began)
    except Exception as fault:  # noqa: BLE001 # Whatever it is, it is what this script looks for.
        with times.lock:
            times.refused.append(f"{type(fault).__name__}: {fault}")


def _tell_mix(times: Times, seconds: float) -> None:
    out = sys.stdout.write
    out(f"\n{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}; the asking takes its share of them\n")
    out(f"{'':20}{'one web server':>28}{'two':>28}\n")
    for what in ("list of quotes", "a quote", "an edit"):
        cells = []
        for servers in (1, 2):
            took = times.took[what, servers] or [0.0]
            cells.append(f"{len(took) / (seconds / 2):.1f} a second, {1000 * statistics.median(took):.0f} ms")
        out(f"{what:20}{cells[0]:>28}{cells[1]:>28}\n")


def _tell_fits(one: Product, desks: Sequence[Desk]) -> None:
    """How long so many budgets take that are asked for at once, with one set of workers and with two."""
    alone = _fitted(one, desks)
    with tempfile.TemporaryDirectory() as folder:
        more = demo.start_workers(open_place(Path(folder) / "workers"), one.environment)
        try:
            demo.wait_for_workers(more)
            beside = _fitted(one, desks)
        finally:
            for each in more:
                processes.stop(each)
    sys.stdout.write(f"{FITS} budgets fitted: {alone:.1f} s by one worker, {beside:.1f} s by two\n")


def _fitted(one: Product, desks: Sequence[Desk]) -> float:
    neighbours = [Neighbour(one.site, desk) for desk in desks[:FITS]]
    threads = [threading.Thread(target=neighbour.fit_budget) for neighbour in neighbours]
    began = time.monotonic()
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return time.monotonic() - began


def _tell_replica(admin: str, replica: str, one: Product, desks: Sequence[Desk]) -> None:
    """The same questions at both, while edits go on at the first; and how far behind the replica is meanwhile."""
    database = one.environment["DATABASE_URL"].split("?")[0].rsplit("/", 1)[1]
    times, stop = Times(), threading.Event()
    edits = threading.Thread(
        target=_work, args=([one.site], desks[0], 0, lambda: None if stop.is_set() else 1, times)
    )
    edits.start()
    behind: list[float] = []
    try:
        with (
            psycopg.connect(admin, dbname=database, autocommit=True) as first,
            psycopg.connect(replica, dbname=database, autocommit=True) as second,
        ):
            for _ in range(40):
                for what, question in QUESTIONS.items():
                    for servers, asked in ((1, first), (2, second)):
                        began = time.monotonic()
                        asked.execute(question).fetchall()
                        times.note(what, servers, began)
                behind.append(_bytes_behind(first))
                time.sleep(0.1)
            _tell_plans(second)
    finally:
        stop.set()
        edits.join()
    for what in QUESTIONS:
        here, there = (1000 * statistics.median(times.took[what, place]) for place in (1, 2))
        sys.stdout.write(f"{what:20}{here:.1f} ms at the database, {there:.1f} ms at the replica\n")
    sys.stdout.write(
        f"the replica was {statistics.median(behind) / 1000:.1f} kB behind, {max(behind) / 1000:.1f} at most\n"
    )


def _bytes_behind(first: psycopg.Connection) -> float:
    row = first.execute(
        "SELECT pg_wal_lsn_diff(pg_current_wal_lsn(), replay_lsn) FROM pg_stat_replication"
    ).fetchone()
    return float(row[0] or 0) if row else float("nan")


def _tell_plans(replica: psycopg.Connection) -> None:
    for what, question in QUESTIONS.items():
        lines = replica.execute(f"EXPLAIN (ANALYZE, COSTS OFF, BUFFERS OFF) {question}").fetchall()
        sys.stdout.write(
            "\n".join([f"\n{what}, at the replica:", *(f"  {line}" for (line,) in lines)]) + "\n"
        )


if __name__ == "__main__":
    sys.exit(main())
