"""The picture on the table in the room's own measures: x and y of everything stay where they are while it is drawn.

One drawing unit is 5 mm; the floor is at y = 0, upwards is less. The plan shares the picture's left and width.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from quoting.craft.design.records import Design, Site
from quoting.craft.picture.elevation import elevation_reach, elevation_svg
from quoting.craft.picture.person import PERSON_HEIGHT_M, person_svg
from quoting.craft.picture.room import Shown, ceiling_svg, door_svg, room_svg
from quoting.craft.picture.tie_marks import numbered_ties
from quoting.craft.picture.view import PX_PER_M
from quoting.craft.rigging.tie_points import NOTHING
from quoting.craft.table.handles import GarlandView, TableView, ThingView, table_view
from quoting.craft.table.limits import hidden_words, limits
from quoting.craft.table.shelf import Shelf
from quoting.craft.table.snapping import snap_lines
from quoting.craft.table.things import find_thing
from quoting.craft.takeoff.takeoff import TakeOff
from quoting.drawing_table import words
from quoting.drawing_table.sizing_grips import SizingGrips, sizing_grips
from quoting.prints.pictures import linked
from quoting.set_pieces import measures

# Settings of the drawing [m].
LEAST_WIDTH_M: Final = 4.3
LEAST_TOP_M: Final = 2.75
BESIDE_M: Final = 0.35
ABOVE_M: Final = 0.35
BELOW_M: Final = 0.62
ROOM_PREFIX: Final = "room-"
STEP_M: Final = 0.5
"""The room shown grows by such steps, so that a small move leaves it as it is."""
PERSON_M: Final = 0.55
CEILING_IN_SIGHT_M: Final = 0.25
INNER: Final = re.compile(r"<svg[^>]*><defs>(.*?)</defs>(.*)</svg>", re.DOTALL)
PLAN_BEHIND_M: Final = 0.3
PLAN_BEFORE_M: Final = 0.45
NEAR_WALL_M: Final = 0.8
WALL_IN_SIGHT_M: Final = 0.06
FOOT_M: Final = 0.3048
NO_GRIPS: Final = SizingGrips()
RULER_END_M: Final = 0.12
"""Nearer to the right edge than this a mark goes without its words."""


@dataclass(frozen=True, slots=True)
class Tick:
    """A mark of the ruler, in drawing units; without words it is a small one."""

    x: float
    words: str


@dataclass(frozen=True, slots=True)
class Grip:
    """A point that is taken hold of: of a garland by its number, or of its thickness by its place along it."""

    index: int
    x: float
    y: float
    x_m: float
    y_m: float
    z_m: float
    at: float
    words: str


@dataclass(frozen=True, slots=True)
class ThicknessGrip:
    """The two squares by which a garland is made thicker: a place on its line and how far they stand off."""

    at: float
    factor: float
    x: float
    y: float
    across_x: float
    across_y: float
    first: tuple[float, float]
    second: tuple[float, float]
    reach: float
    words: str

    @property
    def squares(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """Where both squares are."""
        return self.first, self.second


@dataclass(frozen=True, slots=True)
class TieMark:
    """A tie point with the number that the build sheet gives it; one that nothing holds is shown as such."""

    number: int
    x: float
    y: float
    is_held: bool


@dataclass(frozen=True, slots=True)
class Hold:
    """A thing as it is taken hold of: in the picture by its outline or line, in the plan by a bar or line."""

    ref: str
    kind: str
    label: str
    words: str
    path: str
    plan_path: str
    x_m: float
    y_m: float
    z_m: float
    frame: str
    snaps: str
    is_line: bool
    left: float
    top: float
    width: float
    height: float
    plan_x: float
    plan_y: float
    depth_words: str
    points: tuple[Grip, ...] = ()
    thickness: tuple[ThicknessGrip, ...] = ()
    ends: tuple[tuple[str, float, float, str], ...] = ()
    ties: tuple[TieMark, ...] = ()
    by_hand: SizingGrips = NO_GRIPS


@dataclass(frozen=True, slots=True)
class Mark:
    """Something that can't stay as it is, where it is in the picture."""

    thing: str
    x: float
    y: float
    words: str


