"""The stock room under load: ``python -m tests.bench.load_stock``.

Fills a database with 200 studios, one of which has 2,000 items, 20,000 events and a million ledger rows by itself, and
measures what the office waits for: a bill of 60 needs over a window, the shelf, items, what lacks and what to buy. The
same is measured first with a tenth of the history, so that what grows with the past shows. Exit code 1 where a limit is
missed. Pages go through Django's test client: middleware, rights, views and templates, without a socket. The limits are
those of a machine with nothing else to do; where it is busy, look at what was computed.
"""

from __future__ import annotations

import argparse
import gc
import os
import random
import statistics
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import timedelta
from typing import TYPE_CHECKING, Any, Final

from studio.local.services import passing_services
from tests.bench import stock_rows
from tests.bench.stock_rows import AHEAD, TENTH, WHOLE, Rows
from tests.services_plugin import SETTINGS

if TYPE_CHECKING:
    from tests.people import House

NEEDS: Final = 60
MOST_IN_DATABASE_MS: Final = 30.0
MOST_QUERIES, MOST_PAGE_QUERIES = 4, 12
MOST_PAGE_MS: Final = 200.0
MOST_GROWTH: Final = 1.5
MOST_SUGGESTION_S: Final = 3.0


@dataclass
class Figures:
    """Times of one thing, milliseconds, and the most queries that it took."""

    took: list[float] = field(default_factory=list)
    in_database: list[float] = field(default_factory=list)
    of_processor: list[float] = field(default_factory=list)
    """What the process itself computed: the rest was waited for, for the database or for a busy machine."""
    queries: int = 0

    @property
    def median(self) -> float:
        """Half of them took less."""
        return statistics.median(self.took)

    @property
    def p95(self) -> float:
        """Nineteen of twenty took less."""
        return statistics.quantiles(self.took, n=20)[18]

    @property
    def database(self) -> float:
        """Median of the time spent waiting for the database."""
        return statistics.median(self.in_database)


MARKS: Final = ("SAVEPOINT", "RELEASE")
"""Begin and end of inner transactions: no queries."""


class Clock:
    """Times the statements that Django sends, and counts the queries among them."""

    def __init__(self) -> None:
        self.queries, self.seconds = 0, 0.0

    def __call__(self, execute: Callable[..., Any], sql: str, *args: Any) -> Any:
        began = time.perf_counter()
        try:
            return execute(sql, *args)
        finally:
            self.seconds += time.perf_counter() - began
            self.queries += not sql.startswith(MARKS)


def main() -> int:
    """Run it; 1 where a limit is missed."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--rounds", type=int, default=40)
    asked.add_argument("--only-whole", action="store_true", help="leave out the tenth of the history")
    given = asked.parse_args()
    with _database() as (house, rows):
        began = time.monotonic()
        _furnish(house, rows)
        stages: dict[str, dict[str, Figures]] = {}
        if not given.only_whole:
            rows.live_through(house.studio.pk, None, TENTH)
            rows.make_short(house.studio.pk, stock_rows.SHORT_ITEMS)
            rows.settle()
            stages["a tenth"] = _measured(house, given.rounds)
        rows.live_through(house.studio.pk, None if given.only_whole else TENTH, WHOLE)
        rows.make_short(house.studio.pk, stock_rows.SHORT_ITEMS)
        rows.settle()
        _say_size(rows, house, time.monotonic() - began)
        stages["the whole"] = _measured(house, given.rounds)
    return _tell(stages)


# Private


@contextmanager
def _database() -> Iterator[tuple[House, Rows]]:
    """A database of its own on servers of its own, with the measured studio in it."""
    with passing_services() as addresses:
        os.environ.update(
            {**addresses.environment(), **SETTINGS, "DJANGO_SETTINGS_MODULE": "studio.settings"}
        )
        import django

        django.setup()
        import psycopg
        from django.db import connection

        from tests import database, people

        database.make("billowbook_load")
        try:
            with psycopg.connect(database.admin_url(), dbname="billowbook_load") as admin:
                yield people.wickerlark(), Rows(admin)
        finally:
            connection.close()


def _furnish(house: House, rows: Rows) -> None:
    """The busy studio's shelf and season, and 199 small ones beside it."""
    from studio.people import membership

    pieces = stock_rows.ITEMS - stock_rows.LATEX - stock_rows.COLOURS - stock_rows.CONSUMABLE_HARDWARE
    mine = house.studio.pk
    rows.furnish(mine, colours=stock_rows.COLOURS, parts=stock_rows.CONSUMABLE_HARDWARE, pieces=pieces)
    rows.look_ahead(mine, AHEAD)
    small = stock_rows.Behind(events=50, movements=1_000, days=365)
    for number in range(1, stock_rows.STUDIOS):
        other = membership.found_studio(owner=house.owner, slug=f"small-{number}", name=f"Small {number}").pk
        rows.furnish(other, colours=4, parts=5, pieces=20)
        rows.look_ahead(other, 5)
        rows.live_through(other, None, small)


