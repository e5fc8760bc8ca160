"""The room about the table: what is deeper than it, and what stands before its door."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from quoting.craft.change.extent import garland_reach
from quoting.craft.design.boxes import Box
from quoting.craft.design.faults import Fault, FaultCode
from quoting.craft.design.records import Design, Frame, Garland
from quoting.craft.table.boxes import box_of
from quoting.craft.table.things import Thing, all_things, ref_of

SLACK_M: Final = 0.005  # as much over the room's depth is none (setting)
FLAT_M: Final = 0.03
"""What is lower than this can be walked over: a rug before a door is no obstacle. Common practice, no source."""
Found = tuple[str, float, float, Fault]
"""A thing, a place [m], and what is wrong there."""


def too_deep(design: Design) -> Iterator[Found]:
    """Say of the foremost thing that the piece is deeper than the room, from the wall behind it on.

    The gap to the wall counts from the rearmost frame, as where a room is filled.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> shallow = replace(design, site=replace(design.site, depth_m=0.8))
    >>> [(ref, fault.code.value) for ref, _, _, fault in too_deep(shallow)]
    [('garland:main', 'deeper-than-the-room')]
    """
    boxes = [(reach_box(design, thing), thing) for thing in all_things(design)]
    if not boxes:
        return
    box, foremost = max(boxes, key=lambda pair: pair[0].front)
    planes = [frame.z_m for frame in design.frames]
    depth = box.front - min(one.rear for one, _ in boxes)
    if planes:
        depth = max(depth, box.front - min(planes) + design.site.wall_gap_m)
    if depth > design.site.depth_m + SLACK_M:
        code, high = FaultCode.DEEPER_THAN_THE_ROOM, design.site.depth_m
        yield ref_of(foremost), box.x_m, box.y_m, Fault(code=code, field="z_m", found=depth, high=high)


def before_the_door(design: Design) -> Iterator[Found]:
    """Say what stands before the door in the wall behind, which is a way out.

    Source: NFPA 101, 7.1.10.2.1: no furnishings, decorations or other objects obstruct exits (from memory). The
    venue's rules decide.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> [ref for ref, *_ in before_the_door(replace(design, site=replace(design.site, door_x_m=1.2)))]
    ['frame:tall', 'garland:main']
    """
    site = design.site
    if site.door_x_m is None:
        return
    left, right = site.door_x_m - site.door_width_m / 2, site.door_x_m + site.door_width_m / 2
    for thing in all_things(design):
        box = reach_box(design, thing)
        is_in_the_way = box.left < right and box.right > left and box.bottom < site.door_height_m
        if is_in_the_way and box.top > FLAT_M and not _is_part_of_the_venue(thing):
            fault = Fault(code=FaultCode.BEFORE_THE_DOOR, field="x_m", found=box.x_m, low=left, high=right)
            yield ref_of(thing), min(max(box.x_m, left), right), box.y_m, fault


def reach_box(design: Design, thing: Thing) -> Box:
    """The box of a thing [m]; of a garland that of its string, grown by as much as its balloons reach."""
    box = box_of(design, thing)
    if not isinstance(thing, Garland):
        return box
    reach = garland_reach(thing)
    return replace(
        box, left=box.left - reach, right=box.right + reach, top=box.top + reach, front=box.front + reach
    )


# Private


def _is_part_of_the_venue(thing: Thing) -> bool:
    return isinstance(thing, Frame) and not thing.is_brought
