"""Judges a race from outside: PostgreSQL by plain SQL, and the log of what the hands were told. Knows no product code.

A hold certainly stands from the moment its hand was told until the moment its hand asked to give it back. All that
certainly stand together must fit on the shelf; whatever was refused must not have fitted beside all that possibly
stood meanwhile; and when all is over the database holds exactly what was promised and not given back.
"""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import psycopg

WASH_HOURS = {f"cover-{number}": 6 if number % 2 else 0 for number in range(6)}
"""Hours for which a thing is kept after it is back, as the race's shelf was set up."""


@dataclass
class Report:
    """What was found wrong, and how much was looked at."""

    faults: list[str] = field(default_factory=list)
    figures: dict[str, Any] = field(default_factory=dict)


@dataclass
class Told:
    """One question and its answer."""

    hand: int
    asked_at: float
    told_at: float
    entry: dict[str, Any]


def check(database: str, folder: Path) -> Report:
    """Read the logs in ``folder`` and the database; the checks of the module's description."""
    report = Report()
    told = [each for log in sorted(folder.glob("hand-*.jsonl")) for each in read(log, report)]
    report.faults += [path.read_text() for path in sorted(folder.glob("fault-*.json"))]
    with psycopg.connect(database) as admin:
        owned: dict[str, int] = dict(
            admin.execute(
                "SELECT i.code, sum(m.quantity) FROM stock_movement m JOIN stock_item i ON i.id = m.item_id"
                " WHERE i.nature = 'reusable' GROUP BY i.code"
            ).fetchall()
        )
        _nothing_oversold(told, owned, report)
        _nothing_refused_that_fitted(told, owned, report)
        _nothing_lost_or_doubled(told, admin, report)
        _the_ledger_has_each_use_once(told, admin, report)
    kinds = Counter(f"{each.entry['deed']}: {each.entry['told']}" for each in told)
    report.figures = {
        "deeds": len(told),
        **dict(sorted(kinds.items())),
        "deadlocks that a hand saw": sum(each.entry.get("deadlocks", 0) for each in told),
    }
    if report.figures["deadlocks that a hand saw"]:
        report.faults.append("a deadlock was shown to a hand")
    return report


def read(log: Path, report: Report) -> list[Told]:
    """A hand's questions with their answers; a question may be written twice if its hand was killed."""
    hand = int(log.stem.split("-")[1])
    asked: dict[str, float] = {}
    found = []
    for line in log.read_bytes().split(b"\n"):
        if not line.endswith(b"}"):
            continue
        entry = json.loads(line)
        if entry["line"] == "ask":
            asked.setdefault(entry["key"], entry["at"])
        else:
            found.append(Told(hand, asked[entry["key"]], entry["at"], entry))
            if entry["told"] == "fault":
                report.faults.append(f"{entry['deed']} {entry['key']}: {entry['words']}")
    return found


@dataclass
class _Life:
    """A hold: its window with the wash for each thing, and from when to when it certainly and possibly stood."""

    entry: dict[str, Any]
    sure_from: float
    sure_until: float
    maybe_from: float
    maybe_until: float

    def away(self, code: str) -> tuple[float, float]:
        start = float(self.entry["from_h"])
        return start, start + float(self.entry["hours"]) + WASH_HOURS[code]


def lives(told: list[Told]) -> list[_Life]:
    """The life of every hold that was granted."""
    ended = {
        each.entry["hold_id"]: (each.asked_at, each.told_at)
        for each in told
        if each.entry["deed"] != "hold" and each.entry["told"] == "done"
    }
    never = (float("inf"), float("inf"))
    found = []
    for each in told:
        if each.entry["deed"] == "hold" and each.entry["told"] == "held":
            end_asked, end_told = ended.get(each.entry["hold_id"], never)
            found.append(_Life(each.entry, each.told_at, end_asked, each.asked_at, end_told))
    return found