def _measured(house: House, rounds: int) -> dict[str, Figures]:
    """Every figure, from as many rounds."""
    from stock.models import Item, Kind

    with house.enter():
        items = list(Item.objects.order_by("pk"))
    chance = random.Random(11)  # noqa: S311 # No secret: the same choice at every run.
    client = house.client()
    latex = [item for item in items if item.kind == Kind.LATEX]
    back = [item for item in items if item.is_reusable]
    found = {f"availability of {NEEDS} needs": _availability(house, items, rounds, chance)}
    found["shelf page"] = _page(client, lambda: house.url("stock:shelf"), rounds)
    found["shelf page, searched"] = _page(client, lambda: house.url("stock:shelf") + "?q=tone-7", rounds)
    found["item page, latex"] = _page(
        client, lambda: house.url("stock:item", chance.choice(latex).pk), rounds
    )
    found["item page, comes back"] = _page(
        client, lambda: house.url("stock:item", chance.choice(back).pk), rounds
    )
    found["buy page"] = _page(client, lambda: house.url("stock:purchase-list"), rounds)
    found["suggested orders"] = _suggestion(house, max(2, rounds // 10))
    return found


def _availability(house: House, items: list[Any], rounds: int, chance: random.Random) -> Figures:
    from django.utils import timezone

    from stock.catalogue.items import Material
    from stock.holds.availability import availability
    from studio.measures.times import Window

    def ask() -> None:
        needs = [Material(item.code, 5) for item in chance.sample(items, NEEDS)]
        start = timezone.now() + timedelta(days=chance.randint(1, 80))
        found = availability(needs, Window(start, start + timedelta(hours=30)))
        assert len(found) == NEEDS

    with house.enter():
        return _timed(ask, rounds)


def _page(client: Any, address: Callable[[], str], rounds: int) -> Figures:
    def ask() -> None:
        answer = client.get(address())
        assert answer.status_code == 200, answer.status_code

    return _timed(ask, rounds)


def _suggestion(house: House, rounds: int) -> Figures:
    from stock.buying import purchase_list

    def ask() -> None:
        found = purchase_list.suggest_orders()
        assert found.orders
        _last.append(found)

    with house.enter():
        return _timed(ask, rounds)


_last: list[Any] = []


def _timed(deed: Callable[[], None], rounds: int) -> Figures:
    from django.db import connection

    figures = Figures()
    deed()  # Templates are compiled before anything is measured; what then stands is out of the collector's way,
    gc.collect()  # as in the web server (studio/wsgi.py).
    gc.freeze()
    for _ in range(rounds):
        clock = Clock()
        with connection.execute_wrapper(clock):
            began, computed = time.perf_counter(), time.process_time()
            deed()
            figures.took.append(1000 * (time.perf_counter() - began))
            figures.of_processor.append(1000 * (time.process_time() - computed))
        figures.in_database.append(1000 * clock.seconds)
        figures.queries = max(figures.queries, clock.queries)
    return figures


def _say_size(rows: Rows, house: House, seconds: float) -> None:
    mine = house.studio.pk
    out = sys.stdout.write
    out(f"{rows.count('studio_studio')} studios; filled and settled in {seconds:.0f} s\n")
    for table in ("stock_item", "stock_hold", "stock_holdline", "stock_movement"):
        out(f"  {table}: {rows.count(table, mine):,} rows of the busy studio, {rows.count(table):,} in all\n")


def _tell(stages: dict[str, dict[str, Figures]]) -> int:
    out = sys.stdout.write
    for stage, found in stages.items():
        out(f"\nwith {stage} of the history\n")
        out(f"{'':28}{'queries':>8}{'database':>10}{'computed':>10}{'median':>9}{'p95':>9}   ms\n")
        for name, figures in found.items():
            out(
                f"{name:28}{figures.queries:>8}{figures.database:>10.1f}"
                f"{statistics.median(figures.of_processor):>10.1f}"
                f"{figures.median:>9.1f}{figures.p95:>9.1f}\n"
            )
    if _last:
        plan = _last[-1].plan
        state = "proven least" if plan.is_proven else f"at most {100 * plan.gap:.2g} % above the least"
        out(f"\n{len(_last[-1].to_buy)} short items, {stock_rows.SUPPLIERS} suppliers: {state}\n")
    misses = _misses(stages)
    out("".join(f"MISSED: {miss}\n" for miss in misses) or "\nevery limit kept\n")
    return 1 if misses else 0


def _misses(stages: dict[str, dict[str, Figures]]) -> list[str]:
    whole = stages["the whole"]
    bill = f"availability of {NEEDS} needs"
    misses = []
    if whole[bill].database > MOST_IN_DATABASE_MS:
        misses.append(f"{bill}: {whole[bill].database:.1f} ms in the database, at most {MOST_IN_DATABASE_MS}")
    if whole[bill].queries > MOST_QUERIES:
        misses.append(f"{bill}: {whole[bill].queries} queries, at most {MOST_QUERIES}")
    if "a tenth" in stages:
        # The least of each: what else the machine does in one half of the run touches it least.
        growth = min(whole[bill].in_database) / min(stages["a tenth"][bill].in_database)
        sys.stdout.write(f"ten times the history: {bill} takes {growth:.2f} times as long\n")
        if growth > MOST_GROWTH:
            misses.append(f"{bill}: {growth:.2f} times as long with ten times the history")
    for name, figures in whole.items():
        if "page" in name and figures.queries > MOST_PAGE_QUERIES:
            misses.append(f"{name}: {figures.queries} queries, at most {MOST_PAGE_QUERIES}")
        if "page" in name and figures.p95 > MOST_PAGE_MS:
            misses.append(f"{name}: p95 {figures.p95:.0f} ms, at most {MOST_PAGE_MS:.0f}")
    longest = max(whole["suggested orders"].took) / 1000
    if longest > MOST_SUGGESTION_S:
        misses.append(f"suggested orders: {longest:.1f} s, at most {MOST_SUGGESTION_S}")
    return misses


if __name__ == "__main__":
    sys.exit(main())