@dataclass(frozen=True, slots=True)
class Measure:
    """A line with a length written beside it."""

    start: float
    end: float
    at: float
    middle: float
    words: str


@dataclass(frozen=True, slots=True)
class Door:
    """A door in the wall behind: its left edge and width, and how it is drawn."""

    left: float
    width: float
    drawn: str


@dataclass(frozen=True, slots=True)
class Scene:
    """Everything that the picture and the plan show, in drawing units."""

    left: float
    top: float
    width: float
    height: float
    middle: float
    room: str
    definitions: str
    picture: str
    person: str
    ceiling: str
    door: Door | None
    wall: float
    room_front: float
    ticks: tuple[Tick, ...]
    across: Measure | None
    up: Measure | None
    holds: tuple[Hold, ...]
    marks: tuple[Mark, ...]
    plan_top: float
    plan_height: float
    bounds_middle_m: float
    bounds_right_m: float


def scene_of(design: Design, takeoff: TakeOff | None, units: str, shelf: Shelf) -> Scene:
    """Draw a design for the table; ``takeoff`` is None where nothing is there to be taken off."""
    view = table_view(design, takeoff, shelf)
    room = _Room.around(view, design)
    definitions, picture = _picture(takeoff)
    back, front = _depths(view, design)
    bounds = view.bounds
    return Scene(
        left=_units(room.left_m), top=_units(-room.top_m), width=_units(room.width_m),
        height=_units(room.top_m + BELOW_M), room=room_svg(room.shown, ROOM_PREFIX, is_outdoors=design.site.outdoors),
        middle=_units(bounds.x_m) if bounds else 0, definitions=definitions, picture=picture,
        person=person_svg(_units(room.left_m + PERSON_M), 0.0, PX_PER_M * PERSON_HEIGHT_M / 100),
        ceiling=_ceiling(design.site, room),
        door=_door(design.site), wall=_units(_wall_m(design)), room_front=_units(_wall_m(design) + design.site.depth_m),
        ticks=tuple(_ticks(room, units)), across=_across(view, units), up=_up(view, room, units),
        holds=tuple(_hold(thing, design, units, _ties(thing, design, takeoff)) for thing in view.things),
        marks=tuple(_marks(design, view, units, takeoff)),
        plan_top=_units(back), plan_height=_units(front - back),
        bounds_middle_m=bounds.x_m if bounds else 0.0, bounds_right_m=bounds.right if bounds else 0.0,
    )  # fmt: skip


# Private


@dataclass(frozen=True, slots=True)
class _Room:
    """What is shown of the room [m]."""

    left_m: float
    width_m: float
    top_m: float

    @property
    def shown(self) -> Shown:
        """The same in drawing units."""
        size = _units(self.width_m), _units(self.top_m + BELOW_M)
        return Shown(_units(self.left_m), _units(-self.top_m), *size, 0.0)

    @classmethod
    def around(cls, view: TableView, design: Design) -> _Room:
        bounds = view.bounds
        left = min(-LEAST_WIDTH_M / 2, _down(bounds.left - BESIDE_M - PERSON_M) if bounds else 0.0)
        right = max(LEAST_WIDTH_M / 2, _up_to(bounds.right + BESIDE_M) if bounds else 0.0)
        top = max(LEAST_TOP_M, _up_to(bounds.top + ABOVE_M) if bounds else 0.0)
        if (door := design.site.door_x_m) is not None:
            half = design.site.door_width_m / 2 + BESIDE_M
            left, right = min(left, _down(door - half)), max(right, _up_to(door + half))
        ceiling = design.site.ceiling_m
        if top <= ceiling <= top + CEILING_IN_SIGHT_M:
            top = ceiling + 0.1
        return cls(left, right - left, top)


def _ceiling(site: Site, room: _Room) -> str:
    if site.outdoors or site.ceiling_m >= room.top_m:
        return ""
    return ceiling_svg(room.shown, _units(-site.ceiling_m))


