"""What an item looks like: one photo, taken in by the studio, shown on its page."""

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


def keep(item: Item, upload: BinaryIO, *, size: int) -> ItemPhoto:
    """Keep the photo, re-encoded and without what the camera wrote into it; the one before goes.

    ``size`` is in bytes. Raises ``ValidationError`` for what is no picture or far too large.
    """
    require(Right.EDIT_SHELF)
    picture = images.photo(upload, size=size, longest_side_px=LONGEST_SIDE_PX)
    with transaction.atomic():
        # Two who send one at once wait for one another.
        Item.objects.select_for_update(no_key=True).get(pk=item.pk)
        remove(item)
        file = StoredFile.objects.create(
            name=f"item-{item.pk}.jpg",
            media_type="image/jpeg",
            content=picture.content,
            digest=picture.digest,
        )
        return ItemPhoto.objects.create(item=item, file=file)


def remove(item: Item) -> None:
    """Show no photo of it any more."""
    require(Right.EDIT_SHELF)
    with transaction.atomic():
        for kept in ItemPhoto.objects.filter(item=item):
            kept.delete()
            StoredFile.objects.filter(pk=kept.file_id).delete()


def content(item_id: int) -> StoredFile:
    """The picture itself; 404 where there is none."""
    require(Right.SEE_SHELF)
    found = StoredFile.objects.filter(
        pk__in=ItemPhoto.objects.filter(item_id=item_id).values("file_id")
    ).first()
    if found is None:
        raise Http404("There is no photo of it.")
    return found
