"""Acts on what stands already: move, depth, resize, turn, mirror, copy, remove."""

from __future__ import annotations

from dataclasses import dataclass, replace

from quoting.craft.change.edit import mirrored
from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.records import Design, Frame, Garland, Leg, Sign
from quoting.craft.design.schema import a_flag, a_number, a_text, held
from quoting.craft.design.things import Foil, Lettering, Prop, Spray
from quoting.craft.settle.garland import body_diameter_m
from quoting.craft.settle.laying import route_in
from quoting.craft.table.acted import Acted, Said, SaidCode
from quoting.craft.table.boxes import depth_of, place_of
from quoting.craft.table.carried import carried_along, carried_off, is_column_of
from quoting.craft.table.following import depths_moved
from quoting.craft.table.legs import (
    deepened,
    line_leg,
    mirror_line_m,
    mirrored_leg,
    moved_leg,
    with_depths,
    within,
)
from quoting.craft.table.placing import held_there, label_of, placed_at
from quoting.craft.table.shelf import Shelf
from quoting.craft.table.sizing import own_size, sized_of_shelf
from quoting.craft.table.snapping import DEPTH_STEP_M, Snapped, nested_depth_m, snapped
from quoting.craft.table.things import (
    Thing,
    find_thing,
    free_id,
    kind_of,
    not_for_this,
    ref_of,
    with_thing,
    without_thing,
)
from quoting.craft.table.toppers import toppers_copied

ASIDE_M = 0.3  # how far beside the first a copy stands (setting)
COLUMN_ASIDE_M = 0.8  # and a column (setting)
THING = "reference of a thing, kind:id"


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """Move a thing to a place: middle and lower edge of what stands, the middle of everything else.

    It goes to the floor, to edges and centres of others and to the trade's stagger, unless ``exact``.
    """

    thing: str = a_text(THING)
    x_m: float = a_number(-30, 30, "where its middle goes [m]")
    y_m: float | None = a_number(
        -15, 30, "its lower edge or middle above the floor [m]; none: as high as it is", None, optional=True
    )
    exact: bool = a_flag("true: exactly there, to no line", False)

    def on(self, design: Design, _shelf: Shelf) -> Acted:
        thing = find_thing(design, self.thing)
        here = place_of(design, thing)
        to_y = here[1] if self.y_m is None else self.y_m
        if isinstance(thing, Garland):
            pole, _ = _column_with(design, thing)
            if pole is None:
                return _moved_garland(design, thing, self.x_m - here[0], to_y - here[1])
            thing, here, to_y = pole, place_of(design, pole), pole.base_m
        to = Snapped(self.x_m, to_y, ()) if self.exact else snapped(design, thing, self.x_m, to_y)
        moved = placed_at(thing, to.x_m, to.y_m)
        if isinstance(moved, Frame) and to.nested_with:
            moved = _nested(design, moved, to.nested_with)
        moved = held_there(design, moved)
        said = [Said(SaidCode.MOVED, label_of(thing), figures={"x_m": to.x_m, "y_m": to.y_m})]
        after = with_thing(design, moved)
        if isinstance(moved, Frame):
            after, more = carried_along(design, after, moved)
            said += more
        return Acted(after, self.thing, tuple(said), to.guides)


@dataclass(frozen=True, slots=True, kw_only=True)
class Depth:
    """Bring a thing nearer to the viewer, or farther back."""

    thing: str = a_text(THING)
    z_m: float = a_number(-10, 10, "its depth, towards the viewer [m]")

    def on(self, design: Design, _shelf: Shelf) -> Acted:
        thing = find_thing(design, self.thing)
        said = [Said(SaidCode.DEPTH, label_of(thing), figures={"z_m": self.z_m})]
        if isinstance(thing, Garland):
            return _deepened_garland(design, thing, self.z_m)
        if isinstance(thing, Sign | Lettering):
            raise not_for_this(thing, "thing")
        moved = replace(thing, z_m=self.z_m)
        after = with_thing(design, moved)
        if isinstance(moved, Frame):
            after, more = carried_along(design, after, moved)
            said += more
        return Acted(after, self.thing, tuple(said))


