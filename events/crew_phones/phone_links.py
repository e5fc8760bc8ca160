"""An event given to a phone by a link: what the office gives, renews and ends, and how long it lasts."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import QuerySet
from django.http import Http404
from django.utils import timezone

from events.booking import event_lock, log
from events.models import Event
from studio.models import CrewPhone, LinkPurpose, PublicLink
from studio.people import crew_phones
from studio.tenancy.access import require
from studio.tenancy.links import absolute
from studio.tenancy.rights import Right

FOR_THE_COUNT: Final = timedelta(hours=24)
"""So long after the van is back the lists stay open: counting back, washing, what was forgotten."""
MOST_PHONES: Final = 20
"""Of one event."""
LONGEST_NAME: Final = 40
SUFFIX: Final = "'s phone"


@dataclass(frozen=True, slots=True)
class GivenPhone:
    """A phone and, this once, the address to open on it."""

    phone: CrewPhone
    address: str


def this_event(event_id: int) -> int:
    """What a crew link must be of to open a page whose address names the event."""
    return event_id


def ends_at(event: Event) -> datetime:
    """When the links of an event end by themselves."""
    return event.back_at + FOR_THE_COUNT


def give(event_id: int, *, whose: str) -> GivenPhone:
    """A link by which one phone opens this event's lists. ``Rosa`` becomes ``Rosa's phone``.

    Raises ``ValidationError`` at ``whose``, or for an event that is called off or over; ``Http404``.
    """
    require(Right.EDIT_EVENTS)
    with transaction.atomic():
        event = event_lock.locked(event_id)
        name = _name(whose)
        _refuse_over(event)
        if _rows(event_id).count() >= MOST_PHONES:
            raise ValidationError(
                f"An event can be given to {MOST_PHONES} phones; make a new link for one of them."
            )
        phone, token = crew_phones.give(name=name, subject_id=event_id, expires_at=ends_at(event))
        log.record(event, f"Given to a phone: {name}.")
    return GivenPhone(phone, _address(token))


def renew(event_id: int, phone_id: int) -> GivenPhone:
    """Another link for the same phone, say after it was lost or its browser emptied; the one before ends.

    Raises ``ValidationError`` for an event that is called off or over; ``Http404``.
    """
    require(Right.EDIT_EVENTS)
    with transaction.atomic():
        event, phone = event_lock.locked(event_id), _locked(event_id, phone_id)
        _refuse_over(event)
        token = crew_phones.renew(phone, expires_at=ends_at(event))
        log.record(event, f"New link for {phone.name}.")
    return GivenPhone(phone, _address(token))


def end(event_id: int, phone_id: int) -> CrewPhone:
    """End a phone's link at once. Ending twice is once. Raises ``Http404``."""
    require(Right.EDIT_EVENTS)
    with transaction.atomic():
        event, phone = event_lock.locked(event_id), _locked(event_id, phone_id)
        if phone.link.revoked_at is None:
            crew_phones.end(phone)
            log.record(event, f"Link of {phone.name} ended.")
    return phone


def of(event_id: int) -> list[CrewPhone]:
    """The phones that the event was given to, in order, with ``state``: waiting, in use, ended or over. One query."""
    require(Right.EDIT_EVENTS)
    phones = list(_rows(event_id))
    for phone in phones:
        phone.state = _state(phone)  # type: ignore[attr-defined]
    return phones


def follow(event: Event) -> None:
    """Let the links that are open end when the moved event does."""
    PublicLink.objects.filter(purpose=LinkPurpose.CREW_CALL, subject_id=event.pk, revoked_at=None).update(
        expires_at=ends_at(event)
    )


# --- Private ---


def _rows(event_id: int) -> QuerySet[CrewPhone]:
    return CrewPhone.objects.filter(
        link__purpose=LinkPurpose.CREW_CALL, link__subject_id=event_id
    ).select_related("link")


def _locked(event_id: int, phone_id: int) -> CrewPhone:
    phone = _rows(event_id).select_for_update(of=("self",), no_key=True).filter(pk=phone_id).first()
    if phone is None:
        raise Http404
    return phone


def _name(whose: str) -> str:
    said = whose.strip()
    if not said:
        raise ValidationError({"whose": "Say whose phone it is: its ticks carry the name."})
    name = said if "phone" in said.lower() else said + SUFFIX
    if len(name) > LONGEST_NAME:
        most = LONGEST_NAME - len(SUFFIX)
        raise ValidationError({"whose": f"That is {len(said)} characters; at most {most} fit here."})
    return name


def _refuse_over(event: Event) -> None:
    if event.is_off:
        raise ValidationError("This event was called off.")
    if ends_at(event) <= timezone.now():
        raise ValidationError("This event is over: a link would end at once.")


def _state(phone: CrewPhone) -> str:
    if phone.link.revoked_at:
        return "ended"
    if phone.link.expires_at <= timezone.now():
        return "over"
    return "in use" if phone.taken_at else "waiting"


def _address(token: str) -> str:
    return absolute(f"/p/{token}")
