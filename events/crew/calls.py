"""Calls: asking crew by e-mail whether they can work a shift, and their answer by a link."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from datetime import timedelta
from typing import Final

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import transaction
from django.http import Http404
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from events.booking import log
from events.crew.language import speaking_to
from events.crew.presenter import shown_call
from events.crew.refusals import mail_refusal
from events.models import Answer, CrewCall, Event
from studio import tenancy
from studio.measures.languages import Language, spoken
from studio.models import LinkPurpose, entered_studio
from studio.outbox import entries, mail
from studio.people import public_links
from studio.tenancy import links
from studio.tenancy.access import require
from studio.tenancy.fair_share import MAILS
from studio.tenancy.rights import Right

OPEN_AFTER: Final = timedelta(hours=1)
"""A call can be answered until an hour after its shift began; then the link is closed."""


class TooLate(ValidationError):
    """The shift has begun or was called off: there is nothing to answer any more."""


def ask(event_id: int) -> tuple[str, ...]:
    """Ask everybody on the event who hasn't been asked for these times, in one e-mail each; returns their names.

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
    """Save a person's own answer, which they may change until the shift begins.

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
            raise PermissionDenied("Only the person who was called can answer.")
        if call.shift.event.is_off:
            raise TooLate(_("This event was called off; you don’t need to come."))
        if call.shift.starts_at + OPEN_AFTER <= timezone.now():
            raise TooLate(_("This shift has begun. Call the studio instead."))
        wanted = Answer.YES if yes else Answer.NO
        if call.answer != wanted:
            call.answer, call.answered_at = wanted, timezone.now()
            call.asked_at = call.asked_at or timezone.now()
            call.answer_starts_at, call.answer_ends_at = call.shift.starts_at, call.shift.ends_at
            call.save()
            who = call.member.person.name
            log.record(call.shift.event, f"{who} {wanted.label} to {call.shift.get_kind_display()}.")
            if wanted == Answer.NO:
                mail_refusal(call)
    return call


def mail_call(call_id: int) -> None:
    """Send the e-mail with a new link. The link is made only now, so that no token is ever stored."""
    call = CrewCall.objects.select_related("shift__event", "member__person").filter(pk=call_id).first()
    if call is None or call.answer == Answer.NOT_ASKED or call.shift.event.is_off:
        return  # taken off, moved or called off meanwhile: nothing to ask
    in_event = calls_in_same_event(call)
    public_links.revoke(LinkPurpose.CALL, subject_id=call.pk)
    expires_at = max(each.shift.starts_at for each in in_event) + OPEN_AFTER
    made = public_links.make(LinkPurpose.CALL, subject_id=call.pk, expires_at=expires_at)
    with speaking_to(call.member.person):
        _send(call, in_event, links.absolute(reverse("call-open", args=[made.token])))


def calls_in_same_event(call: CrewCall) -> list[CrewCall]:
    """The calls to the same person in the same event, in order of time: one e-mail, one page."""
    rows = CrewCall.objects.select_related("shift__event__venue", "member__person").filter(
        shift__event=call.shift.event_id, member=call.member_id
    )
    return list(rows.exclude(answer=Answer.NOT_ASKED).order_by("shift__starts_at", "pk"))


# --- Private ---


def _send(call: CrewCall, in_event: Sequence[CrewCall], address: str) -> None:
    """The e-mail with its link, in the language that is spoken."""
    studio, event = entered_studio(), in_event[0].shift.event
    mail.send(
        template="crew_call",
        to=call.member.person.email,
        reply_to=studio.email,
        sender=studio.name,
        context={
            "studio": studio.name,
            "language": (spoken() or Language.ENGLISH).value,
            "name": call.member.person.get_short_name(),
            "event": event.title,
            "first": shown_call(in_event[0], studio).starts,
            "zone": event.zone,
            "shifts": [asdict(shown_call(each, studio)) for each in in_event],
            "place": event.venue.name if event.venue else "",
            "address": address,
        },
    )


def _ask(calls: Sequence[CrewCall]) -> str:
    """Queue one e-mail for all shifts of one person; returns the name."""
    now = timezone.now()
    for call in calls:
        call.answer, call.asked_at = Answer.ASKED, now
        call.answer_starts_at, call.answer_ends_at = call.shift.starts_at, call.shift.ends_at
    CrewCall.objects.bulk_update(calls, ["answer", "asked_at", "answer_starts_at", "answer_ends_at"])
    first = calls[0]
    entries.write(
        "events.mail_crew_call", share=MAILS, key=f"crew-call-{first.pk}-{now.isoformat()}", call_id=first.pk
    )
    return first.member.person.name
