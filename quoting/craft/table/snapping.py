"""Where a moved thing comes to stand exactly, and why: on the floor, level with others, nested as the trade does."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from quoting.craft.design.boxes import Box
from quoting.craft.design.records import Bouquet, Design, Frame, Garland, Wall
from quoting.craft.design.resting import is_table
from quoting.craft.design.things import Lettering, Prop, Round
from quoting.craft.table.boxes import box_of, place_of
from quoting.craft.table.things import Thing, all_things, ref_of

SNAP_M = 0.06
"""Nearer than this a thing goes to the line (setting)."""
NESTED_OVERLAP = 1 / 3
"""Nested frames cover this share of the narrower one. Common practice, no source."""
DEPTH_STEP_M = 0.2
"""From one nested frame to the one behind it. Common practice, no source."""


class Why(StrEnum):
    """What a line is that a thing goes to."""

    FLOOR = "floor"
    LEVEL = "level"  # as high as the other one
    ON_TOP = "on-top"  # it stands on the other one
    MIDDLE = "middle"  # the middle of the room
    CENTRE = "centre"  # its middle over the other's
    EDGE = "edge"  # flush with an edge of the other
    BESIDE = "beside"  # edge to edge
    NESTED = "nested"  # overlapping as nested frames do
    TOP = "top"  # its top as high as the other's


@dataclass(frozen=True, slots=True)
class Guide:
    """A line on the drawing: ``axis`` x (upright, at an x) or y (level, at a height), where [m], why, and whose."""

    axis: str
    at_m: float
    why: Why
    other: str = ""


@dataclass(frozen=True, slots=True)
class Snap:
    """A place [m] on one axis that a thing may go to, with the line that shows why."""

    to_m: float
    guide: Guide


@dataclass(frozen=True, slots=True)
class Snapped:
    """Where a thing comes to stand [m], and the lines that say why."""

    x_m: float
    y_m: float
    guides: tuple[Guide, ...]

    @property
    def nested_with(self) -> str:
        """The frame that it is nested with; empty where it isn't."""
        return next((guide.other for guide in self.guides if guide.why is Why.NESTED), "")


def snapped(design: Design, thing: Thing, x_m: float, y_m: float) -> Snapped:
    """Move a place [m] of a thing to the nearest line on each axis, where one is within SNAP_M.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> found = snapped(design, design.frames[0], 0.01, 0.02)
    >>> (found.x_m, found.y_m, [guide.why.value for guide in found.guides])
    (0.0, 0.0, ['middle', 'floor'])
    """
    lines = snap_lines(design, thing)
    across = _nearest([one for one in lines if one.guide.axis == "x"], x_m)
    up = _nearest([one for one in lines if one.guide.axis == "y"], y_m)
    return Snapped(
        round(across.to_m, 4) + 0.0 if across else x_m,
        round(up.to_m, 4) + 0.0 if up else y_m,
        tuple(one.guide for one in (across, up) if one),
    )


def snap_lines(design: Design, thing: Thing) -> tuple[Snap, ...]:
    """List every place that a thing may go to, on either axis; a page shows the guide while it is dragged.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> sorted({snap.guide.why.value for snap in snap_lines(design, design.frames[0])})
    ['beside', 'centre', 'edge', 'floor', 'level', 'middle', 'nested', 'top']
    """
    if isinstance(thing, Garland):
        return ()
    box, (x, y) = box_of(design, thing), place_of(design, thing)
    others = [one for one in all_things(design) if one != thing and not isinstance(one, Garland)]
    found = [Snap(x - box.x_m, Guide("x", 0.0, Why.MIDDLE)), *_floor(thing, box, y)]
    for other in others:
        found += _beside(design, thing, box, other)
    return tuple(found)


def nested_depth_m(frame: Frame, other: Frame) -> float:
    """The depth of a frame nested with another [m]: a higher one behind it, a lower one before it."""
    return other.z_m - DEPTH_STEP_M if frame.height_m >= other.height_m else other.z_m + DEPTH_STEP_M


# Private


def _nearest(lines: Sequence[Snap], at_m: float) -> Snap | None:
    near = [one for one in lines if abs(one.to_m - at_m) <= SNAP_M]
    return min(near, key=lambda one: abs(one.to_m - at_m), default=None)


def _floor(thing: Thing, box: Box, y: float) -> Iterator[Snap]:
    if isinstance(thing, Frame | Prop | Round):
        yield Snap(y - box.bottom, Guide("y", 0.0, Why.FLOOR))


def _beside(design: Design, thing: Thing, box: Box, other: Thing) -> Iterator[Snap]:
    """The places that another thing gives."""
    theirs, ref = box_of(design, other), ref_of(other)
    yield Snap(theirs.x_m, Guide("x", theirs.x_m, Why.CENTRE, ref))
    if isinstance(thing, Frame) and isinstance(other, Frame):
        yield from _edges(box, theirs, ref)
        yield Snap(other.base_m, Guide("y", other.base_m, Why.LEVEL, ref))
        yield Snap(theirs.top - box.height_m, Guide("y", theirs.top, Why.TOP, ref))
    elif _has_a_top(other) and not isinstance(thing, Wall | Bouquet | Lettering):
        _, y = place_of(design, thing)
        yield Snap(theirs.top + y - box.bottom, Guide("y", theirs.top, Why.ON_TOP, ref))
    elif type(other) is type(thing) and not isinstance(thing, Wall | Bouquet):
        _, level = place_of(design, other)
        yield Snap(level, Guide("y", level, Why.LEVEL, ref))


def _has_a_top(thing: Thing) -> bool:
    return isinstance(thing, Prop) or (isinstance(thing, Frame) and is_table(thing))


def _edges(box: Box, theirs: Box, ref: str) -> Iterator[Snap]:
    half = box.width_m / 2
    overlap = NESTED_OVERLAP * min(box.width_m, theirs.width_m)
    for edge, out in ((theirs.left, -1.0), (theirs.right, 1.0)):
        yield Snap(edge - out * half, Guide("x", edge, Why.EDGE, ref))
        yield Snap(edge + out * half, Guide("x", edge, Why.BESIDE, ref))
        yield Snap(edge + out * (half - overlap), Guide("x", edge - out * overlap, Why.NESTED, ref))
