"""Hours worked beside hours planned, task by task."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from events.loadout.line_states import LoadOutList


@dataclass(frozen=True, slots=True)
class TaskHours:
    """One task: the work planned for it, and the work it took."""

    task: str
    planned_minutes: Decimal | None
    """Person-minutes; None where nobody planned it."""
    minutes: int | None = None
    """By the clock; None where nobody entered them."""
    people: int = 1
    by: str = ""

    @property
    def label(self) -> str:
        """The task as it is read."""
        return _(self.task)

    @property
    def spent_minutes(self) -> int | None:
        """Person-minutes: by the clock, times the people at the task."""
        return None if self.minutes is None else self.minutes * self.people

    @property
    def planned_words(self) -> str:
        """The planned work in words: "3 h 6 min"."""
        return hours_in_words(self.planned_minutes or 0)

    @property
    def spent_words(self) -> str:
        """The work it took, in words."""
        return "" if self.spent_minutes is None else hours_in_words(self.spent_minutes)

    @property
    def over_percent(self) -> int | None:
        """By how many percent it took longer than planned; negative where it took less."""
        if self.spent_minutes is None or not self.planned_minutes:
            return None
        return round((self.spent_minutes - self.planned_minutes) * 100 / self.planned_minutes)


def hours_in_words(minutes: int | Decimal) -> str:
    """Minutes as hours and minutes."""
    hours, rest = divmod(round(minutes), 60)
    if not hours:
        return _("%(minutes)s min") % {"minutes": rest}
    return _("%(hours)s h %(minutes)s min") % {"hours": hours, "minutes": rest}


def task_hours(the_list: LoadOutList) -> list[TaskHours]:
    """Every planned task with the work it took, then those that were not planned. One query."""
    entered = {tick.task: tick for tick in the_list.hours}
    planned = {row.task: row.minutes for row in the_list.event.work.all()}
    rows = []
    for task in [*planned, *(task for task in entered if task not in planned)]:
        tick = entered.get(task)
        if tick is None:
            rows.append(TaskHours(task, planned[task]))
        else:
            rows.append(TaskHours(task, planned.get(task), tick.count, tick.people, tick.by))
    return rows