@dataclass(frozen=True, slots=True, kw_only=True)
class Resize:
    """Make a thing so wide and so high; what is owned in certain sizes takes the nearest one."""

    thing: str = a_text(THING)
    width_m: float = a_number(0.01, 30, "width [m]")
    height_m: float = a_number(0.01, 15, "height [m]")

    def on(self, design: Design, shelf: Shelf) -> Acted:
        thing = find_thing(design, self.thing)
        sized, owned = sized_of_shelf(thing, self.width_m, self.height_m, shelf)
        after = with_thing(design, sized)
        wide, high = own_size(sized)
        figures = {"width_m": wide, "height_m": high}
        said = [Said(SaidCode.RESIZED, label_of(sized), figures=figures)]
        if isinstance(sized, Frame):
            after, more = carried_along(design, after, sized)
            said += more
        if owned:
            said.append(Said(SaidCode.NEAREST_SIZE, label_of(thing), owned, figures))
        return Acted(after, self.thing, tuple(said))


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """Turn a thing clockwise, as seen by the viewer."""

    thing: str = a_text(THING)
    deg: float = a_number(-180, 180, "how far it is turned from upright, clockwise [deg]")

    def on(self, design: Design, _shelf: Shelf) -> Acted:
        thing = find_thing(design, self.thing)
        if isinstance(thing, Foil | Spray):
            turned: Thing = replace(thing, turn_deg=self.deg)
        elif isinstance(thing, Frame) and thing.shape == "part-ring":
            span = thing.end_deg - thing.start_deg
            turned = replace(thing, start_deg=self.deg, end_deg=self.deg + span)
        else:
            raise not_for_this(thing, "thing")
        said = Said(SaidCode.TURNED, label_of(thing), figures={"deg": self.deg})
        return Acted(with_thing(design, turned), self.thing, (said,))


@dataclass(frozen=True, slots=True, kw_only=True)
class Mirror:
    """Turn a frame or a garland into its mirror image, or the whole design where no thing is named.

    A garland's frames stay as they are, so they must be their own mirror image about one line.
    """

    thing: str = a_text(THING, "")

    def on(self, design: Design, _shelf: Shelf) -> Acted:
        if not self.thing:
            return Acted(mirrored(design), "", (Said(SaidCode.MIRRORED, design.name),))
        thing = find_thing(design, self.thing)
        if isinstance(thing, Frame):
            turned: Thing = replace(thing, turned=not thing.turned)
        elif isinstance(thing, Garland):
            turned = _mirrored_garland(design, thing)
        else:
            raise not_for_this(thing, "thing")
        return Acted(with_thing(design, turned), self.thing, (Said(SaidCode.MIRRORED, label_of(thing)),))


@dataclass(frozen=True, slots=True, kw_only=True)
class Copy:
    """Put a second one like it beside a thing."""

    thing: str = a_text(THING)

    def on(self, design: Design, _shelf: Shelf) -> Acted:
        thing = find_thing(design, self.thing)
        said = (Said(SaidCode.COPIED, label_of(thing)),)
        pole, packed = _column_with(design, thing)
        if pole and packed:
            name = free_id(design, "column")
            second = replace(pole, id=name, x_m=within(pole.x_m + COLUMN_ASIDE_M, 0.0)[0])
            route = tuple(replace(leg, frame=name) for leg in packed.route)
            garland = replace(packed, id=name, route=route)
            both = with_thing(with_thing(design, second), garland)
            return Acted(toppers_copied(both, pole, second), ref_of(garland), said)
        copy = _copied(design, thing)
        after = with_thing(design, copy)
        if isinstance(copy, Frame | Prop):
            after = toppers_copied(after, thing, copy)
        return Acted(after, ref_of(copy), said)


