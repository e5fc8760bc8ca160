"""What an act gives back: the changed design, the thing it was about, and what there is to say of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Protocol

from quoting.craft.design.records import Design
from quoting.craft.table.shelf import Shelf
from quoting.craft.table.snapping import Guide


class SaidCode(StrEnum):
    """What an act did, and what came with it. ``figures`` of ``Said`` are in metres, degrees, shares or counts."""

    # What was done.
    PUT = "put"  # x_m, y_m
    DRAWN = "drawn"  # length_m
    SCATTERED = "scattered"  # other: the floral; count
    COPIED = "copied"
    REMOVED = "removed"
    MOVED = "moved"  # x_m, y_m
    DEPTH = "depth"  # z_m
    RESIZED = "resized"  # width_m, height_m
    TURNED = "turned"  # deg
    MIRRORED = "mirrored"
    COVERED = "covered"  # other: the cover
    UNCOVERED = "uncovered"
    PRINTED = "printed"  # other: the image
    UNPRINTED = "unprinted"
    CHANGED = "changed"  # other: the field
    RECOLOURED = "recoloured"  # count: colours
    PLACED = "placed"  # the site's facts
    POINT_MOVED = "point-moved"  # x_m, y_m
    POINT_ADDED = "point-added"  # x_m, y_m
    POINT_REMOVED = "point-removed"
    CORNER_MOVED = "corner-moved"
    CORNER_ADDED = "corner-added"
    CORNER_REMOVED = "corner-removed"
    THICKNESS = "thickness"  # at, factor
    ENDED = "ended"  # other: pool, hang or tuck; length_m
    ON_TOP = "on-top"  # other: what bears it
    TAKEN_OFF = "taken-off"
    ZONED = "zoned"  # count
    TIE_ADDED = "tie-added"  # at, x_m, y_m
    TIE_MOVED = "tie-moved"  # at, x_m, y_m
    TIE_REMOVED = "tie-removed"
    TIES_WORKED_OUT = "ties-worked-out"
    # What came with it.
    NEAREST_SIZE = "nearest-size"  # other: what is owned; width_m, height_m
    MADE_TO_MEASURE = "made-to-measure"
    FOLLOWS = "follows"  # other: what moves along
    POINTS_STAY = "points-stay"  # other: the garland; count
    HELD_BY_FRAMES = "held-by-frames"  # other: the garland's frames
    STAYS_IN_THE_AIR = "stays-in-the-air"  # other: the garland that followed the frame
    STANDS_BY_ITSELF = "stands-by-itself"  # other: what hung on the frame
    GOES_WITH_IT = "goes-with-it"  # other: what was taken away with the frame
    OFF_THE_FRAME = "off-the-frame"  # other: the frame
    TIED_TO_FRAME = "tied-to-frame"  # other: the frame
    TIED_TO_WALL = "tied-to-wall"
    TIED_TO_CEILING = "tied-to-ceiling"
    TIED_TO_NOTHING = "tied-to-nothing"
    POOLS = "pools"  # an end that was let go on the floor
    ON_FRAME = "on-frame"  # other: the frame that an end was let go at
    OFF_THE_FLOOR = "off-the-floor"  # the end of a pool that was lifted


@dataclass(frozen=True, slots=True)
class Said:
    """One thing to say: a code, the thing's label, another label where the code needs it, and figures."""

    code: SaidCode
    label: str = ""
    other: str = ""
    figures: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Acted:
    """The design after an act; ``thing``: reference of what it was about, empty for the whole; ``said``: what was done
    first, then what came with it; ``guides``: why it stands where it stands."""

    design: Design
    thing: str
    said: tuple[Said, ...]
    guides: tuple[Guide, ...] = ()


class Act(Protocol):
    """Something done to a design on the table."""

    def on(self, design: Design, shelf: Shelf) -> Acted:
        """The design with the act done. DesignError, with the act's own field, where it can't be."""
        ...
