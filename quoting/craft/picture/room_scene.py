"""Several set pieces in one picture: in a drawn room, or before a photo of the venue.

The photo is taken as a pinhole camera sees it that looks level: one known length in it and the floor line below that
length give the scale there; things further back are smaller, and their floor is nearer to the horizon. Lens errors and
a tilted camera are left out, so the picture shows how a piece sits in the room; it does not measure the room.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Final
from xml.sax.saxutils import escape

from quoting.craft.picture.drawing import WARM_DARK, short
from quoting.craft.picture.elevation import elevation_reach, elevation_size, elevation_svg
from quoting.craft.picture.person import PERSON_HEIGHT_M, person_svg
from quoting.craft.picture.room import Shown, ceiling_svg, room_svg
from quoting.craft.picture.view import PX_PER_M
from quoting.craft.takeoff.takeoff import TakeOff
from studio.trade.errors import CraftError
from studio.trade.ranges import between, positive

GAP_M: Final = 0.6
"""Between pieces that nobody has placed yet: somebody walks through. Common practice, no source."""
BESIDE_M: Final = 0.9
"""Left free at the sides of a drawn room (setting)."""
FLOOR_DEPTH_M: Final = 0.7  # of floor before the pieces in a drawn room (setting)
SHORTEST_MARK_PX: Final = 12.0
"""A shorter mark would make every piece the wrong size (setting)."""
HIGHEST_DRAWN_M: Final = 6.0
"""A higher ceiling is left out of a drawn room (setting)."""
ROOM_PREFIX: Final = "room-"
OPENING: Final = re.compile(r"<svg [^>]*>")


@dataclass(frozen=True, slots=True)
class ScenePiece:
    """A set piece in the room: its middle ``x_m`` to the right of the room's middle, its front ``back_m`` behind the
    front of all [m]. ``key`` tells pieces apart and begins the ids of its drawing."""

    key: str
    name: str
    takeoff: TakeOff
    x_m: float
    back_m: float = 0.0

    @property
    def left_m(self) -> float:
        return self.x_m - self.takeoff.dimensions.width_m / 2

    @property
    def right_m(self) -> float:
        return self.x_m + self.takeoff.dimensions.width_m / 2

    @property
    def rear_m(self) -> float:
        return self.back_m + self.takeoff.dimensions.depth_m


@dataclass(frozen=True, slots=True)
class Room:
    """A drawn room: its clear width and ceiling [m]."""

    width_m: float
    ceiling_m: float


@dataclass(frozen=True, slots=True)
class VenuePhoto:
    """A photo of the venue. Lengths in its pixels, from its left and top: scale and floor at the plane of the mark, the
    horizon; and how far before that plane the camera stood [m]."""

    href: str
    width_px: float
    height_px: float
    px_per_m: float
    floor_px: float
    horizon_px: float
    distance_m: float

    @property
    def camera_height_m(self) -> float:
        """How high the camera was held, which the marks imply: a check on them."""
        return (self.floor_px - self.horizon_px) / self.px_per_m

    def at_depth(self, back_m: float) -> tuple[float, float]:
        """Pixels a metre, and the floor's pixels from the top, so far behind the plane of the mark.

        >>> VenuePhoto("hall.jpg", 1600, 1200, 200.0, 900.0, 500.0, 4.0).at_depth(4.0)
        (100.0, 700.0)
        """
        share = self.distance_m / (self.distance_m + back_m)
        return self.px_per_m * share, self.horizon_px + (self.floor_px - self.horizon_px) * share


@dataclass(frozen=True, slots=True)
class Overlap:
    """Two pieces that stand in one another: so much across and so much in depth [m]."""

    first: str
    second: str
    across_m: float
    deep_m: float


def px_per_m(start: tuple[float, float], end: tuple[float, float], length_m: float) -> float:
    """Pixels a metre, from a known length between two points of a photo [pixels].

    CraftError for a length of nothing, or points nearer than 12 pixels.

    >>> px_per_m((100, 200), (400, 600), 2.5)
    200.0
    """
    positive("length", length_m, "m")
    apart = math.dist(start, end)
    if apart < SHORTEST_MARK_PX:
        raise CraftError(f"the mark is {apart:.0f} pixels long; it must be at least {SHORTEST_MARK_PX:.0f}.")
    return apart / length_m


def side_by_side(widths_m: Sequence[float]) -> list[float]:
    """Middles [m] of pieces of these widths in a row, a gap between each two, the row in the middle of the room.

    >>> [round(x, 2) for x in side_by_side([2.0, 1.0])]
    [-0.8, 1.3]
    """
    whole = sum(widths_m) + GAP_M * max(len(widths_m) - 1, 0)
    middles, left = [], -whole / 2
    for width in widths_m:
        middles.append(left + width / 2)
        left += width + GAP_M
    return middles


def overlaps(pieces: Sequence[ScenePiece]) -> list[Overlap]:
    """List the pieces that stand in one another, by the boxes that they take up on the floor."""
    found = []
    for one, other in combinations(pieces, 2):
        across = min(one.right_m, other.right_m) - max(one.left_m, other.left_m)
        deep = min(one.rear_m, other.rear_m) - max(one.back_m, other.back_m)
        if across > 1e-6 and deep > 1e-6:
            found.append(Overlap(one.name, other.name, across, deep))
    return found


def room_scene_svg(pieces: Sequence[ScenePiece], room: Room) -> str:
    """Draw the pieces in a drawn room, one unit being 5 mm, whoever is further back first; with a person for scale.

    Every piece is a group with ``data-piece``, and its x in metres as ``data-x``; the drawing has ``data-scale``,
    units a metre.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> arch = take_off(load_design(STARTERS / "classic-arch.json"))
    >>> room_scene_svg([ScenePiece("p1", "Arch", arch, 0.0)], Room(6.0, 3.0)).count('href="#p1-b')
    136
    """
    left, right, top = _drawn_reach(pieces, room)
    width, ground = (right - left) * PX_PER_M, top * PX_PER_M
    height = ground + FLOOR_DEPTH_M * PX_PER_M
    shown = Shown(0, 0, width, height, ground)
    is_outdoors = bool(pieces) and all(one.takeoff.design.site.outdoors for one in pieces)
    drawn = [
        room_svg(shown, ROOM_PREFIX, is_outdoors=is_outdoors),
        "" if is_outdoors else _walls(room, left, top, shown),
        person_svg(0.35 * PX_PER_M, ground, PX_PER_M * PERSON_HEIGHT_M / 100),
    ]
    drawn += [_placed(one, PX_PER_M, -left * PX_PER_M, ground) for one in _from_the_back(pieces)]
    return _document(width, height, pieces, "".join(drawn), PX_PER_M)


def photo_scene_svg(pieces: Sequence[ScenePiece], photo: VenuePhoto) -> str:
    """Draw the pieces before a photo of the venue, in its pixels: smaller and higher up the further back they stand."""
    between("distance", photo.distance_m, 0.3, 200.0, "m")
    drawn = [
        (
            f'<image href="{escape(photo.href, {chr(34): "&quot;"})}" width="{short(photo.width_px)}" '
            f'height="{short(photo.height_px)}"/>'
        )
    ]
    for one in _from_the_back(pieces):
        scale, floor = photo.at_depth(one.back_m)
        drawn.append(_placed(one, scale, photo.width_px / 2, floor, shade=False))
    return _document(photo.width_px, photo.height_px, pieces, "".join(drawn), photo.px_per_m)


# Private


def _from_the_back(pieces: Sequence[ScenePiece]) -> list[ScenePiece]:
    return sorted(pieces, key=lambda one: -one.back_m)


def _drawn_reach(pieces: Sequence[ScenePiece], room: Room) -> tuple[float, float, float]:
    """Left and right side of the drawing and its top [m]; the room at least, and all that stands in it."""
    left = min([-room.width_m / 2, *(one.left_m for one in pieces)]) - BESIDE_M
    right = max([room.width_m / 2, *(one.right_m for one in pieces)]) + BESIDE_M
    tops = [PERSON_HEIGHT_M, *(one.takeoff.dimensions.height_m for one in pieces)]
    if room.ceiling_m <= HIGHEST_DRAWN_M:
        tops.append(room.ceiling_m)
    return left, right, max(tops) + 0.25


def _walls(room: Room, left: float, top: float, shown: Shown) -> str:
    """Where the room ends at its sides, as corners of its walls, and its ceiling where that is in sight."""
    upper = (top - room.ceiling_m) * PX_PER_M if room.ceiling_m <= HIGHEST_DRAWN_M else 0.0
    sides = [(side - left) * PX_PER_M for side in (-room.width_m / 2, room.width_m / 2)]
    beyond = "".join(
        f'<rect x="{short(start)}" width="{short(end - start)}" height="{short(shown.floor)}" fill="{WARM_DARK}" '
        'fill-opacity=".07"/>'
        for start, end in ((0.0, sides[0]), (sides[1], shown.width))
    )
    uprights = "".join(f"M{short(side)} {short(upper)}V{short(shown.floor)}" for side in sides)
    corners = (
        f'<path d="{uprights}" stroke="{WARM_DARK}" stroke-opacity=".28" stroke-width="1.6" fill="none"/>'
    )
    return beyond + corners + (ceiling_svg(shown, upper) if upper else "")


def _placed(piece: ScenePiece, scale: float, middle: float, floor: float, *, shade: bool = True) -> str:
    """The piece's own drawing, scaled, its floor line on the floor."""
    left, top = elevation_reach(piece.takeoff)
    width, height = elevation_size(piece.takeoff, person=False)
    dimensions = piece.takeoff.dimensions
    own_middle = dimensions.left_m + dimensions.width_m / 2
    x, y = middle + scale * (piece.x_m + left - own_middle), floor - scale * top
    share = scale / PX_PER_M
    inner = elevation_svg(piece.takeoff, person=False, prefix=f"{piece.key}-", room=False, shade=shade)
    opening = (
        f'<svg x="{short(x)}" y="{short(y)}" width="{short(width * share)}" height="{short(height * share)}" '
        f'viewBox="0 0 {width} {height}" overflow="visible">'
    )
    name = escape(piece.name, {'"': "&quot;"})
    return (
        f'<g class="scene-piece" data-piece="{piece.key}" data-x="{piece.x_m:.3f}" data-scale="{scale:.2f}">'
        f"<title>{name}</title>{OPENING.sub(opening, inner, count=1)}</g>"
    )


def _document(width: float, height: float, pieces: Sequence[ScenePiece], body: str, scale: float) -> str:
    words = ", ".join(one.name for one in pieces) or "An empty room"
    label = escape(words, {'"': "&quot;"})
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height:.0f}" role="img" '
        f'aria-label="{label}" class="room-scene" data-scale="{scale:.2f}">{body}</svg>'
    )