def _picture(takeoff: TakeOff | None) -> tuple[str, str]:
    """Gradients and parts of the set piece, its corner moved to where the room has it."""
    if takeoff is None:
        return "", ""
    found = INNER.fullmatch(linked(elevation_svg(takeoff, person=False, things=True, room=False)))
    assert found is not None, "the picture begins with its gradients"
    left, top = elevation_reach(takeoff)
    return found[1], f'<g transform="translate({_units(left)} {_units(-top)})">{found[2]}</g>'


def _door(site: Site) -> Door | None:
    if site.door_x_m is None:
        return None
    wide, high = site.door_width_m, site.door_height_m
    left, top = _units(site.door_x_m - wide / 2), _units(-high)
    return Door(left, _units(wide), door_svg(left, top, _units(wide), 0.0))


def _wall_m(design: Design) -> float:
    """The wall behind, by its gap to the rearmost frame [m]; behind what stands farther back, such as a backdrop."""
    rear = min((frame.z_m for frame in design.frames), default=0.0)
    return min([rear - design.site.wall_gap_m, *[prop.z_m - prop.depth_m / 2 for prop in design.props]])


def _depths(view: TableView, design: Design) -> tuple[float, float]:
    """From behind the rearmost thing, or the wall where it is near, to before the foremost thing [m]."""
    depths = [thing.z_m for thing in view.things] + [0.0]
    depths += [z for thing in view.things if thing.garland for _, _, z in thing.garland.path]
    wall = _wall_m(design) - WALL_IN_SIGHT_M if design.site.wall_gap_m <= NEAR_WALL_M else math.inf
    return min(min(depths) - PLAN_BEHIND_M, wall), max(depths) + PLAN_BEFORE_M


def _ticks(room: _Room, units: str) -> Iterator[Tick]:
    """Marks from the room's left edge on: feet, or half metres; every second one is named."""
    step = FOOT_M if units == "feet" else 0.5
    for number in range(math.floor(room.width_m / step) + 1):
        named = f"{number} ft" if units == "feet" else f"{number * step:g} m"
        is_named = number % 2 == 0 and number * step < room.width_m - RULER_END_M
        yield Tick(_units(room.left_m + number * step), (named if number else "0") if is_named else "")


def _across(view: TableView, units: str) -> Measure | None:
    bounds = view.bounds
    if bounds is None:
        return None
    written = measures.length(bounds.width_m, units)
    return Measure(_units(bounds.left), _units(bounds.right), _units(0.33), _units(bounds.x_m), written)


def _up(view: TableView, room: _Room, units: str) -> Measure | None:
    bounds = view.bounds
    if bounds is None:
        return None
    at = _units(room.left_m + 0.24)
    return Measure(0, _units(-bounds.top), at, _units(-bounds.top / 2), measures.length(bounds.top, units))


def _ties(thing: ThingView, design: Design, takeoff: TakeOff | None) -> tuple[TieMark, ...]:
    if takeoff is None or thing.garland is None:
        return ()
    index = next(k for k, garland in enumerate(design.garlands) if garland.id == thing.ref.partition(":")[2])
    return tuple(
        TieMark(number, _units(tie.x), _units(-tie.y), tie.holder != NOTHING)
        for number, tie in numbered_ties(takeoff, index)
    )


def _hold(thing: ThingView, design: Design, units: str, ties: tuple[TieMark, ...]) -> Hold:
    garland = thing.garland
    places = garland.path if garland else ()
    line = [(x, y) for x, y, _ in places] if garland else list(thing.outline)
    box = thing.box
    return Hold(
        ref=thing.ref, kind=thing.kind, label=thing.label, words=_place_words(thing, units),
        path=_path([(x, -y) for x, y in line], closed=garland is None and not thing.corners),
        plan_path=_path([(x, z) for x, _, z in places], closed=False) if garland else _bar(thing),
        x_m=round(thing.x_m, 4), y_m=round(thing.y_m, 4), z_m=round(thing.z_m, 4), frame=thing.frame,
        snaps=_snaps(thing, design), is_line=garland is not None, left=_units(box.left), top=_units(-box.top),
        width=_units(box.width_m), height=_units(box.height_m), plan_x=_units(box.x_m), plan_y=_units(thing.z_m),
        depth_words=depth_words(thing.z_m, units),
        points=tuple(_points(garland, units)) if garland else (),
        thickness=tuple(_thickness(garland)) if garland else (),
        ends=_ends(garland) if garland and "end" in thing.takes else (), ties=ties,
        by_hand=sizing_grips(thing, units),
    )  # fmt: skip


