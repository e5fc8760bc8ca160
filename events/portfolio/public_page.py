"""The public page: off until the studio switches it on, found by the studio's slug, without a client's name."""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

from django.core.cache import cache
from django.core.exceptions import ValidationError
from django.http import Http404
from PIL import Image

from events.models import Portfolio, PortfolioPhoto
from studio import tenancy
from studio.models import StoredFile
from studio.people.public_pages import entered_through
from studio.tenancy.access import require
from studio.tenancy.rights import Right, Role

MOST_PHOTOS: Final = 60
SIDE_PX: Final = 1200
QUALITY: Final = 80
A_DAY: Final = 24 * 3600


def find() -> Portfolio:
    """The entered studio's switch; off where nobody has touched it."""
    return Portfolio.objects.first() or Portfolio(slug=tenancy.current().slug)


def switch(*, is_shown: bool, is_indexed: bool) -> None:
    """Show the page or not, and let search engines list it or not. Raises ``ValidationError``."""
    require(Right.EDIT_STUDIO)
    if is_indexed and not is_shown:
        raise ValidationError({"is_indexed": "Search engines can list the page only while it is public."})
    Portfolio.objects.update_or_create(
        defaults={"slug": tenancy.current().slug, "is_shown": is_shown, "is_indexed": is_indexed}
    )


@contextmanager
def entered(slug: str) -> Iterator[Portfolio]:
    """Inside the studio of a public page, as somebody who may see nothing else. Raises ``Http404``."""
    shown = Portfolio.objects.filter(slug=slug, is_shown=True)
    with entered_through(shown, slug=slug, role=Role.CLIENT) as portfolio:
        yield portfolio


def shown_photos() -> list[PortfolioPhoto]:
    """The photos that are shown, the latest first, without their content. One query."""
    photos = PortfolioPhoto.objects.filter(consent__withdrawn_at=None).select_related("photo")
    return list(photos.only("photo__width_px", "photo__height_px")[:MOST_PHOTOS])


def content(photo_id: int) -> bytes:
    """A photo that is shown, as WebP of a page's size. Raises ``Http404``."""
    shown = PortfolioPhoto.objects.filter(photo=photo_id, consent__withdrawn_at=None)
    file_id = shown.values_list("photo__file_id", flat=True).first()
    if file_id is None:
        raise Http404
    key = f"portfolio-{tenancy.current_studio_id()}-{file_id}"
    return bytes(cache.get_or_set(key, lambda: _sized(file_id), A_DAY) or b"")


# Private


def _sized(file_id: int) -> bytes:
    with Image.open(io.BytesIO(bytes(StoredFile.objects.get(pk=file_id).content))) as image:
        whole = image.convert("RGB")
    whole.thumbnail((SIDE_PX, SIDE_PX))
    out = io.BytesIO()
    whole.save(out, "WEBP", quality=QUALITY)
    return out.getvalue()
