"""The photo of an item, shown on its page."""

from __future__ import annotations

from typing import BinaryIO, Final

from django.db import transaction
from django.http import Http404

from stock.models import Item, ItemPhoto
from studio.models import StoredFile
from studio.paper import images
from studio.tenancy.access import require
from studio.tenancy.rights import Right

LONGEST_SIDE_PX: Final = 1200


def save_photo(item: Item, upload: BinaryIO, *, size: int) -> ItemPhoto:
    """Save the photo, re-encoded and without the camera's data; it replaces the one before.

    ``size`` is in bytes. Raises ``ValidationError`` for a file that is not a picture or is too large.
    """
    require(Right.EDIT_SHELF)
    picture = images.photo(upload, size=size, longest_side_px=LONGEST_SIDE_PX)
    with transaction.atomic():
        # Simultaneous uploads wait for each other.
        Item.objects.select_for_update(no_key=True).get(pk=item.pk)
        remove_photo(item)
        file = StoredFile.objects.create(
            name=f"item-{item.pk}.jpg",
            media_type="image/jpeg",
            content=picture.content,
            digest=picture.digest,
        )
        return ItemPhoto.objects.create(item=item, file=file)


def remove_photo(item: Item) -> None:
    """Remove the photo."""
    require(Right.EDIT_SHELF)
    with transaction.atomic():
        for kept in ItemPhoto.objects.filter(item=item):
            kept.delete()
            StoredFile.objects.filter(pk=kept.file_id).delete()


def find_photo(item_id: int) -> StoredFile:
    """The picture; 404 if there is none."""
    require(Right.SEE_SHELF)
    found = StoredFile.objects.filter(
        pk__in=ItemPhoto.objects.filter(item_id=item_id).values("file_id")
    ).first()
    if found is None:
        raise Http404("This item has no photo.")
    return found
