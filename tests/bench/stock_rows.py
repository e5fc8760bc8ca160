"""Rows for the load of the stock room: many studios, and one with years of events behind it.

Written as the superuser with triggers off, since a million ledger rows through the product's own functions would take
hours; balances are added up from the ledger as its trigger would have. Everything is the same at every run.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import psycopg

STUDIOS: Final = 200
ITEMS: Final = 2_000
COLOURS: Final = 80
LATEX_SIZES: Final = (5, 11, 17, 24, 36)
LATEX: Final = COLOURS * len(LATEX_SIZES)
CONSUMABLE_HARDWARE: Final = 520
"""The rest of the items, after latex and 260s, is half hardware that is used up and half things that come back."""
SUPPLIERS: Final = 8
SHORT_ITEMS: Final = 150
AHEAD: Final = 300
"""Events still to come, whatever lies behind: about three months of five a day at weekends."""
LINES_PER_EVENT: Final = 12
RECENT_DAYS: Final = 182
"""The first tenth of the history lies within it, so that what is ten times longer is no denser."""


@dataclass(frozen=True, slots=True)
class Behind:
    """How much history the busiest studio has; the others have a hundredth of it each at most."""

    events: int
    movements: int
    days: int


TENTH: Final = Behind(events=2_000, movements=100_000, days=RECENT_DAYS)
WHOLE: Final = Behind(events=20_000, movements=1_000_000, days=RECENT_DAYS * 10)

CATALOGUE: Final = """
INSERT INTO stock_colour (studio_id, code, name, hex, lightness, a, b, finish)
SELECT %(studio)s, 'tone-' || n, 'Tone ' || n, '#' || upper(lpad(to_hex((n * 205759) %% 16777216), 6, '0')),
    (n * 37) %% 100, (n * 13) %% 100 - 50, (n * 29) %% 100 - 50, 'matt'
FROM generate_series(1, %(colours)s) n;

INSERT INTO stock_item (studio_id, code, name, kind, nature, colour_id, size_in, bag_size, turnaround_hours, place,
    gtin, note, added_at, unit_cost, bag_price, price_per_use, expected_uses)
SELECT %(studio)s, 'latex-' || size || '-' || c.code, c.name || ' ' || size || ' in', 'latex', 'consumable', c.id,
    size, 50, 0, 'bay ' || size, '', '', now(), NULL::numeric, 9.5, NULL::numeric, NULL::int
FROM stock_colour c, unnest(%(sizes)s::int[]) size WHERE c.studio_id = %(studio)s
UNION ALL
SELECT %(studio)s, 'latex-260-' || c.code, c.name || ' 260', '260', 'consumable', c.id,
    NULL, 100, 0, 'bay 260', '', '', now(), NULL, 12, NULL, NULL
FROM stock_colour c WHERE c.studio_id = %(studio)s
UNION ALL
SELECT %(studio)s, 'part-' || n, 'Fixing part ' || n, 'hardware', 'consumable', NULL,
    NULL, 20, 0, 'drawer ' || n %% 40, '', '', now(), 0.4, NULL, NULL, NULL
FROM generate_series(1, %(parts)s) n
UNION ALL
SELECT %(studio)s, kind || '-' || n, 'A ' || kind || ' of many, no. ' || n, kind, 'reusable', NULL,
    NULL, NULL, CASE kind WHEN 'cover' THEN 30 ELSE 0 END, 'bay ' || n %% 60, '', '', now(), 40, NULL, 25, 60
FROM generate_series(1, %(pieces)s) n,
    LATERAL (SELECT (ARRAY['frame', 'cover', 'floral', 'sign'])[n %% 4 + 1] AS kind) kinds;
"""

PRICES: Final = """
INSERT INTO stock_supplier (studio_id, name, email, phone, customer_number, lead_days, lead_spread_days,
    minimum_order, delivery_charge, note, added_at)
SELECT %(studio)s, 'Supplier ' || n, '', '', '', 2 + n, 1, 25 * n, 3 + n, '', now()
FROM generate_series(1, %(suppliers)s) n;

INSERT INTO stock_supplierprice (studio_id, supplier_id, item_id, bag_size, from_bags, price, their_code)
SELECT %(studio)s, s.id, i.id, bag, 1, round((bag * (5 + (i.id * 7 + s.id * 13) %% 17) / 60.0)::numeric, 2), ''
FROM stock_supplier s, stock_item i, unnest(ARRAY[25, 100]) bag
WHERE s.studio_id = %(studio)s AND i.studio_id = %(studio)s AND i.nature = 'consumable'
    AND (i.id + s.id) %% 3 = 0;
"""

OPENING: Final = """
INSERT INTO stock_movement (studio_id, item_id, kind, quantity, at, written_at, reason, label, batch)
SELECT %(studio)s, id, 'opening', CASE nature WHEN 'consumable' THEN 100000 ELSE 60 END,
    now() - interval '11 years', now(), '', '', ''
FROM stock_item WHERE studio_id = %(studio)s;
"""

EVENTS: Final = """
WITH held AS (
    INSERT INTO stock_hold (studio_id, label, starts_at, ends_at, state, purpose, made_at)
    SELECT %(studio)s, 'Event ' || n, start, start + interval '30 hours',
        CASE WHEN start > now() THEN 'held' ELSE 'counted' END, 'job', now()
    FROM generate_series(%(first)s::int, %(last)s::int) n,
        LATERAL (SELECT now() + %(from_day)s * interval '1 day'
            + (%(to_day)s - %(from_day)s) * interval '1 day' * ((n * 7919) %% 10007) / 10007.0 AS start) moment
    RETURNING id, starts_at, ends_at, state
)
INSERT INTO stock_holdline (studio_id, hold_id, item_id, quantity, busy_from, busy_until, standing)
SELECT %(studio)s, held.id, i.id, CASE i.nature WHEN 'consumable' THEN 40 ELSE 1 END, held.starts_at,
    held.ends_at + i.turnaround_hours * interval '1 hour', held.state = 'held'
