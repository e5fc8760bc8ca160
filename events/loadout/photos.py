"""Photos from an event: taken on a phone, sent when there is signal, saved once."""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from datetime import datetime
from typing import BinaryIO, Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import Http404
from django.utils import timezone

from events.loadout.ticks import EARLIEST
from events.models import Event, Photo
from studio import tenancy
from studio.models import StoredFile
from studio.paper import images
from studio.tenancy.access import require
from studio.tenancy.rights import Right

LONGEST_SIDE_PX: Final = 1600
MOST_PHOTOS: Final = 200
"""Of one event."""


class CannotSavePhoto(ValidationError):
    """The photo can't be saved; the message says why."""


@dataclass(frozen=True, slots=True)
class TakenPhoto:
    """A photo as a phone sends it."""

    uuid: uuid.UUID
    made_at: datetime
    upload: BinaryIO
    size: int
    """In bytes."""
    phone: str = ""


def save_photo(event_id: int, taken: TakenPhoto) -> Photo:
    """Save the photo, re-encoded and without the camera's metadata; the same photo sent twice is saved once.

    Raises :class:`CannotSavePhoto` for a file that is no picture or too large, ``Http404``.
    """
    require(Right.TICK_LOAD_OUT)
    if not Event.objects.filter(pk=event_id).exists():
        raise Http404
    if kept := Photo.objects.filter(uuid=taken.uuid).first():
        return kept
    if Photo.objects.filter(event_id=event_id).count() >= MOST_PHOTOS:
        raise CannotSavePhoto(f"An event keeps {MOST_PHOTOS} photos at most.")
    try:
        picture = images.photo(taken.upload, size=taken.size, longest_side_px=LONGEST_SIDE_PX)
    except ValidationError as refusal:
        raise CannotSavePhoto(refusal.messages) from None
    who = tenancy.current()
    with transaction.atomic():
        file = StoredFile.objects.create(
            name=f"photo-{taken.uuid}.jpg",
            media_type="image/jpeg",
            content=picture.content,
            digest=picture.digest,
        )
        Photo.objects.bulk_create(
            [
                Photo(
                    uuid=taken.uuid,
                    event_id=event_id,
                    file=file,
                    width_px=picture.width_px,
                    height_px=picture.height_px,
                    phone=taken.phone,
                    person_id=who.person_id,
                    crew_phone_id=who.phone_id,
                    made_at=min(max(taken.made_at, EARLIEST), timezone.now()),
                )
            ],
            ignore_conflicts=True,
        )
        kept = Photo.objects.get(uuid=taken.uuid)
        if kept.file_id != file.pk:  # another sending of the same photo was first
            file.delete()
    return kept


def list_photos(event_id: int) -> list[Photo]:
    """The event's photos, oldest first, without their content. One query."""
    require(Right.SEE_EVENTS)
    photos = Photo.objects.filter(event_id=event_id).select_related("person", "crew_phone")
    return list(photos.only("width_px", "height_px", "made_at", "person__name", "crew_phone__name"))


def find_event_id(photo_id: int) -> int | None:
    """The event that a photo belongs to."""
    return Photo.objects.filter(pk=photo_id).values_list("event_id", flat=True).first()


def find_file(photo_id: int) -> StoredFile:
    """The picture itself. Raises ``Http404``."""
    require(Right.SEE_EVENTS)
    found = StoredFile.objects.filter(pk__in=Photo.objects.filter(pk=photo_id).values("file_id")).first()
    if found is None:
        raise Http404
    return found
