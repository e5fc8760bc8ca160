"""The studio's images: taken in, found again by their digest, let go."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import PurePath
from typing import BinaryIO, Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import Http404

from quoting.craft.design.records import Design
from quoting.models import PrintImage
from studio import tenancy
from studio.models import StoredFile, Studio
from studio.paper import images
from studio.paper.images import PhotoPicture
from studio.tenancy.access import require
from studio.tenancy.rights import Right

LONGEST_SIDE_PX: Final = 2400
MOST_IMAGES: Final = 200
SMALL_BYTES: Final = 44_000
"""Of the copy that stands in pictures on their own: with base64 and its head below 60 kB."""
THINNEST, WIDEST = 0.05, 20.0
"""Of an image, width by height, as a design takes it."""
UNNAMED: Final = "Image"


def keep(upload: BinaryIO, *, size: int, name: str) -> PrintImage:
    """Keep an image, re-encoded and without the camera's data; the same twice is kept once.

    ``size`` is in bytes. Raises ``ValidationError`` for what is no picture, too large, or one too many.
    """
    require(Right.EDIT_QUOTES)
    return keep_picture(images.photo(upload, size=size, longest_side_px=LONGEST_SIDE_PX), name)


def keep_picture(picture: PhotoPicture, name: str) -> PrintImage:
    """Keep a picture that was checked and encoded already. Raises ``ValidationError`` as :func:`keep` does."""
    require(Right.EDIT_QUOTES)
    refuse_thin(picture)
    with transaction.atomic():
        # Simultaneous uploads wait for each other: two of the same would be refused by the database.
        Studio.objects.select_for_update(no_key=True).get(pk=tenancy.current().studio_id)
        known = PrintImage.objects.filter(digest=picture.digest).first()
        if known is not None:
            return known
        if PrintImage.objects.count() >= MOST_IMAGES:
            raise ValidationError(
                f"You have {MOST_IMAGES} images already. Delete one that you don’t need any more."
            )
        small = images.small_copy(picture, most_bytes=SMALL_BYTES)
        return PrintImage.objects.create(
            name=_clean_name(name),
            digest=picture.digest,
            width_px=picture.width_px,
            height_px=picture.height_px,
            whole=_stored(picture.content, picture.digest),
            small=_stored(small, images.digest_of(small)),
            made_by_id=tenancy.current().person_id,
        )


def refuse_thin(picture: PhotoPicture) -> None:
    """Raise ``ValidationError`` for a picture that no design takes, long and thin as it is."""
    if not THINNEST <= picture.width_px / picture.height_px <= WIDEST:
        raise ValidationError("This picture is too long and thin to be printed.")


def on_the_shelf() -> list[PrintImage]:
    """Every image of the studio by its name. One query, without the files."""
    return list(PrintImage.objects.all())


def known(digests: Iterable[str]) -> dict[str, PrintImage]:
    """The images of these digests, with their small copies. One query, none without digests."""
    wanted = set(digests)
    found = PrintImage.objects.select_related("small").filter(digest__in=wanted) if wanted else ()
    return {image.digest: image for image in found}


def whole_prints(design: Design) -> dict[str, bytes]:
    """The images that covers of a design are printed with, by digest, as far as the studio still has them. One query,
    none where nothing is printed."""
    wanted = [frame.cover_print.digest for frame in design.frames if frame.cover_print]
    found = PrintImage.objects.select_related("whole").filter(digest__in=wanted) if wanted else ()
    return {image.digest: bytes(image.whole.content) for image in found}


def find_file(digest: str) -> StoredFile:
    """The whole picture of an image. Raises ``Http404`` where the studio has none such."""
    require(Right.SEE_QUOTES)
    image = PrintImage.objects.select_related("whole").filter(digest=digest).first()
    if image is None:
        raise Http404
    return image.whole


def delete(digest: str) -> PrintImage:
    """Let an image go: covers that have it printed are plain from then on. Raises ``Http404``."""
    require(Right.EDIT_QUOTES)
    with transaction.atomic():
        image = PrintImage.objects.select_for_update(no_key=True).filter(digest=digest).first()
        if image is None:
            raise Http404
        PrintImage.objects.filter(pk=image.pk).delete()
        StoredFile.objects.filter(pk__in=(image.whole_id, image.small_id)).delete()
    return image


# Private


def _stored(jpeg: bytes, digest: str) -> StoredFile:
    return StoredFile.objects.create(
        name=f"print-{digest[:16]}.jpg", media_type="image/jpeg", content=jpeg, digest=digest
    )


def _clean_name(name: str) -> str:
    """A file's name as people read it: without its folders and its ending."""
    words = " ".join(PurePath(name.replace("\x00", "").replace("\\", "/")).stem.split())
    return words[:120] or UNNAMED
