"""The photo of the venue that a still shows behind its piece: what was marked on it, and its pixels."""

from __future__ import annotations

import io
from collections.abc import Iterable, Mapping
from dataclasses import asdict
from decimal import Decimal
from typing import Final

from django.core.exceptions import ValidationError

from quoting.craft.picture.room_scene import VenuePhoto, px_per_m
from quoting.craft.still.backdrop import USUAL_LIGHT, Backdrop, PhotoLight
from quoting.models import RoomPhoto, SetPiece
from studio.models import StoredFile
from studio.paper import images
from studio.trade.ranges import FloatArray

PHOTO: Final = "photo"
LONGEST_SIDE_PX: Final = 4096
"""Photos are kept smaller than this, so that marks and pixels stay together."""
EXACT: Final = 6
"""Digits after the point that are kept: a mark is no more exact."""

Written = dict[str, str | float]
"""A backdrop as JSON keeps it: the digest of its photo, and by name the figures of :class:`Backdrop`."""


class NoPhoto(Exception):
    """No photo of the venue stands marked behind this piece's quote."""


class PhotoGone(Exception):
    """The photo that a still was asked for with was deleted, or can't be read any more."""


def marked(quotes: Iterable[int]) -> dict[int, RoomPhoto]:
    """The photos with their marks, by quote. One query, none without quotes."""
    wanted = set(quotes)
    if not wanted:
        return {}
    found = RoomPhoto.objects.filter(quote__in=wanted).select_related("photo__file")
    return {kept.quote_id: kept for kept in found.defer("photo__file__content")}


def is_marked(piece: SetPiece) -> bool:
    """Whether the piece's quote has a photo that it can be shown before."""
    return RoomPhoto.objects.filter(quote=piece.quote_id).exists()


def seen_in(kept: RoomPhoto, href: str = "") -> VenuePhoto:
    """The photo with its scale. Raises ``CraftError`` where a mark is too short."""
    width, height = kept.width_px, kept.height_px
    start, end = (kept.mark_x1 * width, kept.mark_y1 * height), (kept.mark_x2 * width, kept.mark_y2 * height)
    return VenuePhoto(
        href=href,
        width_px=width,
        height_px=height,
        px_per_m=px_per_m(start, end, float(kept.mark_m)),
        floor_px=kept.floor * height,
        horizon_px=kept.horizon * height,
        distance_m=float(kept.distance_m),
    )


def written(kept: RoomPhoto, x_m: Decimal | None, back_m: Decimal) -> Written:
    """The photo with a piece's place in it; one that nobody has placed stands in the middle, alone."""
    seen = seen_in(kept)
    backdrop = Backdrop(
        width_px=seen.width_px,
        height_px=seen.height_px,
        focal_px=seen.px_per_m * seen.distance_m,
        horizon_px=seen.horizon_px,
        camera_m=seen.camera_height_m,
        distance_m=seen.distance_m + float(back_m),
        x_m=float(x_m or 0),
    )
    figures = {
        name: round(float(value), EXACT) for name, value in asdict(backdrop).items() if name != "light"
    }
    return {PHOTO: kept.photo.file.digest, **figures}


def read(kept: Mapping[str, str | float], light: PhotoLight = USUAL_LIGHT) -> Backdrop:
    """A backdrop as it was written, with the light of its photo."""
    figures = {name: float(value) for name, value in kept.items() if name != PHOTO}
    return Backdrop(**figures, light=light)


def pixels(kept: Mapping[str, str | float]) -> FloatArray:
    """The photo of a backdrop, sRGB from 0 to 1, shape (height, width, 3). Raises :class:`PhotoGone`."""
    file = StoredFile.objects.filter(digest=kept[PHOTO]).first()
    if file is None:
        raise PhotoGone("The photo of the venue was deleted.")
    content = bytes(file.content)
    try:
        return images.pixels(io.BytesIO(content), size=len(content), longest_side_px=LONGEST_SIDE_PX)
    except ValidationError as refusal:
        raise PhotoGone(*refusal.messages) from None
