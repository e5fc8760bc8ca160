"""How pages grow with studios and with years: ``python -m tests.bench.load_growth``.

Loads the demo, whose season stands for a month of a studio, and copies it: years further back in the measured studio,
and other studios beside it. Measures the pages that the office opens all day at each size: queries, the blocks that the
database reads for them, and the time there and computed. Pages go through Django's test client: middleware, rights,
views and templates, without a socket. ``--plans`` prints how PostgreSQL answers the slowest query of each page at the
end.
"""

from __future__ import annotations

import argparse
import os
import sys
import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, Final

from studio.local.services import passing_services
from tests.bench.growth_rows import STEP, Copy, Seasons
from tests.services_plugin import SETTINGS

SEASON_DAYS: Final = 30
SEASONS_A_YEAR: Final = 12
DATABASE: Final = "billowbook_growth"
MEASURED: Final = "wickerlark"
Page = Callable[[], Any]


def main() -> int:
    """Grow it step by step; print a table of each step."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--rounds", type=int, default=15)
    asked.add_argument("--years", type=int, default=10)
    asked.add_argument("--studios", type=int, default=300)
    asked.add_argument("--plans", action="store_true", help="print how the slowest queries are answered")
    given = asked.parse_args()
    with _database() as (studio_id, seasons):
        pages = _pages()
        for name, grow in _steps(seasons, studio_id, given.years, given.studios):
            grow()
            seasons.settle()
            _tell(name, _size(seasons), {page: _measured(ask, given.rounds) for page, ask in pages.items()})
        if given.plans:
            for page, ask in pages.items():
                _explain(page, ask)
    return 0


# --- Private ---


@contextmanager
def _database() -> Iterator[tuple[int, Seasons]]:
    """A database of its own, on servers of its own, with the demo in it."""
    with passing_services() as addresses:
        os.environ.update(
            {**addresses.environment(), **SETTINGS, "DJANGO_SETTINGS_MODULE": "studio.settings"}
        )
        import django

        django.setup()
        import psycopg
        from django.core.management import call_command
        from django.db import connection

        from studio import tenancy
        from tests import database

        database.make(DATABASE)
        try:
            call_command("load_demo", verbosity=0)
            known = {slug: pk for pk, slug in tenancy.each_studio()}
            with psycopg.connect(database.admin_url(), dbname=DATABASE) as admin:
                yield known[MEASURED], Seasons(admin)
        finally:
            connection.close()


def _steps(
    seasons: Seasons, studio: int, years: int, studios: int
) -> Iterator[tuple[str, Callable[[], None]]]:
    """A year, ten years, and then as many studios beside it, each with one season."""
    year = [Copy(number, number * SEASON_DAYS, studio) for number in range(1, SEASONS_A_YEAR)]
    more = [
        Copy(number, number * SEASON_DAYS, studio) for number in range(SEASONS_A_YEAR, SEASONS_A_YEAR * years)
    ]
    yield "1 studio, 1 year", lambda: seasons.add_past(studio, year)
    yield f"1 studio, {years} years", lambda: seasons.add_past(studio, more)
    others = range(SEASONS_A_YEAR * years, SEASONS_A_YEAR * years + studios - 1)
    beside = [Copy(number, 0, studio + number * STEP) for number in others]
    yield f"{studios} studios", lambda: seasons.add_studios(studio, beside)


def _pages() -> Mapping[str, Page]:
    """The pages, opened by the studio's owner, each with the newest thing there is."""
    from django.test import Client

    from events.models import Client as Customer
    from events.models import Event
    from quoting.models import Quote
    from studio import tenancy
    from studio.models import Membership
    from studio.tenancy.rights import Role

    known = {slug: pk for pk, slug in tenancy.each_studio()}
    with tenancy.entered(known[MEASURED]):
        owner = Membership.objects.select_related("person").filter(role=Role.OWNER)[0].person
        event = Event.objects.filter(status="CONFIRMED").latest("ready_by").pk
        quote, customer = Quote.objects.latest("pk").pk, Customer.objects.earliest("pk").pk
    browser = Client()
    browser.force_login(owner)
    at = {
        "week": "", "month": "month/", "events": "events/", "an event": f"events/{event}/",
        "its load-out": f"events/{event}/load-out/", "its crew": f"events/{event}/crew/", "quotes": "quotes/",
        "a quote": f"quotes/{quote}/", "invoices": "invoices/", "clients": "clients/",
        "a client": f"clients/{customer}/", "the shelf": "shelf/", "what to buy": "shelf/buy/",
        "alerts": "shelf/alerts/",
    }  # fmt: skip

    def asking(path: str) -> Page:
        return lambda: browser.get(f"/s/{MEASURED}/{path}")

    return {name: asking(path) for name, path in at.items()}