def _marks(design: Design, view: TableView, units: str, takeoff: TakeOff | None) -> Iterator[Mark]:
    labels = {thing.ref: thing.label for thing in view.things}
    hidden = hidden_words(takeoff) if takeoff else ()
    for each in (*limits(design), *hidden):
        told = f"{labels.get(each.thing, design.name)}: {words.fault_sentence(each.fault, units)}"
        yield Mark(each.thing, _units(each.x_m), _units(-each.y_m), told)


def _snaps(thing: ThingView, design: Design) -> str:
    """The lines that a thing goes to while it is dragged, as JSON: axis, where it then is, where the line is, why."""
    return json.dumps([
        {
            "axis": snap.guide.axis, "to": round(snap.to_m, 4), "at": round(snap.guide.at_m, 4),
            "words": words.guide_words(snap.guide, design),
        }
        for snap in snap_lines(design, find_thing(design, thing.ref))
    ])  # fmt: skip


def _points(garland: GarlandView, units: str) -> Iterator[Grip]:
    count = len(garland.points)
    for number, point in enumerate(garland.points, 1):
        place = measures.length(max(point.y_m, 0.001), units)
        yield Grip(
            point.index, _units(point.x_m), _units(-point.y_m), round(point.x_m, 4), round(point.y_m, 4),
            round(point.z_m, 4), round(point.fraction, 4), f"Point {number} of {count}, {place} high",
        )  # fmt: skip


def _thickness(garland: GarlandView) -> Iterator[ThicknessGrip]:
    for each in garland.thickness:
        x, y = _units(each.x_m), _units(-each.y_m)
        reach, across_x, across_y = _units(each.reach_m), each.across_x, -each.across_y
        yield ThicknessGrip(
            each.at, each.factor, x, y, across_x, across_y,
            (round(x + across_x * reach, 1), round(y + across_y * reach, 1)),
            (round(x - across_x * reach, 1), round(y - across_y * reach, 1)), reach,
            f"Thickness {round(100 * each.factor)} % at {round(100 * each.at)} % of the garland",
        )  # fmt: skip


def _ends(garland: GarlandView) -> tuple[tuple[str, float, float, str], ...]:
    return tuple(
        (which, _units(end.x_m), _units(-end.y_m), end.how)
        for which, end in (("start", garland.start), ("end", garland.end))
    )


def _place_words(thing: ThingView, units: str) -> str:
    """A thing with its place, as it is read aloud."""
    side = "right" if thing.x_m > 0 else "left"
    aside = f"{measures.length(abs(thing.x_m), units)} {side} of" if abs(thing.x_m) > 0.005 else "in"
    return f"{thing.label}, {aside} the middle"


def depth_words(z_m: float, units: str) -> str:
    """Where something stands in depth: ``8 in behind``; nothing where it is in the plane of the first frame."""
    if abs(z_m) < 0.005:
        return ""
    return f"{measures.length(abs(z_m), units)} {'behind' if z_m < 0 else 'in front'}"


def _bar(thing: ThingView) -> str:
    left, right, z = thing.box.left, thing.box.right, thing.z_m
    return _path([(left, z - 0.03), (right, z - 0.03), (right, z + 0.03), (left, z + 0.03)], closed=True)


def _path(points: Sequence[tuple[float, float]], *, closed: bool) -> str:
    if not points:
        return ""
    steps = "L".join(f"{_units(x):g} {_units(y):g}" for x, y in points)
    return f"M{steps}{'Z' if closed else ''}"


def _units(metres: float) -> float:
    return round(metres * PX_PER_M, 1)


def _down(metres: float) -> float:
    return math.floor(metres / STEP_M) * STEP_M


def _up_to(metres: float) -> float:
    return math.ceil(metres / STEP_M) * STEP_M
