"""The size bench: a set piece's picture in a room wide enough for the page, and where its rulers stand."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache
from typing import Final
from xml.sax.saxutils import escape as escaped

from quoting.craft.picture.room import Shown, ceiling_svg, room_svg
from quoting.craft.picture.view import FLOOR_M, MARGIN_M, PX_PER_M
from quoting.craft.sheets.stored import StoredTakeoff
from quoting.set_pieces.worked import in_units

NARROWEST: Final = 1.36
"""Width over height of the room that is shown, at least, so that a tall piece doesn't outgrow the page."""
CEILING_IN_SIGHT_M: Final = 0.5
"""A ceiling this far above the picture's edge or less is drawn; a higher one is only mentioned."""
DESCRIPTION: Final = re.compile(r'aria-label="[^"]*"')
COLOURED: Final = re.compile(r'(<use href="#b)(\d+)(?=")')
"""A balloon of the picture up to its colour's place in the palette."""
DIGITS: Final = "0123456789abcdef"
"""A palette has sixteen colours at most."""
OWN_ROOM: Final = re.compile(r'<g class="room[^"]*">(?:(?!</g>|<ellipse).)*(<ellipse[^>]*/>)?</g>')
"""Wall and floor of the picture itself, drawn anew out to the wider box; older pictures have the piece's shade on the
floor in that group."""
OWN_CEILING: Final = re.compile(r'<g class="ceiling" data-y="([-\d.]+)">.*?</g>')
OWN_IDS: Final = re.compile(r' id="([^"]*)ground"')
"""What stands before the ids of a picture."""
OUTDOORS: Final = 'class="room room-outdoors"'
CEILING_EDGE: Final = 24
"""Of the ceiling that is shown, in drawing units."""

ID_MARKS: Final = (' id="', "url(#", 'href="#')
"""What stands before an id in a picture, where it is given and where it is used."""


@dataclass(frozen=True, slots=True)
class Bench:
    """The picture and its measures in drawing units (5 mm): the box shown, and the piece's edges within it."""

    picture: str
    words: str
    """What the picture shows, as it is described."""
    x: float
    y: float
    width: float
    height: float
    left: float
    right: float
    top: float
    ground: float

    @property
    def places(self) -> str:
        """The picture but for its description and for which balloon has which colour of the palette."""
        return _places(self.picture)

    @property
    def painted(self) -> str:
        """Each balloon's place in the palette, a digit each, in the order of the picture."""
        return _painted(self.picture)


def bench(picture: str, takeoff: StoredTakeoff, *, ceiling_m: Decimal | None, units: str) -> Bench:
    """Set the picture of a piece in a room; a ceiling that is in sight is drawn as a line."""
    words = in_units(takeoff.alt, units)
    picture = described(picture, words)
    inner_width, inner_height = takeoff.picture_size
    ground = inner_height - FLOOR_M * PX_PER_M
    y = 0.0
    ceiling = ground - float(ceiling_m) * PX_PER_M if ceiling_m else None
    if ceiling is not None and -CEILING_IN_SIGHT_M * PX_PER_M <= ceiling < ground:
        y = min(0.0, ceiling - CEILING_EDGE)
    else:
        ceiling = None
    height = inner_height - y
    width = max(float(inner_width), height * NARROWEST)
    x = -(width - inner_width) / 2
    right = inner_width - MARGIN_M * PX_PER_M
    return Bench(
        picture=_in_room(picture, x, y, width, height, ground, ceiling),
        words=words,
        x=round(x, 1),
        y=round(y, 1),
        width=round(width, 1),
        height=round(height, 1),
        left=round(right - takeoff.width_m * PX_PER_M, 1),
        right=round(right, 1),
        top=round(ground - takeoff.height_m * PX_PER_M, 1),
        ground=round(ground, 1),
    )


def own_ids(svg: str, prefix: str) -> str:
    """The picture with ids of its own: two on one page would share the gradients of the first."""
    for mark in ID_MARKS:
        svg = svg.replace(mark, mark + prefix)
    return svg


def card(picture: str, takeoff: StoredTakeoff, *, units: str) -> Bench:
    """The picture of a piece in a room of always the same proportions, so that cards of designs stand in rows."""
    found = bench(picture, takeoff, ceiling_m=None, units=units)
    headroom = found.width / NARROWEST - found.height
    if headroom <= 0:
        return found
    ground = takeoff.picture_size[1] - FLOOR_M * PX_PER_M
    y, height = found.y - headroom, found.height + headroom
    drawn = _in_room(
        described(picture, in_units(takeoff.alt, units)), found.x, y, found.width, height, ground, None
    )
    return replace(found, picture=drawn, y=round(y, 1), height=round(height, 1))


def described(picture: str, words: str) -> str:
    """The picture with this description, in the reader's units."""
    label = escaped(words, {'"': "&quot;"})
    return DESCRIPTION.sub(lambda _: f'aria-label="{label}"', picture, count=1)


# Private


@lru_cache(maxsize=32)
def _places(picture: str) -> str:
    return DESCRIPTION.sub("", COLOURED.sub(r"\1", picture), count=1)


@lru_cache(maxsize=32)
def _painted(picture: str) -> str:
    return "".join(DIGITS[int(place)] for _, place in COLOURED.findall(picture))


def _in_room(
    picture: str, x: float, y: float, width: float, height: float, ground: float, ceiling: float | None
) -> str:
    """The picture with its box widened, and wall, floor and ceiling drawn out to it."""
    box = f'viewBox="{x:.1f} {y:.1f} {width:.1f} {height:.1f}"'
    widened = re.sub(r'viewBox="[^"]*"', box, picture, count=1)
    shown = Shown(x, y, width, height, ground)
    ids = OWN_IDS.search(picture)
    room = room_svg(shown, ids[1] if ids else "", is_outdoors=OUTDOORS in picture)
    own = OWN_CEILING.search(picture)
    if own:
        widened, ceiling = OWN_CEILING.sub("", widened), float(own[1])
    above = "" if ceiling is None else ceiling_svg(shown, ceiling)
    emptied = OWN_ROOM.sub(lambda found: f"<g>{found[1] or ''}</g>", widened, count=1)
    return emptied.replace("</defs>", f"</defs>{room}{above}", 1)
