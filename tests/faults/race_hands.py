"""A hand of the race: asks for holds, changes them, gives them back; writes down what it was told.

What a hand asks at each step follows from its number alone. It writes the question down before it asks and the answer
when it has it; killed in between, its successor asks the same again under the same key, as a browser does after a
lost connection.
"""

from __future__ import annotations

import json
import os
import random
import time
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

KINDS = 6
"""Things that come back, few of each, so that most windows meet."""
DAYS = 12
PATIENCE_SECONDS = 120.0


@dataclass(frozen=True)
class Shelf:
    """The studio that the race is about."""

    studio_id: int
    person_id: int
    starts: datetime


def set_up() -> Shelf:
    """Found a studio with a few frames and covers, and much latex."""
    import django

    django.setup()
    from django.db import connections
    from django.utils import timezone

    from stock.holds import holds  # noqa: F401 -- the hands are forked with all that they need
    from studio import tenancy
    from studio.models import Person
    from studio.people import membership
    from studio.tenancy.rights import Role

    owner = Person.objects.create_user("race@example.org", name="Race")
    studio = membership.found_studio(owner=owner, slug="race", name="Race", zone="UTC", currency="USD")
    with tenancy.entered(studio.pk, role=Role.OWNER, person_id=owner.pk):
        stock_shelf()
    connections.close_all()
    now = timezone.now().replace(microsecond=0)
    return Shelf(studio.pk, owner.pk, now + timedelta(days=2))


def stock_shelf() -> None:
    """Put the contested things on the entered studio's shelf: 2 to 7 of each kind, every other one with wash time."""
    from stock.catalogue import items
    from stock.catalogue.items import Material
    from stock.ledger import movements
    from stock.models import Kind

    for number in range(KINDS):
        items.add_item(kind=Kind.COVER, name=f"Cover {number}", turnaround_hours=6 if number % 2 else 0)
    items.add_item(kind=Kind.HARDWARE, name="Ties", nature="consumable")
    counts = [Material(f"cover-{number}", 2 + number) for number in range(KINDS)]
    movements.open_with([*counts, Material("ties", 1_000_000)])


def work(shelf: Shelf, hand: int, deeds: int, log: Path, seed: int) -> None:
    """Do what is still to be done of this hand's deeds."""
    from django.db import connections

    connections.close_all()
    book = _Book(log, hand)
    while book.done < deeds:
        question = book.open or _question(book, hand, seed)
        book.ask(question)
        book.answer(question, _asked(shelf, question))


class _Book:
    """The hand's log, read again from the start after a kill."""

    def __init__(self, path: Path, hand: int) -> None:
        self.path, self.hand = path, hand
        self.done = 0
        self.standing: list[dict[str, Any]] = []
        self.open: dict[str, Any] | None = None
        if path.exists():
            for line in path.read_bytes().split(b"\n"):
                if line.endswith(b"}"):
                    self._follow(json.loads(line))

    def ask(self, question: dict[str, Any]) -> None:
        if self.open is None:
            self._write({**question, "line": "ask"})

    def answer(self, question: dict[str, Any], told: dict[str, Any]) -> None:
        self._write({**question, **told, "line": "answer"})

    def _write(self, entry: dict[str, Any]) -> None:
        entry["at"] = time.monotonic()
        with self.path.open("ab") as file:
            # A line that a kill cut short must not swallow the next one.
            file.write(b"\n" + json.dumps(entry).encode())
        self._follow(entry)

    def _follow(self, entry: dict[str, Any]) -> None:
        if entry["line"] == "ask":
            self.open = {key: value for key, value in entry.items() if key not in {"line", "at"}}
            return
        self.open = None
        self.done += 1
        if entry["deed"] == "hold" and entry["told"] == "held":
            self.standing.append({"hold_id": entry["hold_id"], "label": entry["key"]})
        elif entry["deed"] in {"release", "count back"} and entry["told"] == "done":
            self.standing = [each for each in self.standing if each["hold_id"] != entry["hold_id"]]


def _question(book: _Book, hand: int, seed: int) -> dict[str, Any]:
    """The hand's next question, from its number and how far it is."""
    chance = random.Random(f"{seed}-{hand}-{book.done}")  # noqa: S311 -- a repeatable race
    key = f"{hand}-{book.done}"
    if len(book.standing) >= 3 or (book.standing and chance.random() < 0.4):
        mine = chance.choice(book.standing)
        deed = "count back" if chance.random() < 0.2 else "release"
        return {"deed": deed, "key": key, **mine}
    needs = {f"cover-{number}": chance.choice([1, 1, 1, 2]) for number in chance.sample(range(KINDS), 3)}
    if chance.random() < 0.5:
        needs["ties"] = 5
    start = chance.uniform(0, DAYS)
    return {
        "deed": "hold",
        "key": key,
        "needs": needs,
        "from_h": start * 24,
        "hours": chance.choice([4, 8, 30]),
    }


def _asked(shelf: Shelf, question: dict[str, Any]) -> dict[str, Any]:
    """Ask until there is an answer, as a person presses again when the connection broke."""
    from django.db import Error, InterfaceError, OperationalError, connections

    from stock.holds import holds
    from studio import tenancy
    from studio.tenancy.rights import Role

    deadlocks = 0
    until = time.monotonic() + PATIENCE_SECONDS
    while True:
        try:
            with tenancy.entered(shelf.studio_id, slug="race", role=Role.OWNER, person_id=shelf.person_id):
                told = _do(shelf, question)
        except holds.NotFree:
            told = {"told": "refused"}
        except (OperationalError, InterfaceError) as broken:
            deadlocks += "deadlock" in str(broken)
            connections.close_all()
            if time.monotonic() > until:
                return {"told": "fault", "words": str(broken)[:200], "deadlocks": deadlocks}
            time.sleep(0.1)
            continue
        except (Error, ValueError) as fault:
            connections.close_all()
            told = {"told": "fault", "words": repr(fault)[:300]}
        return {**told, "deadlocks": deadlocks}


def _do(shelf: Shelf, question: dict[str, Any]) -> dict[str, Any]:
    from stock.catalogue.items import Material
    from stock.holds import holds
    from studio.measures.times import Window

    key, deed = question["key"], question["deed"]
    if deed == "release":
        holds.release(question["hold_id"], key)
        return {"told": "done"}
    if deed == "count back":
        holds.count_back(question["hold_id"], used=[Material("ties", 3)], key=key)
        return {"told": "done"}
    start = shelf.starts + timedelta(hours=question["from_h"])
    answer = holds.hold(
        label=key,
        window=Window(start, start + timedelta(hours=question["hours"])),
        needs=[Material(code, quantity) for code, quantity in question["needs"].items()],
        key=key,
    )
    return {"told": "held", "hold_id": answer.hold_id, "pid": os.getpid()}
