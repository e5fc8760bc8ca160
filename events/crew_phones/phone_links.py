"""Links that open one event's lists on a crew member's phone: given, renewed and ended by the office."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import QuerySet
from django.http import Http404
from django.utils import timezone

from events.booking import event_lock, log
from events.models import Event
from studio.measures.languages import Language
from studio.models import CrewPhone, LinkPurpose, Person, PublicLink
from studio.people import crew_phones
from studio.people.page_request import PageTenant
from studio.tenancy.access import require
from studio.tenancy.links import absolute
from studio.tenancy.rights import Right

FOR_THE_COUNT: Final = timedelta(hours=24)
"""The lists stay open for this long after the van is back, for counting and cleaning."""
MOST_PHONES: Final = 20
"""Of one event."""
LONGEST_NAME: Final = 40
SUFFIX: Final = "'s phone"


@dataclass(frozen=True, slots=True)
class GivenPhone:
    """A phone and the address to open on it, which is known this once."""

    phone: CrewPhone
    address: str


class LinkState(StrEnum):
    """The state of a phone's link."""

    WAITING = "waiting"
    IN_USE = "in use"
    ENDED = "ended"
    """The office ended it."""
    OVER = "over"
    """Its time is over."""


@dataclass(frozen=True, slots=True)
class ListedPhone:
    """A phone and the state of its link."""

    phone: CrewPhone
    state: LinkState


def event_of_address(event_id: int, **_rest: str) -> int:
    """The id that a crew link must carry to open a page of the event, whatever else the address says."""
    return event_id


def ends_at(event: Event) -> datetime:
    """When the links of an event end by themselves."""
    return event.back_at + FOR_THE_COUNT


def give(event_id: int, *, whose: str) -> GivenPhone:
    """Make a link by which one phone opens this event's lists. ``Rosa`` becomes ``Rosa's phone``.

    Raises ``ValidationError`` at ``whose``, or for an event that is called off or over; ``Http404``.
    """
    require(Right.EDIT_EVENTS)
    with transaction.atomic():
        event = event_lock.lock_event(event_id)
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
    """Make another link for the same phone, for instance after its browser was emptied; the one before ends.

    Raises ``ValidationError`` for an event that is called off or over; ``Http404``.
    """
    require(Right.EDIT_EVENTS)
    with transaction.atomic():
        event, phone = event_lock.lock_event(event_id), _locked(event_id, phone_id)
        _refuse_over(event)
        token = crew_phones.renew(phone, expires_at=ends_at(event))
        log.record(event, f"New link for {phone.name}.")
    return GivenPhone(phone, _address(token))


def end(event_id: int, phone_id: int) -> CrewPhone:
    """End a phone's link at once. Ending twice is once. Raises ``Http404``."""
    require(Right.EDIT_EVENTS)
    with transaction.atomic():
        event, phone = event_lock.lock_event(event_id), _locked(event_id, phone_id)
        if phone.link.revoked_at is None:
            crew_phones.end(phone)
            log.record(event, f"Link of {phone.name} ended.")
    return phone


def phones_of_event(event_id: int) -> list[ListedPhone]:
    """The phones that were given the event, in order, each with the state of its link. One query."""
    require(Right.EDIT_EVENTS)
    return [ListedPhone(phone, _state(phone)) for phone in _rows(event_id)]


def follow_event(event: Event) -> None:
    """Let open links end when the moved event ends."""
    PublicLink.objects.filter(purpose=LinkPurpose.CREW_CALL, subject_id=event.pk, revoked_at=None).update(
        expires_at=ends_at(event)
    )


def set_language(reader: PageTenant, language: Language) -> None:
    """Keep the language in which somebody reads the crew's pages, or a phone does."""
    if reader.phone:
        CrewPhone.objects.filter(pk=reader.phone.pk).update(language=language)
    else:
        Person.objects.filter(pk=reader.person.pk).update(language=language)


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
    typed = whose.strip()
    if not typed:
        raise ValidationError({"whose": "Say whose phone it is: its ticks carry the name."})
    name = typed if "phone" in typed.lower() else typed + SUFFIX
    if len(name) > LONGEST_NAME:
        most = LONGEST_NAME - len(SUFFIX)
        raise ValidationError({"whose": f"That is {len(typed)} characters; at most {most} fit here."})
    return name


def _refuse_over(event: Event) -> None:
    if event.is_off:
        raise ValidationError("This event was called off.")
    if ends_at(event) <= timezone.now():
        raise ValidationError("This event is over: a link would end at once.")


def _state(phone: CrewPhone) -> LinkState:
    if phone.link.revoked_at:
        return LinkState.ENDED
    if phone.link.expires_at <= timezone.now():
        return LinkState.OVER
    return LinkState.IN_USE if phone.taken_at else LinkState.WAITING


def _address(token: str) -> str:
    return absolute(f"/p/{token}")