def busiest(code: str, span: tuple[float, float], standing: list[_Life]) -> int:
    """The most of a thing that is away at once within ``span``: a peak is always at somebody's start."""
    mine = [(life.away(code), life.entry["needs"][code]) for life in standing if code in life.entry["needs"]]
    moments = [span[0], *(start for (start, _), _ in mine if span[0] < start < span[1])]
    return max(
        sum(int(number) for (start, end), number in mine if start <= moment < end) for moment in moments
    )


def _nothing_oversold(told: list[Told], owned: dict[str, int], report: Report) -> None:
    every = lives(told)
    for life in every:
        beside = [one for one in every if one.sure_from <= life.sure_from < one.sure_until]
        for code in life.entry["needs"]:
            if code in owned and (most := busiest(code, life.away(code), beside)) > owned[code]:
                report.faults.append(f"{most} × {code} promised at once, {owned[code]} are there")


def _nothing_refused_that_fitted(told: list[Told], owned: dict[str, int], report: Report) -> None:
    every = lives(told)
    for each in told:
        if each.entry["deed"] != "hold" or each.entry["told"] != "refused":
            continue
        maybe = [one for one in every if one.maybe_from <= each.told_at and each.asked_at <= one.maybe_until]
        mine = _Life(each.entry, 0, 0, 0, 0)
        if all(
            busiest(code, mine.away(code), maybe) + number <= owned[code]
            for code, number in each.entry["needs"].items()
            if code in owned
        ):
            report.faults.append(f"{each.entry['key']} was refused though all of it was free")


def _nothing_lost_or_doubled(told: list[Told], admin: psycopg.Connection[Any], report: Report) -> None:
    held = {each.entry["key"]: each.entry["hold_id"] for each in told if each.entry["told"] == "held"}
    over = {each.entry["hold_id"] for each in told if each.entry["told"] == "done"}
    rows = admin.execute("SELECT id, label, state FROM stock_hold").fetchall()
    there = {label: hold_id for hold_id, label, _ in rows}
    labels = Counter(label for _, label, _ in rows)
    report.faults += [f"{label} stands {times} times" for label, times in labels.items() if times > 1]
    report.faults += [f"{key} was promised and is not there" for key in held if there.get(key) != held[key]]
    report.faults += [f"{label} stands though nobody was told" for label in there if label not in held]
    for hold_id, label, state in rows:
        if (state == "held") == (hold_id in over):
            report.faults.append(f"{label} is {state}, its hand was told otherwise")
    lines = {
        (label, code): number
        for label, code, number in admin.execute(
            "SELECT h.label, i.code, l.quantity FROM stock_holdline l JOIN stock_hold h ON h.id = l.hold_id"
            " JOIN stock_item i ON i.id = l.item_id"
        ).fetchall()
    }
    wanted = {
        (each.entry["key"], code): number
        for each in told
        if each.entry["told"] == "held"
        for code, number in each.entry["needs"].items()
    }
    if lines != wanted:
        report.faults.append(f"{len(lines.items() ^ wanted.items())} lines aren't what was promised")


def _the_ledger_has_each_use_once(told: list[Told], admin: psycopg.Connection[Any], report: Report) -> None:
    used = Counter(
        each.entry["label"]
        for each in told
        if each.entry["deed"] == "count back" and each.entry["told"] == "done"
    )
    rows = admin.execute("SELECT label, quantity FROM stock_movement WHERE kind = 'used'").fetchall()
    written = Counter(label for label, _ in rows)
    if written != used or any(quantity != -3 for _, quantity in rows):
        report.faults.append(
            f"{sum((written - used).values()) + sum((used - written).values())} uses are wrong"
        )
    (wrong,) = admin.execute(
        "SELECT count(*) FROM stock_balance b WHERE on_hand <>"
        " (SELECT sum(quantity) FROM stock_movement m WHERE m.item_id = b.item_id)"
    ).fetchone() or (1,)
    if wrong:
        report.faults.append(f"{wrong} balances aren't the sum of their movements")