@dataclass(frozen=True, slots=True, kw_only=True)
class Remove:
    """Take a thing away. What hangs on a frame stays where it is; letters go with it."""

    thing: str = a_text(THING)

    def on(self, design: Design, _shelf: Shelf) -> Acted:
        thing = find_thing(design, self.thing)
        said = [Said(SaidCode.REMOVED, label_of(thing))]
        if isinstance(thing, Frame):
            after, more = carried_off(design, thing)
            said += more
        else:
            after = without_thing(design, thing)
        return Acted(after, "", tuple(said))


# Private


def _mirrored_garland(design: Design, garland: Garland) -> Garland:
    """DesignError at ``thing`` where its frames are no mirror image of themselves."""
    middle = mirror_line_m(design, garland)
    if middle is None:
        raise DesignError(Fault(code=FaultCode.NO_MIRROR_IMAGE, field="thing"))
    return replace(garland, route=tuple(_mirrored_leg(design, leg, middle) for leg in garland.route))


def _mirrored_leg(design: Design, leg: Leg, about_x_m: float) -> Leg:
    """A leg's mirror image; what runs up a pole still does."""
    frame = design.frame(leg.frame)
    return leg if frame and frame.shape == "column" else mirrored_leg(leg, about_x_m)


def _copied(design: Design, thing: Thing) -> Thing:
    """A second one beside a thing: a frame a step behind it, a garland through the air as the first is laid."""
    name = free_id(design, kind_of(thing))
    if isinstance(thing, Garland):
        line = route_in(design, design.garlands.index(thing)).points
        return replace(thing, id=name, route=(moved_leg(line_leg(line), ASIDE_M, 0.0),))
    x, y = place_of(design, thing)
    copy = placed_at(replace(thing, id=name), x + ASIDE_M, y)
    if isinstance(copy, Frame):
        return held(copy, z_m=copy.z_m - DEPTH_STEP_M)
    return held_there(design, copy)


def _column_with(design: Design, thing: Thing) -> tuple[Frame | None, Garland | None]:
    """The pole and the packed balloons of the column that a thing is a part of."""
    for frame in design.frames:
        for garland in design.garlands:
            if is_column_of(garland, frame) and thing in (frame, garland):
                return frame, garland
    return None, None


def _moved_garland(design: Design, garland: Garland, across_m: float, up_m: float) -> Acted:
    """The points in the air and on the floor are moved; what runs along a frame stays on it."""
    ball_m = body_diameter_m(garland)
    route = []
    for leg in with_depths(design, garland):
        there = moved_leg(leg, across_m, up_m)
        if there.depths:
            depths = depths_moved(leg.points, there.points, leg.depths, design.frames, ball_m=ball_m)
            there = replace(there, depths=depths)
        route.append(there)
    moved = replace(garland, route=tuple(route))
    after = with_thing(design, moved)
    x, y = place_of(after, moved)
    said = [Said(SaidCode.MOVED, garland.label, figures={"x_m": x, "y_m": y})]
    if any(leg.frame for leg in route):
        said.append(Said(SaidCode.HELD_BY_FRAMES, garland.label))
    return Acted(after, ref_of(garland), tuple(said))


def _deepened_garland(design: Design, garland: Garland, z_m: float) -> Acted:
    by = z_m - depth_of(design, garland)
    route = tuple(deepened(leg, by) for leg in with_depths(design, garland))
    said = [Said(SaidCode.DEPTH, garland.label, figures={"z_m": z_m})]
    if any(leg.frame for leg in route):
        said.append(Said(SaidCode.HELD_BY_FRAMES, garland.label))
    return Acted(with_thing(design, replace(garland, route=route)), ref_of(garland), tuple(said))


def _nested(design: Design, frame: Frame, other: str) -> Frame:
    """A frame that overlaps another as nested frames do stands a step behind or before it."""
    neighbour = find_thing(design, other)
    assert isinstance(neighbour, Frame)
    if abs(frame.z_m - neighbour.z_m) >= DEPTH_STEP_M / 2:
        return frame
    return replace(frame, z_m=nested_depth_m(frame, neighbour))
