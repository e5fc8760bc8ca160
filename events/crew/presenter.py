"""Crew as pages and mails show them: the list, and a call in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Final

from django.utils import timezone

from events.crew import people
from events.crew.people import CrewPerson
from events.models import CrewCall, DayOff
from studio.models import Studio
from studio.models.dates import day_written, moment_written, time_written

DAYS_AHEAD: Final = 60
"""The crew page lists days off that begin within so many days."""


@dataclass(frozen=True, slots=True)
class ShownCall:
    """One shift as the person who is called reads it."""

    work: str
    starts: str
    ends: str
    drives: bool


def shown_call(call: CrewCall, studio: Studio) -> ShownCall:
    """The work of a call, with its times by the clocks at the venue."""
    zone = call.shift.event.tz
    starts, ends = call.shift.starts_at.astimezone(zone), call.shift.ends_at.astimezone(zone)
    until = time_written(ends)
    if starts.date() != ends.date():
        until = f"{day_written(ends)}, {until}"
    return ShownCall(
        work=call.shift.get_kind_display(),
        starts=moment_written(starts),
        ends=until,
        drives=call.drives,
    )


def call_context(called: CrewCall, in_event: Sequence[CrewCall], studio: Studio) -> dict[str, object]:
    """The page on which somebody answers for each shift of an event."""
    return {
        "calls": [(call, shown_call(call, studio)) for call in in_event],
        "event": in_event[0].shift.event,
        "name": called.member.person.get_short_name(),
        "studio": studio,
    }


def crew_rows(studio: Studio) -> list[tuple[CrewPerson, list[DayOff], bool]]:
    """Each member of the studio with the days off that are near, and whether it is the person who looks."""
    today = timezone.now().astimezone(studio.tz).date()
    off: dict[int, list[DayOff]] = {}
    near = today + timedelta(days=DAYS_AHEAD)
    for row in DayOff.objects.filter(last_day__gte=today, first_day__lte=near):
        off.setdefault(row.member_id, []).append(row)
    return [(who, off.get(who.member.pk or 0, []), people.is_self(who)) for who in people.list_people()]


def days_off_ahead(who: CrewPerson, studio: Studio) -> list[DayOff]:
    """Somebody's days off that aren't over."""
    if not who.member.pk:
        return []
    today = timezone.now().astimezone(studio.tz).date()
    return list(DayOff.objects.filter(member=who.member.pk, last_day__gte=today))
