"""Hours spent beside hours planned, task by task."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from events.loadout.line_states import LoadOutList


@dataclass(frozen=True, slots=True)
class TaskHours:
    """One task: what was worked out for it, and what it took."""

    task: str
    planned_minutes: Decimal | None
    """Of work, whoever does it; None where nobody planned it."""
    minutes: int | None = None
    """By the clock; None where nobody said."""
    hands: int = 1
    by: str = ""

    @property
    def spent_minutes(self) -> int | None:
        """Of work: by the clock, times the people at it."""
        return None if self.minutes is None else self.minutes * self.hands

    @property
    def planned_words(self) -> str:
        """What was planned, as people say it: "3 h 6 min"."""
        return in_words(self.planned_minutes or 0)

    @property
    def spent_words(self) -> str:
        """What it took, as people say it."""
        return "" if self.spent_minutes is None else in_words(self.spent_minutes)

    @property
    def over_percent(self) -> int | None:
        """How much more it took than planned, in percent; below zero where it took less."""
        if self.spent_minutes is None or not self.planned_minutes:
            return None
        return round((self.spent_minutes - self.planned_minutes) * 100 / self.planned_minutes)


def in_words(minutes: int | Decimal) -> str:
    """Minutes as hours and minutes."""
    hours, rest = divmod(round(minutes), 60)
    return f"{hours} h {rest} min" if hours else f"{rest} min"


def spent(the_list: LoadOutList) -> list[TaskHours]:
    """Every planned task with what it took, then those that were not planned. One query."""
    said = {tick.task: tick for tick in the_list.hours}
    planned = {row.task: row.minutes for row in the_list.event.work.all()}
    rows = []
    for task in [*planned, *(task for task in said if task not in planned)]:
        tick = said.get(task)
        if tick is None:
            rows.append(TaskHours(task, planned[task]))
        else:
            rows.append(TaskHours(task, planned.get(task), tick.count, tick.hands, tick.by))
    return rows
