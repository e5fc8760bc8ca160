"""Every shift around a span with who is on it, as plain rows: a month has a thousand of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Final

from django.db.models import QuerySet

from events.day_plan import van_load
from events.models import (
    Answer,
    CrewCall,
    CrewMember,
    DayOff,
    Shift,
    ShiftKind,
    Skill,
    Status,
    Van,
    WorkRules,
)
from events.models.event import working_height
from studio.measures.times import Window
from studio.models import Studio
from studio.trade.packing import Packed

AROUND: Final = timedelta(days=8)
"""How far on either side shifts count for rest and week."""


@dataclass(frozen=True, slots=True)
class RosterShift:
    """One shift of one event, and the van that goes."""

    pk: int
    event_id: int
    kind: str
    starts_at: datetime
    ends_at: datetime
    van_id: int | None
    times_fixed: bool
    van_fixed: bool
    comes_from_id: int | None
    title: str
    """Of its event."""
    height_m: Decimal | None
    built_height_m: Decimal | None
    van: Van | None
    window: Window

    @property
    def kind_words(self) -> str:
        """What kind of shift it is."""
        return str(ShiftKind(self.kind).label)

    @property
    def working_height_m(self) -> Decimal | None:
        """How high a crew works."""
        return working_height(self.built_height_m, self.height_m)


@dataclass(frozen=True, slots=True)
class RosterCall:
    """Somebody on a shift, and what they said."""

    pk: int
    shift_id: int
    member_id: int
    drives: bool
    fixed: bool
    answer: str
    member: CrewMember
    skills: frozenset[Skill]

    @property
    def answer_words(self) -> str:
        """What they said."""
        return str(Answer(self.answer).label)


@dataclass(frozen=True, slots=True)
class Roster:
    """Every shift around a span, who is on it, and what the rules are."""

    studio: Studio
    rules: WorkRules
    shifts: Sequence[RosterShift]
    calls: Mapping[int, Sequence[RosterCall]]
    """By shift; those who said no as well."""
    days_off: Mapping[int, Sequence[DayOff]]
    """By member."""
    loads: Mapping[int, Packed]
    """By event."""
    _on: dict[int, Sequence[RosterCall]] = field(default_factory=dict, init=False, repr=False)

    def on(self, shift: RosterShift) -> Sequence[RosterCall]:
        """Who is on a shift; whoever said no isn't. A month asks again and again."""
        if shift.pk not in self._on:
            called = self.calls.get(shift.pk, ())
            self._on[shift.pk] = [call for call in called if call.answer != Answer.NO]
        return self._on[shift.pk]


def read_roster(span: Window, studio: Studio) -> Roster:
    """Read what is planned around a span. As many queries however much is planned."""
    around = Shift.objects.filter(starts_at__lt=span.end + AROUND, ends_at__gt=span.start - AROUND).exclude(
        event__status=Status.CANCELLED
    )
    shifts = _shifts(around)
    off = DayOff.objects.filter(
        last_day__gte=(span.start - AROUND).date(), first_day__lte=(span.end + AROUND).date()
    )
    days_off: dict[int, list[DayOff]] = {}
    for row in off:
        days_off.setdefault(row.member_id, []).append(row)
    rules = WorkRules.objects.first() or WorkRules()
    loads = van_load.loads({shift.event_id for shift in shifts if shift.van_id})
    return Roster(studio, rules, shifts, _calls(around), days_off, loads)


# --- Private ---


def _shifts(around: QuerySet[Shift]) -> list[RosterShift]:
    vans = Van.objects.in_bulk()
    rows = around.order_by("starts_at", "pk").values_list(
        "pk", "event_id", "kind", "starts_at", "ends_at", "van_id", "times_fixed", "van_fixed", "comes_from_id",
        "event__title", "event__height_m", "event__built_height_m",
    )  # fmt: skip
    return [RosterShift(*row, vans[row[5]] if row[5] else None, Window(row[3], row[4])) for row in rows]


def _calls(around: QuerySet[Shift]) -> dict[int, list[RosterCall]]:
    people = CrewMember.objects.select_related("person").only(
        *(field.name for field in CrewMember._meta.concrete_fields), "person__name", "person__email"
    )
    members: dict[int, CrewMember] = {member.pk: member for member in people}
    skills = {pk: frozenset(member.skills) for pk, member in members.items()}
    rows = CrewCall.objects.filter(shift__in=around.values("pk")).order_by("pk")
    found: dict[int, list[RosterCall]] = {}
    for row in rows.values_list("pk", "shift_id", "member_id", "drives", "fixed", "answer"):
        member_id = row[2]
        call = RosterCall(*row, members[member_id], skills[member_id])
        found.setdefault(call.shift_id, []).append(call)
    return found