@dataclass(frozen=True, slots=True)
class Cost:
    """What a page takes: queries, blocks that the database reads for them, and milliseconds in it and computed."""

    queries: int
    blocks: int
    database: float
    computed: float


def _measured(ask: Page, rounds: int) -> Cost:
    """The least of so many rounds each, which whatever else the machine does touches least; blocks are always alike."""
    from django.db import connection

    from tests.bench.load_stock import Clock

    assert ask().status_code == 200
    found, queries = [], 0
    for _ in range(rounds):
        clock = Clock()
        with connection.execute_wrapper(clock):
            computed = time.process_time()
            ask()
            found.append((clock.seconds, time.process_time() - computed))
        queries = clock.queries
    database, computed = (1000 * min(times) for times in zip(*found, strict=True))
    blocks = sum(_blocks(plan[0]["Plan"]) for plan in _plans(_selects(ask), "BUFFERS, FORMAT JSON"))
    return Cost(queries, blocks, database, computed)


def _blocks(plan: Mapping[str, Any]) -> int:
    return int(plan["Shared Hit Blocks"]) + int(plan["Shared Read Blocks"])


def _selects(ask: Page) -> list[tuple[float, str, Any]]:
    """The queries of a page: how long each took, its words and what was put into it."""
    from django.db import connection

    found = []

    def watch(execute: Callable[..., Any], statement: str, params: Any, many: bool, context: Any) -> Any:
        began = time.perf_counter()
        try:
            return execute(statement, params, many, context)
        finally:
            if statement.startswith("SELECT") and "set_config" not in statement:
                found.append((time.perf_counter() - began, statement, params))

    with connection.execute_wrapper(watch):
        ask()
    return found


def _plans(selects: Iterable[tuple[float, str, Any]], options: str) -> list[Any]:
    """How the database answers each of these queries in the measured studio."""
    from django.db import connection

    from studio import tenancy

    known = {slug: pk for pk, slug in tenancy.each_studio()}
    found = []
    with tenancy.entered(known[MEASURED]), connection.cursor() as cursor:
        for _, statement, params in selects:
            cursor.execute(f"EXPLAIN (ANALYZE, {options}) {statement}", params)
            rows = [row[0] for row in cursor.fetchall()]
            found.append(rows[0] if "JSON" in options else rows)
    return found


def _size(seasons: Seasons) -> Mapping[str, int]:
    tables = (
        "studio_studio",
        "events_event",
        "quoting_quote",
        "stock_holdline",
        "events_tick",
        "stock_movement",
    )
    return {table: seasons.count(table) for table in tables}


def _tell(name: str, size: Mapping[str, int], found: Mapping[str, Cost]) -> None:
    out = sys.stdout.write
    out(f"\n{name}: " + ", ".join(f"{count:,} {table}" for table, count in size.items()) + "\n")
    out(f"{'':16}{'queries':>8}{'blocks':>8}{'database':>10}{'computed':>10}   ms\n")
    for page, cost in found.items():
        out(f"{page:16}{cost.queries:>8}{cost.blocks:>8}{cost.database:>10.1f}{cost.computed:>10.1f}\n")
    sys.stdout.flush()


def _explain(page: str, ask: Page) -> None:
    """How the slowest query of a page is answered."""
    slowest = max(_selects(ask), key=lambda select: select[0])
    (lines,) = _plans([slowest], "COSTS OFF, BUFFERS OFF")
    plan = "\n".join(f"  {line}" for line in lines)
    sys.stdout.write(f"\n{page}: {1000 * slowest[0]:.1f} ms, {slowest[1][:160]}\n{plan}\n")


if __name__ == "__main__":
    sys.exit(main())