FROM held, generate_series(1, %(lines)s) k, LATERAL (
    SELECT id, nature, turnaround_hours FROM stock_item
    WHERE studio_id = %(studio)s AND id >= %(first_item)s + (held.id * 131 + k * 167) %% %(items)s
    ORDER BY id LIMIT 1) i
ON CONFLICT DO NOTHING;
"""

MOVEMENTS: Final = """
INSERT INTO stock_movement (studio_id, item_id, kind, quantity, at, written_at, reason, label, batch)
SELECT %(studio)s, i.id,
    CASE WHEN i.nature = 'reusable' THEN 'counted' WHEN n / %(items)s %% 5 = 0 THEN 'received' ELSE 'used' END,
    CASE WHEN i.nature = 'reusable' THEN 0 WHEN n / %(items)s %% 5 = 0 THEN 48 ELSE -12 END,
    now() - %(from_day)s * interval '1 day'
        - (%(to_day)s - %(from_day)s) * interval '1 day' * ((n * 7907::bigint) %% 100003) / 100003.0,
    now(), '', 'Event', ''
FROM generate_series(%(first)s::int, %(last)s::int) n
JOIN stock_item i ON i.studio_id = %(studio)s AND i.id = %(first_item)s + (n * 613::bigint) %% %(items)s;
"""

BALANCES: Final = """
DELETE FROM stock_balance WHERE studio_id = %(studio)s;
INSERT INTO stock_balance (studio_id, item_id, on_hand)
SELECT studio_id, item_id, sum(quantity) FROM stock_movement WHERE studio_id = %(studio)s GROUP BY 1, 2;
"""

MAKE_SHORT: Final = """
INSERT INTO stock_movement (studio_id, item_id, kind, quantity, at, written_at, reason, label, batch)
SELECT b.studio_id, b.item_id, 'counted', 10 - b.on_hand, now(), now(), '', '', ''
FROM stock_balance b JOIN (
    SELECT DISTINCT l.item_id FROM stock_holdline l JOIN stock_item i ON i.id = l.item_id
    WHERE l.studio_id = %(studio)s AND l.standing AND i.nature = 'consumable' ORDER BY 1 LIMIT %(short)s
) wanted USING (item_id) WHERE b.studio_id = %(studio)s;
"""


class Rows:
    """Writes them, a stage after the other, through one superuser's connection."""

    def __init__(self, admin: psycopg.Connection) -> None:
        self.admin = admin
        admin.execute("SET session_replication_role = replica")

    def furnish(self, studio: int, *, colours: int, parts: int, pieces: int) -> None:
        """A catalogue with its opening stock, and suppliers with prices."""
        self._run(
            CATALOGUE, studio=studio, colours=colours, parts=parts, pieces=pieces, sizes=list(LATEX_SIZES)
        )
        self._run(PRICES, studio=studio, suppliers=SUPPLIERS)
        self._run(OPENING, studio=studio)
        self._run(BALANCES, studio=studio)

    def look_ahead(self, studio: int, events: int) -> None:
        """Events of the next three months."""
        self._events(studio, 1, events, from_day=1, to_day=90)

    def live_through(self, studio: int, since: Behind | None, until: Behind) -> None:
        """What happened further back than ``since`` reached, up to ``until``."""
        events, movements, days = (since.events, since.movements, since.days) if since else (0, 0, 2)
        self._events(studio, AHEAD + events + 1, AHEAD + until.events, from_day=-until.days, to_day=-days)
        self._run(
            MOVEMENTS,
            **self._place(studio),
            first=movements + 1,
            last=until.movements,
            from_day=days,
            to_day=until.days,
        )
        self._run(BALANCES, studio=studio)

    def make_short(self, studio: int, items: int) -> None:
        """Count so many of the things that jobs need down to ten."""
        self._run(MAKE_SHORT, studio=studio, short=items)
        self._run(BALANCES, studio=studio)

    def settle(self) -> None:
        """As autovacuum would have done long ago."""
        self.admin.commit()
        self.admin.autocommit = True
        self.admin.execute("VACUUM (ANALYZE)")
        self.admin.autocommit = False
        self.admin.execute("SET session_replication_role = replica")

    def count(self, table: str, studio: int | None = None) -> int:
        """How many rows a table has, in all or of one studio."""
        where = "" if studio is None else f" WHERE studio_id = {studio:d}"
        found = self.admin.execute(f"SELECT count(*) FROM {table}{where}").fetchone()  # noqa: S608
        assert found is not None
        return int(found[0])

    def _events(self, studio: int, first: int, last: int, *, from_day: int, to_day: int) -> None:
        given = {"first": first, "last": last, "from_day": from_day, "to_day": to_day}
        self._run(EVENTS, **self._place(studio), **given, lines=LINES_PER_EVENT)

    def _place(self, studio: int) -> dict[str, int]:
        found = self.admin.execute(
            "SELECT min(id), count(*) FROM stock_item WHERE studio_id = %s", [studio]
        ).fetchone()
        assert found is not None
        return {"studio": studio, "first_item": found[0], "items": found[1]}

    def _run(self, statements: str, **given: object) -> None:
        for statement in statements.split(";\n"):
            if statement.strip():
                self.admin.execute(statement, given)
