"""The next job: where somebody goes next, when, with whom and in which van."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Final

from django.db.models import Exists, OuterRef, Prefetch
from django.utils import timezone

from events.models import Answer, CrewCall, Event, Shift, Stage, Status
from events.progress.event_pictures import EventPicture, find_pictures
from events.progress.presenter import stage_beads
from studio import tenancy
from studio.measures.times import Window
from studio.tenancy.access import require
from studio.tenancy.rights import Right, may
from studio.ui.progress import Bead

LOOKED_AT: Final = 3
"""The next job and the ones after it that are named."""


@dataclass(frozen=True, slots=True)
class NextJob:
    """One agreed event that isn't over, as the opening page shows it."""

    event: Event
    shifts: Sequence[Shift]
    """In the order of the day; the calls of each that were not refused are read."""
    is_mine: bool
    """Whether the person who looks is on one of its shifts."""
    picture: EventPicture | None
    today: date
    """By the clocks at the venue."""

    @property
    def beads(self) -> Sequence[Bead]:
        """How far the event is."""
        return stage_beads(self.event.stage)

    @property
    def day_word(self) -> str:
        """``Today`` or ``Tomorrow`` where the next of its shifts, or load-out, is then; else nothing."""
        away = self.day - self.today
        return {timedelta(): "Today", timedelta(days=1): "Tomorrow"}.get(away, "")

    @property
    def day(self) -> date:
        """The day on which somebody goes next: today while it goes on."""
        return max(self.next_window.start.astimezone(self.event.tz).date(), self.today)

    @property
    def next_window(self) -> Window:
        """The next shift that isn't over, or without shifts the whole stay."""
        now = timezone.now()
        ahead = (shift.window() for shift in self.shifts if shift.ends_at > now)
        return next(ahead, self.event.hold_window())

    @property
    def is_coming_back(self) -> bool:
        """Whether it is installed and its strike may have begun: what matters next is the count."""
        return self.event.stage == Stage.INSTALLED and self.event.strike_from <= timezone.now()


def find_next_jobs() -> list[NextJob]:
    """The agreed events that come next and aren't counted back, soonest first; for crew only their own, if any.

    Five queries, and what the pictures need, however many people are on them.
    """
    require(Right.SEE_EVENTS)
    now, who = timezone.now(), tenancy.current().person_id or 0
    coming = CrewCall.objects.exclude(answer=Answer.NO)
    mine = coming.filter(shift__event=OuterRef("pk"), member__person_id=who, shift__ends_at__gt=now)
    shifts = Shift.objects.select_related("van").order_by("starts_at", "pk")
    shifts = shifts.prefetch_related(Prefetch("calls", coming.select_related("member__person")))
    events = (
        Event.objects.filter(status=Status.CONFIRMED, back_at__gt=now)
        .exclude(stage=Stage.COUNTED_BACK)
        .select_related("venue")
        .alias(mine=Exists(mine))
        .prefetch_related(Prefetch("shifts", shifts))
        .order_by(*_own_first(), "load_out_at", "pk")[:LOOKED_AT]
    )
    jobs = [_job(event, now, who) for event in events]
    own = [job for job in jobs if job.is_mine]
    return _with_pictures(own if own and not _is_office() else jobs)


# --- Private ---


def _own_first() -> tuple[str, ...]:
    """Crew see where they go; the office sees what goes out next."""
    return () if _is_office() else ("-mine",)


def _job(event: Event, now: datetime, person_id: int) -> NextJob:
    shifts = list(event.shifts.all())
    ahead = [call for shift in shifts if shift.ends_at > now for call in shift.calls.all()]
    mine = any(call.member.person_id == person_id for call in ahead)
    return NextJob(event, shifts, mine, None, now.astimezone(event.tz).date())


def _with_pictures(jobs: list[NextJob]) -> list[NextJob]:
    pictures = find_pictures([job.event.pk for job in jobs])
    return [replace(job, picture=pictures.get(job.event.pk)) for job in jobs]


def _is_office() -> bool:
    return may(tenancy.current().role, Right.EDIT_EVENTS)
