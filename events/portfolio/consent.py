"""The consent of a client to show photos of an event. Nothing is shown without one, nothing after it is withdrawn."""

from __future__ import annotations

from datetime import date

from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import Http404
from django.utils import timezone

from events.models import Event, Photo, PhotoConsent, PortfolioPhoto
from studio import tenancy
from studio.models import entered_studio
from studio.tenancy.access import require
from studio.tenancy.rights import Right


def record(event_id: int, *, given_by: str, given_on: date, words: str) -> PhotoConsent:
    """Put down who consented, when and by which words.

    Raises ``ValidationError`` where there is a consent already or the day is to come, ``Http404``.
    """
    require(Right.EDIT_EVENTS)
    if given_on > timezone.localdate(timezone=entered_studio().tz):
        raise ValidationError(
            {"given_on": "This day is still to come. Enter the day on which they said yes."}
        )
    with transaction.atomic():
        event = _locked(event_id)
        if event.photo_consents.filter(withdrawn_at=None).exists():
            raise ValidationError("There is a consent for this event already.")
        return PhotoConsent.objects.create(
            event=event,
            given_by=given_by,
            given_on=given_on,
            words=words,
            written_by_id=tenancy.current().person_id,
        )


def withdraw(event_id: int) -> None:
    """End the consent: its photos leave the public page at once. What was recorded stays on record."""
    require(Right.EDIT_EVENTS)
    with transaction.atomic():
        standing = _locked(event_id).photo_consents.filter(withdrawn_at=None)
        PortfolioPhoto.objects.filter(consent__in=standing).delete()
        standing.update(withdrawn_at=timezone.now(), withdrawn_by=tenancy.current().person_id)


def show(event_id: int, photo_ids: set[int]) -> None:
    """Show exactly these photos of the event in public. Raises ``ValidationError`` without consent."""
    require(Right.EDIT_EVENTS)
    with transaction.atomic():
        event = _locked(event_id)
        consent = find(event.pk)
        if consent is None:
            raise ValidationError("Record the client’s consent first.")
        known = set(Photo.objects.filter(event=event, pk__in=photo_ids).values_list("pk", flat=True))
        consent.shown.exclude(photo__in=known).delete()
        shown = set(consent.shown.values_list("photo_id", flat=True))
        PortfolioPhoto.objects.bulk_create(
            [PortfolioPhoto(photo_id=photo_id, consent=consent) for photo_id in sorted(known - shown)]
        )


def find(event_id: int) -> PhotoConsent | None:
    """The consent that stands."""
    standing = PhotoConsent.objects.select_related("written_by").filter(event=event_id, withdrawn_at=None)
    return standing.first()


def find_ended(event_id: int) -> list[PhotoConsent]:
    """Those that were withdrawn, the latest first."""
    ended = PhotoConsent.objects.select_related("withdrawn_by").filter(event=event_id)
    return list(ended.exclude(withdrawn_at=None))


# Private


def _locked(event_id: int) -> Event:
    event = Event.objects.select_for_update(no_key=True).filter(pk=event_id).first()
    if event is None:
        raise Http404
    return event
