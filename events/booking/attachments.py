"""Keeping pictures and papers with an event or a venue, and giving them out again."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import BinaryIO, Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import Http404

from events.models import Enclosure, Event, Venue
from studio import tenancy
from studio.models import StoredFile
from studio.paper import images
from studio.tenancy.access import require
from studio.tenancy.rights import Right

LONGEST_SIDE_PX: Final = 1600
LARGEST_PDF_BYTES: Final = 10 * 1024 * 1024
MOST: Final = 40
"""With one event or venue: more belongs in a folder elsewhere."""
PDF_BEGINS: Final = b"%PDF-"
"""ISO 32000-2, 7.5.2: the first bytes of a PDF."""


class CannotEnclose(ValidationError):
    """The file can't be kept; the message says why."""


@dataclass(frozen=True, slots=True)
class Upload:
    """A file as it is sent, with its name and its length in bytes."""

    name: str
    content: BinaryIO
    size: int


def enclose(to: Event | Venue, upload: Upload) -> Enclosure:
    """Keep a picture, re-encoded and without what the camera wrote into it, or a PDF.

    Raises :class:`CannotEnclose` for anything else, whatever its name says.
    """
    require(Right.EDIT_EVENTS)
    if to.enclosures.count() >= MOST:
        raise CannotEnclose(f"At most {MOST} files are kept here. Drop one first.")
    content, media_type = _accepted(upload)
    name = (upload.name.replace("\x00", "").strip() or "file")[:120]
    with transaction.atomic():
        digest = hashlib.sha256(content).hexdigest()
        file = StoredFile.objects.create(name=name, media_type=media_type, content=content, digest=digest)
        return Enclosure.objects.create(
            event=to if isinstance(to, Event) else None,
            venue=to if isinstance(to, Venue) else None,
            name=name,
            file=file,
            is_picture=media_type != "application/pdf",
            person_id=tenancy.current().person_id,
        )


def drop(enclosure_id: int) -> Enclosure:
    """Let it go, its content as well. Raises ``Http404``."""
    require(Right.EDIT_EVENTS)
    with transaction.atomic():
        found = _found(enclosure_id)
        Enclosure.objects.filter(pk=found.pk).delete()
        StoredFile.objects.filter(pk=found.file_id).delete()
    return found


def content(enclosure_id: int) -> StoredFile:
    """What is in it. Raises ``Http404``."""
    require(Right.SEE_EVENTS)
    return StoredFile.objects.get(pk=_found(enclosure_id).file_id)


# --- Private ---


def _found(enclosure_id: int) -> Enclosure:
    found = Enclosure.objects.filter(pk=enclosure_id).first()
    if found is None:
        raise Http404
    return found


def _accepted(upload: Upload) -> tuple[bytes, str]:
    begins = upload.content.read(len(PDF_BEGINS))
    upload.content.seek(0)
    if begins == PDF_BEGINS:
        if upload.size > LARGEST_PDF_BYTES:
            found, most = (size // 1024**2 for size in (upload.size, LARGEST_PDF_BYTES))
            raise CannotEnclose(f"This file has {found} MB; PDFs of up to {most} MB can be kept.")
        return upload.content.read(), "application/pdf"
    try:
        picture = images.photo(upload.content, size=upload.size, longest_side_px=LONGEST_SIDE_PX)
    except ValidationError as refusal:
        raise CannotEnclose([*refusal.messages, "Pictures (PNG, JPEG, WebP) and PDFs can be kept."]) from None
    return picture.content, "image/jpeg"
