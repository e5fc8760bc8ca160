"""What a page takes hold of: every thing with its box and outline, and of garlands the path, points, ends and
thickness."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from quoting.craft.change.extent import garland_reach
from quoting.craft.design.boxes import Box
from quoting.craft.design.frames import face
from quoting.craft.design.records import Design, Frame, Garland
from quoting.craft.design.routes import Route
from quoting.craft.settle.laying import route_in
from quoting.craft.table.bending import corners_of
from quoting.craft.table.boxes import box_of, depth_of, place_of
from quoting.craft.table.carried import is_column_of
from quoting.craft.table.ends import GarlandEnd, ends_of
from quoting.craft.table.grips import grip_places, grips
from quoting.craft.table.legs import mirror_line_m
from quoting.craft.table.placing import label_of
from quoting.craft.table.shelf import Shelf
from quoting.craft.table.sizing import SizeView, TurnView, size_view, turn_view
from quoting.craft.table.things import Thing, all_things, kind_of, ref_of
from quoting.craft.takeoff.balloons import Balloons
from quoting.craft.takeoff.takeoff import TakeOff

PATH_STEP_M = 0.08  # of a garland's path as it is handed out (setting)
OUTLINE_STEP_M = 0.06  # of an outline as it is handed out (setting)
TOLD_APART_M = 0.12  # nearer to each other than this two points are one to a finger (setting)
AT_LEAST_AT = (0.1, 0.3, 0.5, 0.7, 0.9)  # thickness can be taken hold of here where no knot is near (setting)
NOTHING_OWNED: Final = Shelf()
NEAR_KNOT = 0.08  # nearer than this to a knot is near (setting)

STANDING: Final = ("move", "depth", "resize", "copy", "remove", "set")
TAKES: Final[Mapping[str, tuple[str, ...]]] = {
    "frame": (*STANDING, "mirror", "cover", "print", "turn", "move-corner", "add-corner", "remove-corner"),
    "garland": (
        "move", "depth", "mirror", "copy", "remove", "set", "redraw", "move-point", "add-point", "remove-point", "end",
        "thickness",
    ),
    "sign": ("move", "resize", "copy", "remove", "set"),
    "round": STANDING,
    "foil": (*STANDING, "turn"),
    "prop": STANDING,
    "lettering": ("move", "resize", "copy", "remove", "set"),
    "spray": (*STANDING, "turn"),
    "wall": STANDING,
    "bouquet": STANDING,
}  # fmt: skip
"""The acts that each kind of thing takes."""
OFF_THE_POLE: Final = frozenset({"redraw", "move-point", "add-point", "remove-point", "end"})
"""Acts that would bring the balloons of a column off their pole."""


@dataclass(frozen=True, slots=True)
class PointView:
    """A point of a garland: its number, where it is [m], its place along the garland (0 to 1), and the kind of its
    stretch (along, through, pool, wind, hang)."""

    index: int
    x_m: float
    y_m: float
    z_m: float
    fraction: float
    kind: str


@dataclass(frozen=True, slots=True)
class ThicknessView:
    """A place where a garland's thickness is taken hold of: its place along (0 to 1), the factor there, where it is
    [m], the unit vector across the garland, and how far the balloons reach to either side [m]."""

    at: float
    factor: float
    x_m: float
    y_m: float
    across_x: float
    across_y: float
    reach_m: float


@dataclass(frozen=True, slots=True)
class GarlandView:
    """A garland: its path in space [m], length [m], points and thickness where it takes such acts, and both ends."""

    path: tuple[tuple[float, float, float], ...]
    length_m: float
    points: tuple[PointView, ...]
    thickness: tuple[ThicknessView, ...]
    start: GarlandEnd
    end: GarlandEnd


@dataclass(frozen=True, slots=True)
class ThingView:
    """A thing: reference, kind, label, the place that ``move`` takes [m], depth [m], box and outline [m], the frame
    that it hangs on, the acts that it takes, of a garland its view, the corners of a free outline [m],
    and how it is sized and turned."""

    ref: str
    kind: str
    label: str
    x_m: float
    y_m: float
    z_m: float
    box: Box
    outline: tuple[tuple[float, float], ...]
    frame: str
    takes: tuple[str, ...]
    garland: GarlandView | None = None
    corners: tuple[tuple[float, float], ...] = ()
    size: SizeView | None = None
    turn: TurnView | None = None


@dataclass(frozen=True, slots=True)
class TableView:
    """Everything on the table, front things last, and the box around all of it [m]; with a take-off, around all
    balloons too. None where the table is empty."""

    things: tuple[ThingView, ...]
    bounds: Box | None


def table_view(design: Design, takeoff: TakeOff | None = None, shelf: Shelf = NOTHING_OWNED) -> TableView:
    """Show what can be taken hold of. With the take-off, garlands lie as their string came to rest; what comes in sizes
    is told by the shelf.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> view = table_view(load_design(STARTERS / "garland-nested-arches.json"))
    >>> [(thing.ref, len(thing.garland.points) if thing.garland else 0) for thing in view.things]
    [('frame:tall', 0), ('frame:low', 0), ('garland:main', 8)]
    """
    views = [_thing_view(design, thing, takeoff, shelf) for thing in all_things(design)]
    views.sort(key=lambda view: (view.garland is not None, view.z_m))
    return TableView(tuple(views), _bounds([view.box for view in views], takeoff))


def takes_of(design: Design, thing: Thing) -> tuple[str, ...]:
    """List the acts that a thing takes: those of its kind, but for what changes nothing of it or can't be.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> [name for name in TAKES["garland"] if name not in takes_of(design, design.garlands[0])]
    ['mirror']
    """
    without: set[str] = set()
    if isinstance(thing, Frame):
        without |= {"move-corner", "add-corner", "remove-corner"} if thing.shape != "free" else set()
        without |= {"turn"} if thing.shape != "part-ring" else set()
        without |= {"mirror", "cover", "print"} if thing.shape == "column" else set()
    if isinstance(thing, Garland):
        without |= {"mirror"} if mirror_line_m(design, thing) is None else set()
        without |= {"thickness"} if thing.work == "classic" else set()
        without |= OFF_THE_POLE if any(is_column_of(thing, frame) for frame in design.frames) else set()
    return tuple(name for name in TAKES[kind_of(thing)] if name not in without)


# Private


def _thing_view(design: Design, thing: Thing, takeoff: TakeOff | None, shelf: Shelf) -> ThingView:
    x, y = place_of(design, thing)
    return ThingView(
        ref=ref_of(thing),
        kind=kind_of(thing),
        label=label_of(thing),
        x_m=x,
        y_m=y,
        z_m=depth_of(design, thing),
        box=box_of(design, thing),
        outline=_outline(design, thing),
        frame=getattr(thing, "frame", ""),
        takes=takes_of(design, thing),
        garland=_garland_view(design, thing, takeoff) if isinstance(thing, Garland) else None,
        corners=corners_of(thing),
        size=size_view(design, thing, shelf),
        turn=turn_view(design, thing),
    )


def _outline(design: Design, thing: Thing) -> tuple[tuple[float, float], ...]:
    if isinstance(thing, Frame):
        points = face(thing)
        every = max(1, round(OUTLINE_STEP_M * len(points) / max(thing.width_m + 2 * thing.height_m, 0.1)))
        kept = np.concatenate([points[:-1:every], points[-1:]])
        return tuple((round(x, 3), round(y, 3)) for x, y in kept.tolist())
    if isinstance(thing, Garland):
        return ()
    box = box_of(design, thing)
    return (box.left, box.bottom), (box.left, box.top), (box.right, box.top), (box.right, box.bottom)


def _garland_view(design: Design, garland: Garland, takeoff: TakeOff | None) -> GarlandView:
    index = design.garlands.index(garland)
    route = takeoff.garlands[index].route if takeoff else route_in(design, index)
    start, end = ends_of(design, garland)
    places = zip(grips(design, garland), grip_places(design, garland), strict=True)
    points = tuple(
        PointView(k, place.x_m, place.y_m, place.z_m, place.fraction, grip.kind)
        for k, (grip, place) in enumerate(places)
    )
    steps = np.linspace(0, route.along[-1], max(2, round(route.length_m / PATH_STEP_M) + 1))
    path = tuple((x, y, z) for x, y, z in np.round(route.at(steps), 3).tolist())
    takes = takes_of(design, garland)
    return GarlandView(
        path, route.length_m, _told_apart(points) if "move-point" in takes else (),
        _thickness(garland, route) if "thickness" in takes else (), start, end,
    )  # fmt: skip


def _told_apart(points: tuple[PointView, ...]) -> tuple[PointView, ...]:
    """The points that can be told apart: of two nearly in one place the first, of the last two the last."""
    kept = list(points[:1])
    for point in points[1:]:
        near = np.hypot(point.x_m - kept[-1].x_m, point.y_m - kept[-1].y_m) < TOLD_APART_M
        if not near:
            kept.append(point)
        elif point is points[-1] and len(kept) > 1:
            kept[-1] = point
    return tuple(kept)


def _thickness(garland: Garland, route: Route) -> tuple[ThicknessView, ...]:
    knots = [at for at, _ in garland.profile]
    extra = [at for at in AT_LEAST_AT if all(abs(at - knot) > NEAR_KNOT for knot in knots)]
    marks = np.array(sorted(knots + extra))
    stations = marks * route.length_m
    at, known = zip(*(garland.profile or ((0.0, 1.0), (1.0, 1.0))), strict=True)
    places, factors = route.at(stations), np.interp(marks, at, known)
    tangent, _, _ = route.triad(stations)
    flat = np.hypot(tangent[:, 0], tangent[:, 1])
    across = np.column_stack([-tangent[:, 1], tangent[:, 0]]) / np.maximum(flat, 1e-6)[:, None]
    reach = garland_reach(garland) * np.interp(factors, [0.5, 1.0, 1.8], [0.85, 1.0, 1.15])
    rows = np.column_stack([marks, factors, places[:, :2], across, reach])
    return tuple(ThicknessView(*row) for row in np.round(rows, 4).tolist())


def _bounds(boxes: list[Box], takeoff: TakeOff | None) -> Box | None:
    if takeoff and len(takeoff.balloons):
        boxes = [*boxes, _balloons_box(takeoff.balloons)]
    if not boxes:
        return None
    return Box(
        min(box.left for box in boxes),
        max(box.right for box in boxes),
        min(box.bottom for box in boxes),
        max(box.top for box in boxes),
        min(box.rear for box in boxes),
        max(box.front for box in boxes),
    )


def _balloons_box(balls: Balloons) -> Box:
    sides = [
        (float((middle - balls.radius).min()), float((middle + balls.radius).max()))
        for middle in (balls.x, balls.y, balls.z)
    ]
    (left, right), (bottom, top), (rear, front) = sides
    return Box(left, right, bottom, top, rear, front)
