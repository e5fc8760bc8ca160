"""The trade's tasks in their order, and how a crew shares them.

Order and how many people a task takes at most are common practice, no source. Nothing here asks the database.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from events.models import ShiftKind
from studio.trade.critical_path import Activity, passes
from studio.trade.sentences import to_translate

PREP, INSTALL, STRIKE = ShiftKind.PREP, ShiftKind.INSTALL, ShiftKind.STRIKE
LOOK: Final = to_translate("Step back, look, tidy up")
LOOK_MINUTES: Final = 15.0
WASH: Final = "Wash covers"
"""Done at the studio on a day after the event, so in none of its shifts."""


@dataclass(frozen=True, slots=True)
class TradeTask:
    """Where a task belongs: its shift, or none; what must be done before it; how many people it takes at most."""

    kind: ShiftKind | None
    after: tuple[str, ...] = ()
    most_people: int = 2


TASKS: Final[Mapping[str, TradeTask]] = {
    # Hours that nobody broke down any further come first of their shift.
    "prep": TradeTask(PREP, (), 4),
    "install": TradeTask(INSTALL, (), 4),
    "strike": TradeTask(STRIKE, (), 4),
    "Inflate and size": TradeTask(PREP, (), 4),
    "Tie pairs and quads": TradeTask(PREP, ("Inflate and size",), 4),
    "Make up fillers": TradeTask(PREP, ("Inflate and size",), 2),
    "String the garland": TradeTask(PREP, ("Tie pairs and quads",), 2),
    "Carry in": TradeTask(INSTALL, (), 4),
    "Set up frames": TradeTask(INSTALL, ("Carry in",), 2),
    "Dress covers": TradeTask(INSTALL, ("Set up frames",), 2),
    "Hang the sign": TradeTask(INSTALL, ("Dress covers",), 2),
    "Clips and tails": TradeTask(INSTALL, ("Dress covers",), 1),
    "Hang the garland": TradeTask(INSTALL, ("Clips and tails",), 3),
    "Tie in end quads": TradeTask(INSTALL, ("Hang the garland",), 2),
    "Tie on big rounds": TradeTask(INSTALL, ("Hang the garland",), 2),
    "Wrap fillers": TradeTask(INSTALL, ("Hang the garland",), 2),
    "Florals": TradeTask(INSTALL, ("Hang the garland",), 2),
    "Take down balloons": TradeTask(STRIKE, (), 4),
    "Strip and pack frames": TradeTask(STRIKE, ("Take down balloons",), 2),
    "Carry out": TradeTask(STRIKE, ("Strip and pack frames",), 4),
    WASH: TradeTask(None, (), 1),
}
ELSE: Final = TradeTask(INSTALL, ("Dress covers",), 2)
"""A task that nobody listed is done on site, once the covers are on."""


@dataclass(frozen=True, slots=True)
class Shared:
    """Tasks of one shift, shared out: a network in which nobody does two things at once."""

    activities: tuple[Activity, ...]
    people: Mapping[str, int]

    @property
    def minutes(self) -> float:
        """How long it takes at the least."""
        return max((times.early_finish for times in passes(self.activities).values()), default=0.0)


def kind_of(task: str) -> ShiftKind | None:
    """The shift in which a task is done; none for what waits until the event is over."""
    return TASKS.get(task, ELSE).kind


def shared_out(kind: ShiftKind, minutes: Mapping[str, float], people: int) -> Shared:
    """The tasks of ``kind`` for so many ``people``; ``minutes`` are those of one person.

    Each task is done by as many as it takes at most. One after the other in the trade's order, each starts when
    what it needs is done and enough people are free; whoever takes a task over from another waits for that other
    one, so that a crew of that size can keep the network's every schedule.
    """
    if people < 1:
        raise ValueError("Somebody must do it: at least one person.")
    tasks = _in_order(kind, minutes)
    free_at, last = [0.0] * people, [""] * people
    done: dict[str, float] = {}
    shared: list[Activity] = []
    takes: dict[str, int] = {}
    for name in tasks:
        need = min(people, 1 if name == LOOK else TASKS.get(name, ELSE).most_people)
        before = _before(name, tasks)
        ready = max((done[each] for each in before), default=0.0)
        start = max(ready, sorted(free_at)[need - 1])
        # Of those who are free, whoever has been busy longest goes on: the others stay free for what is next.
        free = [number for number in range(people) if free_at[number] <= start]
        takers = sorted(free, key=lambda number: (-free_at[number], number))[:need]
        waits = dict.fromkeys([*before, *(last[number] for number in takers if last[number])])
        spent = minutes.get(name, LOOK_MINUTES) / need
        done[name] = start + spent
        takes[name] = need
        shared.append(Activity(name, spent, tuple(waits)))
        for number in takers:
            free_at[number], last[number] = done[name], name
    return Shared(tuple(shared), takes)


# --- Private ---


def _in_order(kind: ShiftKind, minutes: Mapping[str, float]) -> list[str]:
    wanted = [name for name, spent in minutes.items() if spent > 0 and kind_of(name) == kind]
    listed = list(TASKS)
    wanted.sort(key=lambda name: listed.index(name) if name in TASKS else len(listed))
    return [*wanted, LOOK] if kind == INSTALL and wanted else wanted


def _before(name: str, tasks: Sequence[str]) -> list[str]:
    """What must be done before, leaving out what this event doesn't have."""
    if name == LOOK:
        return [each for each in tasks if each != LOOK]
    found: list[str] = []
    for each in TASKS.get(name, ELSE).after:
        found += [each] if each in tasks else _before(each, tasks)
    return found
