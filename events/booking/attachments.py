"""Pictures and PDFs attached to an event or a venue."""

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
MOST_FILES: Final = 40
"""Of one event or venue."""
PDF: Final = "application/pdf"
PDF_BEGINS: Final = b"%PDF-"
"""ISO 32000-2, 7.5.2: the first bytes of a PDF."""


class CannotAttach(ValidationError):
    """The file can't be attached; the message says why."""


@dataclass(frozen=True, slots=True)
class Upload:
    """A file as it is sent, with its name and its length in bytes."""

    name: str
    content: BinaryIO
    size: int


def attach(owner: Event | Venue, upload: Upload) -> Enclosure:
    """Attach a PDF, or a picture, encoded again and without the camera's data.

    Raises :class:`CannotAttach` for anything else, whatever its name.
    """
    require(Right.EDIT_EVENTS)
    if owner.enclosures.count() >= MOST_FILES:
        raise CannotAttach(f"At most {MOST_FILES} files can be attached here. Remove one first.")
    content, media_type = _accept(upload)
    name = (upload.name.replace("\x00", "").strip() or "file")[:120]
    with transaction.atomic():
        digest = hashlib.sha256(content).hexdigest()
        file = StoredFile.objects.create(name=name, media_type=media_type, content=content, digest=digest)
        return Enclosure.objects.create(
            event=owner if isinstance(owner, Event) else None,
            venue=owner if isinstance(owner, Venue) else None,
            name=name,
            file=file,
            is_picture=media_type != PDF,
            person_id=tenancy.current().person_id,
        )


def remove(enclosure_id: int) -> Enclosure:
    """Delete an attachment and its content. Raises ``Http404``."""
    require(Right.EDIT_EVENTS)
    with transaction.atomic():
        found = _find(enclosure_id)
        Enclosure.objects.filter(pk=found.pk).delete()
        StoredFile.objects.filter(pk=found.file_id).delete()
    return found


def attached_file(enclosure_id: int) -> StoredFile:
    """The content of an attachment. Raises ``Http404``."""
    require(Right.SEE_EVENTS)
    return StoredFile.objects.get(pk=_find(enclosure_id).file_id)


# --- Private ---


def _find(enclosure_id: int) -> Enclosure:
    found = Enclosure.objects.filter(pk=enclosure_id).first()
    if found is None:
        raise Http404
    return found


def _accept(upload: Upload) -> tuple[bytes, str]:
    begins = upload.content.read(len(PDF_BEGINS))
    upload.content.seek(0)
    if begins == PDF_BEGINS:
        return _accept_pdf(upload), PDF
    try:
        picture = images.photo(upload.content, size=upload.size, longest_side_px=LONGEST_SIDE_PX)
    except ValidationError as refusal:
        accepted = "Pictures (PNG, JPEG, WebP) and PDFs can be attached."
        raise CannotAttach([*refusal.messages, accepted]) from None
    return picture.content, "image/jpeg"


def _accept_pdf(upload: Upload) -> bytes:
    if upload.size > LARGEST_PDF_BYTES:
        found, most = (size // 1024**2 for size in (upload.size, LARGEST_PDF_BYTES))
        raise CannotAttach(f"This file has {found} MB; PDFs of up to {most} MB can be attached.")
    return upload.content.read()
