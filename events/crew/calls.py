"""The call: asking somebody by e-mail for a stretch of work, and their yes or no by a link."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import timedelta
from typing import Final

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import transaction
from django.http import Http404
from django.urls import reverse
from django.utils import timezone

from events.booking import log
from events.models import Answer, CrewCall, Event
from studio import tenancy
from studio.measures.times import day_written, time_written
from studio.models import LinkPurpose, Studio, entered_studio
from studio.outbox import entries, mail
from studio.people import public_links
from studio.tenancy import links
from studio.tenancy.access import require
from studio.tenancy.rights import Right

OPEN_AFTER: Final = timedelta(hours=1)
"""A call can be answered until an hour after its stretch began; then the link is closed."""


class TooLate(ValidationError):
    """The stretch has begun or was called off: there is nothing to answer any more."""


def ask(event_id: int) -> tuple[str, ...]:
    """Ask everybody on the event who hasn't been asked for these times, in one letter each; their names.

    Raises ``Http404``, :class:`TooLate`.
    """
    require(Right.EDIT_EVENTS)
    with transaction.atomic():
        event = Event.objects.select_related("venue").filter(pk=event_id).first()
        if event is None:
            raise Http404
        if event.is_off:
            raise TooLate("This event was called off; nobody is asked.")
        waiting = (
            CrewCall.objects.select_for_update(of=("self",))
            .select_related("shift", "member__person")
            .filter(shift__event=event, answer=Answer.NOT_ASKED, shift__starts_at__gt=timezone.now())
            .order_by("shift__starts_at", "pk")
        )
        by_member: dict[int, list[CrewCall]] = {}
        for call in waiting:
            by_member.setdefault(call.member_id, []).append(call)
        names = [_ask(calls) for calls in by_member.values()]
        if names:
            log.record(event, f"Called by e-mail: {', '.join(names)}.")
    return tuple(names)


def answer(call_id: int, *, yes: bool) -> CrewCall:
    """Their own answer, which they may change until the stretch begins.

    Raises :class:`TooLate`, ``Http404``; ``PermissionDenied`` for anybody else.
    """
    require(Right.SEE_EVENTS)
    with transaction.atomic():
        call = (
            CrewCall.objects.select_for_update(of=("self",))
            .select_related("shift__event", "member__person")
            .filter(pk=call_id)
            .first()
        )
        if call is None:
            raise Http404
        if call.member.person_id != tenancy.current().person_id:
            raise PermissionDenied("Only who is called can answer.")
        if call.shift.event.is_off:
            raise TooLate("The event was called off; you needn't come.")
        if call.shift.starts_at + OPEN_AFTER <= timezone.now():
            raise TooLate("It has begun. Ring the studio instead.")
        wanted = Answer.YES if yes else Answer.NO
        if call.answer != wanted:
            call.answer, call.answered_at = wanted, timezone.now()
            call.asked_at = call.asked_at or timezone.now()
            call.save(update_fields=["answer", "answered_at", "asked_at"])
            who = call.member.person.name
            log.record(call.shift.event, f"{who} {wanted.label} to {call.shift.get_kind_display()}.")
    return call


def mail_call(call_id: int) -> None:
    """Send the e-mail, with a link made for it now: no token is ever stored, not even on its way."""
    call = CrewCall.objects.select_related("shift__event", "member__person").filter(pk=call_id).first()
    if call is None or call.answer == Answer.NOT_ASKED or call.shift.event.is_off:
        return  # taken off, moved or called off meanwhile: nothing to ask
    studio = entered_studio()
    theirs = together(call)
    public_links.revoke(LinkPurpose.CALL, subject_id=call.pk)
    expires_at = max(each.shift.starts_at for each in theirs) + OPEN_AFTER
    made = public_links.make(LinkPurpose.CALL, subject_id=call.pk, expires_at=expires_at)
    mail.send(
        template="crew_call",
        to=call.member.person.email,
        reply_to=studio.email,
        context={
            "studio": studio.name,
            "name": call.member.person.get_short_name(),
            "event": call.shift.event.title,
            "first": told(theirs[0], studio).starts,
            "zone": call.shift.event.zone,
            "stretches": [asdict(told(each, studio)) for each in theirs],
            "place": theirs[0].shift.event.venue.name if theirs[0].shift.event.venue else "",
            "address": links.absolute(reverse("open-call", args=[made.token])),
        },
    )


def together(call: CrewCall) -> list[CrewCall]:
    """What the same person was asked for in the same event, in order of time: one letter, one page."""
    rows = CrewCall.objects.select_related("shift__event__venue", "member__person").filter(
        shift__event=call.shift.event_id, member=call.member_id
    )
    return list(rows.exclude(answer=Answer.NOT_ASKED).order_by("shift__starts_at", "pk"))


@dataclass(frozen=True, slots=True)
class Told:
    """One stretch as somebody who is called reads it."""

    work: str
    starts: str
    ends: str
    drives: bool


def told(call: CrewCall, studio: Studio) -> Told:
    """What is to be done, and when by the clocks of the place."""
    zone = call.shift.event.tz
    starts, ends = call.shift.starts_at.astimezone(zone), call.shift.ends_at.astimezone(zone)
    until = time_written(ends)
    if starts.date() != ends.date():
        until = f"{day_written(ends, studio.locale)}, {until}"
    return Told(
        work=call.shift.get_kind_display(),
        starts=f"{day_written(starts, studio.locale)}, {time_written(starts)}",
        ends=until,
        drives=call.drives,
    )


# --- Private ---


def _ask(calls: Sequence[CrewCall]) -> str:
    """One letter for all stretches of one person; their name."""
    now = timezone.now()
    CrewCall.objects.filter(pk__in=[call.pk for call in calls]).update(answer=Answer.ASKED, asked_at=now)
    first = calls[0]
    entries.write("events.mail_crew_call", key=f"crew-call-{first.pk}-{now.isoformat()}", call_id=first.pk)
    return first.member.person.name
