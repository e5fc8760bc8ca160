"""How much room every thing takes as seen from the front, and where it is taken hold of."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from quoting.craft.design.frames import face
from quoting.craft.design.records import Bouquet, Design, Frame, Garland, Sign, Wall
from quoting.craft.design.things import Foil, Lettering, Prop, Round, Spray
from quoting.craft.settle.laying import route_in
from quoting.craft.table.things import Thing

# Common practice, no source: as wide as high, so that the text of a foil or of letters takes about this much room.
GLYPH_WIDTH = 0.62
LETTER_WIDTH = 0.55


@dataclass(frozen=True, slots=True)
class Box:
    """Left, bottom, right and top [m]."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def width_m(self) -> float:
        return self.right - self.left

    @property
    def height_m(self) -> float:
        return self.top - self.bottom

    @property
    def x_m(self) -> float:
        return (self.left + self.right) / 2

    @property
    def y_m(self) -> float:
        return (self.bottom + self.top) / 2


def box_of(design: Design, thing: Thing) -> Box:
    """Measure the room that a thing takes from the front [m]; of a garland, that of its string.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> box = box_of(design, design.frames[0])
    >>> round(box.left, 2), round(box.top, 2)
    (-0.19, 2.13)
    """
    if isinstance(thing, Garland):
        return _around(route_in(design, design.garlands.index(thing)).points[:, :2])
    if isinstance(thing, Frame):
        return _around(face(thing))
    if isinstance(thing, Bouquet):
        return Box(thing.x_m - thing.sized_m, 0.0, thing.x_m + thing.sized_m, thing.top_m)
    width, height = size_of(thing)
    bottom = thing.base_m if isinstance(thing, Prop) else 0.0
    middle = bottom + height / 2 if isinstance(thing, Prop | Wall) else thing.y_m
    return Box(thing.x_m - width / 2, middle - height / 2, thing.x_m + width / 2, middle + height / 2)


def size_of(thing: Sign | Round | Foil | Prop | Lettering | Spray | Wall) -> tuple[float, float]:
    """Width and height of a thing by itself [m].

    >>> size_of(Round(id="r", size_in=24, sized_m=0.55, colour="oat", x_m=0, y_m=1))
    (0.55, 0.55)
    """
    if isinstance(thing, Round):
        return thing.sized_m, thing.sized_m
    if isinstance(thing, Foil):
        return thing.flat_m * GLYPH_WIDTH * len(thing.text) if thing.text else thing.flat_m, thing.flat_m
    if isinstance(thing, Lettering):
        return thing.height_m * LETTER_WIDTH * len(thing.text), thing.height_m
    if isinstance(thing, Spray):
        return thing.size_m, thing.size_m
    return thing.width_m, thing.height_m


def place_of(design: Design, thing: Thing) -> tuple[float, float]:
    """The place by which a thing is moved [m]: middle and lower edge of what stands, the middle of everything else.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> place_of(design, design.frames[0])
    (0.42, 0.0)
    """
    if isinstance(thing, Garland):
        box = box_of(design, thing)
        return box.x_m, box.y_m
    if isinstance(thing, Frame | Prop):
        return thing.x_m, thing.base_m
    if isinstance(thing, Wall | Bouquet):
        return thing.x_m, 0.0
    return thing.x_m, thing.y_m


def depth_of(design: Design, thing: Thing) -> float:
    """The depth of a thing, towards the viewer [m]: of a garland in its middle, of signs and letters their frame's."""
    if isinstance(thing, Garland):
        points = route_in(design, design.garlands.index(thing)).points
        return float(points[len(points) // 2, 2])
    if isinstance(thing, Sign | Lettering):
        return next((frame.z_m for frame in design.frames if frame.id == thing.frame), 0.0)
    return thing.z_m


# Private


def _around(points: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> Box:
    (left, bottom), (right, top) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    return Box(left, bottom, right, top)
