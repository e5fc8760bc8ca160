"""All set pieces of a quote in one picture: where each stands, and the photo of the venue behind them."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q
from django.http import Http404
from PIL import Image

from events.models import Enclosure
from quoting.craft.picture.room_scene import (
    HIGHEST_DRAWN_M,
    Overlap,
    Room,
    ScenePiece,
    VenuePhoto,
    overlaps,
    photo_scene_svg,
    room_scene_svg,
    side_by_side,
)
from quoting.models import Quote, RoomPhoto, SetPiece
from quoting.prints.pictures import linked
from quoting.quotes import sheet
from quoting.quotes.sheet import Sheet
from quoting.quotes.steps import change_quote
from quoting.set_pieces.site import over
from quoting.set_pieces.worked import taken_off
from quoting.stills import venue
from studio.measures import lengths
from studio.models import entered_studio
from studio.tenancy import links
from studio.tenancy.access import require
from studio.tenancy.rights import Right
from studio.trade.errors import CraftError

MOST_PHOTOS: Final = 40
LEAST_CAMERA_M, HIGHEST_CAMERA_M = 0.4, 4.0
"""A phone is held about this high; marks that imply another height are wrong (setting)."""


@dataclass(frozen=True, slots=True)
class Marks:
    """What somebody marked on a photo: two points and the floor and horizon as shares of its sides, and two lengths."""

    start: tuple[float, float]
    end: tuple[float, float]
    length_m: Decimal
    floor: float
    horizon: float
    distance_m: Decimal


@dataclass(frozen=True, slots=True)
class Scene:
    """The pieces of a quote as they stand in the room."""

    quote: Quote
    rows: Sequence[SetPiece]
    pieces: Sequence[ScenePiece]
    room: Room
    photo: RoomPhoto | None
    svg: str

    @property
    def may_move(self) -> bool:
        """Whether pieces can be put elsewhere: what was agreed is not sketched over."""
        return self.quote.is_open

    @property
    def shows_ceiling(self) -> bool:
        return self.room.ceiling_m <= HIGHEST_DRAWN_M

    @property
    def overlaps(self) -> list[Overlap]:
        return overlaps(self.pieces)

    @property
    def past_the_walls_m(self) -> float:
        """How far the pieces reach past the side walls, both sides together [m]."""
        half = self.room.width_m / 2
        left = max((-half - one.left_m for one in self.pieces), default=0.0)
        right = max((one.right_m - half for one in self.pieces), default=0.0)
        return max(left, 0.0) + max(right, 0.0)


def scene(quote_id: int) -> Scene:
    """All pieces of a quote in their room. Raises ``Http404``."""
    require(Right.SEE_QUOTES)
    quote = sheet.find_quote(quote_id)
    rows = list(quote.pieces.order_by("position").defer("picture", "takeoff"))
    pieces = _standing(rows)
    room = _room(quote, rows)
    photo = RoomPhoto.objects.filter(quote=quote).first()
    svg = photo_scene_svg(pieces, seen_in(photo)) if photo else room_scene_svg(pieces, room)
    return Scene(quote, rows, pieces, room, photo, linked(svg))


def place(quote_id: int, piece_id: int, x_m: Decimal, back_m: Decimal, *, version: int) -> Quote:
    """Stand a piece elsewhere in the room: one step of the sketch. Raises ``Http404`` and what a change can raise."""

    def change(read: Sheet) -> str:
        piece = next((one for one in read.pieces if one.pk == piece_id), None)
        if piece is None:
            raise Http404
        piece.room_x_m, piece.room_back_m = x_m, back_m
        piece.full_clean(exclude=["quote", "takeoff", "picture", "design"], validate_unique=False)
        read.note_altered(piece, "room_x_m", "room_back_m")
        return f"moved {piece.name} in the room"

    return change_quote(quote_id, version, change, in_place=True)


def photos_for(quote: Quote) -> list[Enclosure]:
    """The pictures kept with the event and its venue, newest first. One query."""
    require(Right.SEE_QUOTES)
    where = Q(event_id=quote.event_id)
    if quote.event.venue_id:
        where |= Q(venue_id=quote.event.venue_id)
    return list(Enclosure.objects.filter(where, is_picture=True).order_by("-pk")[:MOST_PHOTOS])


def put_behind(quote_id: int, photo_id: int, marks: Marks) -> RoomPhoto:
    """Put a photo behind the pieces, scaled by its marks. Raises ``Http404``, and ``ValidationError`` at a mark."""
    require(Right.EDIT_QUOTES)
    quote = sheet.find_quote(quote_id)
    photo = next((one for one in photos_for(quote) if one.pk == photo_id), None)
    if photo is None:
        raise Http404
    width, height = _size_px(photo)
    kept = RoomPhoto(
        quote=quote,
        photo=photo,
        width_px=width,
        height_px=height,
        mark_x1=marks.start[0],
        mark_y1=marks.start[1],
        mark_x2=marks.end[0],
        mark_y2=marks.end[1],
        mark_m=marks.length_m,
        floor=marks.floor,
        horizon=marks.horizon,
        distance_m=marks.distance_m,
    )
    _refuse_wrong_marks(kept)
    with transaction.atomic():
        sheet.find_quote(quote_id, to_change=True)  # two who mark at once: the later one's marks stand
        RoomPhoto.objects.filter(quote=quote).delete()
        kept.save()
    return kept


def take_away_photo(quote_id: int) -> None:
    """Show the drawn room again."""
    require(Right.EDIT_QUOTES)
    RoomPhoto.objects.filter(quote=sheet.find_quote(quote_id)).delete()


def seen_in(kept: RoomPhoto) -> VenuePhoto:
    """The photo with its scale. Raises ``CraftError`` where a mark is too short."""
    return venue.seen_in(kept, links.to("events:attachment", kept.photo_id))


# Private


def _standing(rows: Sequence[SetPiece]) -> list[ScenePiece]:
    """The pieces where they were put; those that nobody has put anywhere stand side by side."""
    worked = [taken_off(row.read_design()) for row in rows]
    middles = side_by_side([one.dimensions.width_m for one in worked])
    return [
        ScenePiece(
            f"p{row.pk}",
            row.name,
            result,
            middle if row.room_x_m is None else float(row.room_x_m),
            float(row.room_back_m),
        )
        for row, result, middle in zip(rows, worked, middles, strict=True)
    ]


def _room(quote: Quote, rows: Sequence[SetPiece]) -> Room:
    """The room as the first piece has it, with the ceiling of the venue where that is known."""
    if not rows:
        return Room(6.0, 3.0)
    site = over(rows[0].read_design(), quote.event.venue).site
    return Room(site.width_m, site.ceiling_m)


def _size_px(photo: Enclosure) -> tuple[int, int]:
    with Image.open(io.BytesIO(bytes(photo.file.content))) as image:
        return image.size


def _refuse_wrong_marks(kept: RoomPhoto) -> None:
    """A photo whose marks can't be right would show every piece in the wrong size."""
    try:
        seen = seen_in(kept)
    except CraftError:
        raise ValidationError({"mark": "The two ends of the mark are too near to each other."}) from None
    if kept.horizon >= kept.floor:
        raise ValidationError({"horizon": "The horizon lies above the floor line."})
    if not LEAST_CAMERA_M <= seen.camera_height_m <= HIGHEST_CAMERA_M:
        high = lengths.written(Decimal(str(round(seen.camera_height_m, 2))), entered_studio().units)
        raise ValidationError(
            {
                "floor": f"With these marks the camera was {high} above the floor. Check the mark and the floor line."
            }
        )
    kept.full_clean(exclude=["studio"], validate_unique=False)
