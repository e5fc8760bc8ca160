"""How much room every thing takes, and where it is taken hold of."""

from __future__ import annotations

import numpy as np

from quoting.craft.design.boxes import Box, box_around
from quoting.craft.design.foils import foil_size
from quoting.craft.design.frames import face
from quoting.craft.design.letters import lettering_width_m
from quoting.craft.design.records import Bouquet, Design, Frame, Garland, Sign, Wall
from quoting.craft.design.things import Foil, Lettering, Prop, Round, Spray
from quoting.craft.settle.laying import route_in
from quoting.craft.table.things import Thing
from studio.trade.ranges import FloatArray


def box_of(design: Design, thing: Thing) -> Box:
    """Measure the room that a thing takes [m]; of a garland, that of its string, of a frame with its feet.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> box = box_of(design, design.frames[0])
    >>> round(box.left, 2), round(box.top, 2)
    (-0.19, 2.13)
    """
    if isinstance(thing, Garland):
        points = route_in(design, design.garlands.index(thing)).points
        return _around(points[:, :2], float(points[:, 2].min()), float(points[:, 2].max()))
    if isinstance(thing, Frame):
        return _around(face(thing), thing.z_m - thing.foot_depth_m / 2, thing.z_m + thing.foot_depth_m / 2)
    if isinstance(thing, Bouquet | Wall):
        return _standing(thing)
    if isinstance(thing, Sign | Lettering):
        return _flat(design, thing)
    return box_around(thing)


def size_of(thing: Sign | Round | Foil | Prop | Lettering | Spray | Wall) -> tuple[float, float]:
    """Width and height of a thing by itself, before it is turned [m].

    >>> size_of(Round(id="r", size_in=24, sized_m=0.55, colour="oat", x_m=0, y_m=1))
    (0.55, 0.55)
    """
    if isinstance(thing, Round):
        return thing.sized_m, thing.sized_m
    if isinstance(thing, Foil):
        size = foil_size(thing)
        return size.width_m, size.height_m
    if isinstance(thing, Lettering):
        return lettering_width_m(thing), thing.height_m
    if isinstance(thing, Spray):
        return thing.size_m / 2, thing.size_m
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
        frame = design.frame(thing.frame)
        return frame.z_m if frame else 0.0
    return thing.z_m


# Private


def _around(points: FloatArray, rear: float, front: float) -> Box:
    (left, bottom), (right, top) = np.min(points, axis=0).tolist(), np.max(points, axis=0).tolist()
    return Box(left, right, bottom, top, rear, front)


def _standing(thing: Bouquet | Wall) -> Box:
    """The box of what stands on the floor: half a quad to either side of a wall's plane, a bouquet's two balloons."""
    reach = thing.sized_m
    wide, top = (thing.width_m / 2, thing.height_m) if isinstance(thing, Wall) else (reach, thing.top_m)
    return Box(thing.x_m - wide, thing.x_m + wide, 0.0, top, thing.z_m - reach, thing.z_m + reach)


def _flat(design: Design, thing: Sign | Lettering) -> Box:
    (width, height), depth = size_of(thing), depth_of(design, thing)
    left, bottom = thing.x_m - width / 2, thing.y_m - height / 2
    return Box(left, left + width, bottom, bottom + height, depth, depth)
