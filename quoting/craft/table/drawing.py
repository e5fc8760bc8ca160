"""Acts on garlands: drawn, drawn again, its points moved, its ends and its thickness changed."""

from __future__ import annotations

from dataclasses import dataclass, replace

from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.records import Design, Garland, Leg, MixEntry
from quoting.craft.design.schema import a_number, a_text, a_whole, one_of, pair_list
from quoting.craft.settle.garland import body_diameter_m
from quoting.craft.settle.laying import route_in
from quoting.craft.table import ends, points
from quoting.craft.table.acted import Acted, Said, SaidCode
from quoting.craft.table.dropping import dropped_end
from quoting.craft.table.following import depths_moved, follow
from quoting.craft.table.grips import Grip, GripPlace, grip_places, grips
from quoting.craft.table.shelf import Shelf
from quoting.craft.table.things import find_garland, free_id, free_label, ref_of, with_thing

GARLAND = "reference of a garland, garland:id"
MOST_STROKE = 4000  # points of a stroke (setting)
SAME_KNOT = 0.03  # nearer along the garland than this, a thickness replaces the one that is there (setting)

# Sizes of an organic garland and their parts. Common practice, no source.
USUAL_MIX = (
    MixEntry(size_in=11, role="body", sized_low_m=0.2032, sized_high_m=0.254, share=0.9),
    MixEntry(size_in=17, role="round", sized_low_m=0.3302, sized_high_m=0.381, share=0.1),
    MixEntry(size_in=24, role="accent", sized_low_m=0.508, sized_high_m=0.5588, spacing_m=0.9),
    MixEntry(size_in=5, role="filler", sized_low_m=0.1143, sized_high_m=0.1143),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PutGarland:
    """Draw a garland: it follows the frames that the stroke is near to, and pools where that begins on the floor."""

    points: tuple[tuple[float, float], ...] = pair_list("the stroke: points [x, y] [m]", 2, MOST_STROKE)

    def on(self, design: Design, _shelf: Shelf) -> Acted:
        label = free_label(design, "Garland")
        bare = Garland(
            id=free_id(design, "garland"), label=label, route=(Leg(kind="through"),), mix=USUAL_MIX
        )
        return _drawn(design, bare, self.points)


@dataclass(frozen=True, slots=True, kw_only=True)
class Redraw:
    """Draw a garland's way anew; its sizes, colours and thickness stay."""

    thing: str = a_text(GARLAND)
    points: tuple[tuple[float, float], ...] = pair_list("the stroke: points [x, y] [m]", 2, MOST_STROKE)

    def on(self, design: Design, _shelf: Shelf) -> Acted:
        return _drawn(design, find_garland(design, self.thing), self.points)


@dataclass(frozen=True, slots=True, kw_only=True)
class MovePoint:
    """Move a point of a garland: along its frame, off the frame, or through the air; an end also to the floor or to a
    frame."""

    thing: str = a_text(GARLAND)
    index: int = a_whole(0, 2000, "number of the point, from the garland's beginning")
    x_m: float = a_number(-30, 30, "where it goes [m]")
    y_m: float = a_number(-15, 30, "where it goes, above the floor [m]")
    z_m: float | None = a_number(-10, 10, "its depth, in the air [m]; none: as it is", None, optional=True)

    def on(self, design: Design, _shelf: Shelf) -> Acted:
        garland = find_garland(design, self.thing)
        grip, place = _grip(design, garland, self.index)
        to = points.Place(self.x_m, max(self.y_m, 0.0), self._depth_m(design, garland, place))
        figures = {"x_m": to.x_m, "y_m": to.y_m}
        said = [Said(SaidCode.POINT_MOVED, garland.label, figures=figures)]
        if dropped := dropped_end(design, garland, self.index, grip, to):
            route, why = dropped
            return _rerouted(design, garland, route, [*said, why])
        route, off = points.moved_point(design, garland, self.index, grip, to)
        if off:
            said.append(Said(SaidCode.OFF_THE_FRAME, garland.label, off.label))
        return _rerouted(design, garland, route, said)

    def _depth_m(self, design: Design, garland: Garland, place: GripPlace) -> float:
        """The depth asked for; else as it is, but before a frame that the point comes over."""
        if self.z_m is not None:
            return self.z_m
        old, new = [(place.x_m, place.y_m)], [(self.x_m, max(self.y_m, 0.0))]
        (depth,) = depths_moved(old, new, [place.z_m], design.frames, ball_m=body_diameter_m(garland))
        return depth


@dataclass(frozen=True, slots=True, kw_only=True)
class AddPoint:
    """Add a point to a garland in the air; on a frame, the garland leaves the frame there."""

    thing: str = a_text(GARLAND)
    at: float = a_number(0, 1, "where along the garland, 0 to 1")

    def on(self, design: Design, _shelf: Shelf) -> Acted:
        garland = find_garland(design, self.thing)
        route, place = points.added_point(design, garland, self.at)
        figures = {"x_m": place.x_m, "y_m": place.y_m}
        return _rerouted(design, garland, route, [Said(SaidCode.POINT_ADDED, garland.label, figures=figures)])


@dataclass(frozen=True, slots=True, kw_only=True)
class RemovePoint:
    """Take a point out of a garland, and with its last point the stretch that it belongs to."""

    thing: str = a_text(GARLAND)
    index: int = a_whole(0, 2000, "number of the point, from the garland's beginning")

    def on(self, design: Design, _shelf: Shelf) -> Acted:
        garland = find_garland(design, self.thing)
        grip, _ = _grip(design, garland, self.index)
        route = points.without_point(design, garland, grip)
        return _rerouted(design, garland, route, [Said(SaidCode.POINT_REMOVED, garland.label)])


@dataclass(frozen=True, slots=True, kw_only=True)
class End:
    """Change how a garland begins or ends: in a pool on the floor, hanging free, or tucked in."""

    thing: str = a_text(GARLAND)
    which: str = one_of(("start", "end"), "which end")
    how: str = one_of(ends.HOW, "pool: on the floor; hang: straight down; tuck: tapered where it is")
    length_m: float = a_number(0.1, 5, "length of pool or tail [m]", 0.6)

    def on(self, design: Design, _shelf: Shelf) -> Acted:
        garland = find_garland(design, self.thing)
        ended = ends.ended(
            design, garland, at_start=self.which == "start", how=self.how, length_m=self.length_m
        )
        said = Said(SaidCode.ENDED, garland.label, self.how, {"length_m": self.length_m})
        return Acted(with_thing(design, ended), self.thing, (said,))


@dataclass(frozen=True, slots=True, kw_only=True)
class Thickness:
    """Make a garland thicker or thinner at a place."""

    thing: str = a_text(GARLAND)
    at: float = a_number(0, 1, "where along the garland, 0 to 1")
    factor: float = a_number(0.5, 1.8, "thickness there, 1 is as usual")

    def on(self, design: Design, _shelf: Shelf) -> Acted:
        garland = find_garland(design, self.thing)
        profile = with_knot(garland.profile, self.at, self.factor)
        said = Said(SaidCode.THICKNESS, garland.label, figures={"at": self.at, "factor": self.factor})
        return Acted(with_thing(design, replace(garland, profile=profile)), self.thing, (said,))


def with_knot(
    profile: tuple[tuple[float, float], ...], at: float, factor: float
) -> tuple[tuple[float, float], ...]:
    """A thickness profile with a knot at a place, 0 to 1, in place of one that is nearly there; at an end near one.

    >>> with_knot((), 0.5, 1.4)
    ((0.0, 1.0), (0.5, 1.4), (1.0, 1.0))
    >>> with_knot(((0.0, 1.0), (0.49, 1.2), (1.0, 1.0)), 0.5, 1.4)
    ((0.0, 1.0), (0.5, 1.4), (1.0, 1.0))
    """
    knots = dict(profile) or {0.0: 1.0, 1.0: 1.0}
    at = float(round(at)) if min(at, 1 - at) <= SAME_KNOT else at
    kept = {knot: value for knot, value in knots.items() if abs(knot - at) > SAME_KNOT}
    kept[round(at, 4)] = round(factor, 3)
    for end in (0.0, 1.0):
        if end in knots:
            kept.setdefault(end, knots[end])
    return tuple(sorted(kept.items()))


# Private


def _drawn(design: Design, garland: Garland, stroke: tuple[tuple[float, float], ...]) -> Acted:
    ball_m, packed = body_diameter_m(garland), garland.work == "classic"
    route = follow(stroke, design.frames, ball_m=ball_m, packed=packed)
    drawn = _with_route(garland, route)
    after = with_thing(design, drawn)
    length = route_in(after, after.garlands.index(drawn)).length_m
    said = Said(SaidCode.DRAWN, garland.label, figures={"length_m": length})
    return Acted(after, ref_of(drawn), (said,))


def _with_route(garland: Garland, route: tuple[Leg, ...]) -> Garland:
    """The garland on another way: how many of its quads and fillers it takes is found out anew."""
    return replace(garland, route=route, fillers=None, strung=None, fullest=None)


def _rerouted(design: Design, garland: Garland, route: tuple[Leg, ...], said: list[Said]) -> Acted:
    return Acted(with_thing(design, _with_route(garland, route)), ref_of(garland), tuple(said))


def _grip(design: Design, garland: Garland, index: int) -> tuple[Grip, GripPlace]:
    found = grips(design, garland)
    if index >= len(found):
        code, high = FaultCode.NO_SUCH_POINT, float(len(found) - 1)
        raise DesignError(Fault(code=code, field="index", found=index, high=high))
    return found[index], grip_places(design, garland)[index]
