"""What on the table cannot be as it is: each with the thing, the place and a fault."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, replace

import numpy as np

from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.frame_places import frame_place_faults
from quoting.craft.design.letters import lettering_faults
from quoting.craft.design.records import Design, Frame, Garland
from quoting.craft.design.routes import Route
from quoting.craft.design.signs import sign_faults
from quoting.craft.design.things import Foil, Prop, Round
from quoting.craft.design.toppers import support_label, supports_of
from quoting.craft.rigging.holds import is_held
from quoting.craft.rigging.tie_points import (
    EMPTY_260_M,
    LEAST_HUNG_M,
    NOTHING,
    OWN_LINE,
    hanging_spans,
    tie_points,
)
from quoting.craft.rigging.ties import rig
from quoting.craft.settle.garland import body_diameter_m
from quoting.craft.settle.laying import route_in, routes_of
from quoting.craft.site.prep import doors_of
from quoting.craft.table.boxes import box_of
from quoting.craft.table.crossing import crossings
from quoting.craft.table.following import LONGEST_M
from quoting.craft.table.room import before_the_door, reach_box, too_deep
from quoting.craft.table.things import all_things, ref_of
from quoting.craft.table.toppers import toppers_of
from quoting.craft.takeoff.holding_down import weight_that_holds
from quoting.craft.takeoff.sign_room import MUCH_OF_A_SIGN, hidden_letters, outside_share
from quoting.craft.takeoff.takeoff import TakeOff
from studio.trade.ranges import FloatArray

SLACK_M = 0.005  # setting: nearer to a limit than this is within it
TIE_SLACK_M = 0.05  # setting: so much farther apart, ties are still where they should be
STEPS_A_BALL = 2  # of a garland's line, to look for crossings (setting)
APART = 0.8
"""Strings nearer to each other in depth than so many diameters of a balloon cross. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Limit:
    """One thing that cannot be so: its reference, the place to show it at [m], and the fault with its figures."""

    thing: str
    x_m: float
    y_m: float
    fault: Fault


def limits(design: Design) -> tuple[Limit, ...]:
    """List everything that cannot be as it stands.

    >>> from dataclasses import replace
    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> limits(design)
    ()
    >>> there = tuple(replace(frame, x_m=0.0, z_m=0.0, width_m=1.22, height_m=2.13) for frame in design.frames)
    >>> [(limit.thing, limit.fault.code.value) for limit in limits(replace(design, frames=there))]
    [('frame:low', 'frames-in-one-place')]
    """
    return (
        *_frames_in_one_place(design),
        *_signs(design),
        *_words(design),
        *_garlands(design),
        *_ties(design),
        *_loose_garlands(design),
        *_loose_balloons(design),
        *_light_supports(design),
        *_outside(design),
        *_doors(design),
        *(Limit(*found) for found in (*too_deep(design), *before_the_door(design))),
    )


def hidden_words(takeoff: TakeOff) -> Iterator[Limit]:
    """List the signs of which balloons hide a letter by a third or more; the take-off knows where those lie.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> list(hidden_words(take_off(load_design(STARTERS / "stage-three-frames.json"))))
    []
    """
    for index, sign in enumerate(takeoff.design.signs):
        letters = hidden_letters(takeoff.design, sign, takeoff.balloons)
        if letters:
            fault = Fault(code=FaultCode.LETTERS_HIDDEN, field=f"signs[{index}].x_m", what=letters)
            yield Limit(ref_of(sign), sign.x_m, sign.y_m + sign.height_m / 2, fault)


# Private


def _frames_in_one_place(design: Design) -> Iterator[Limit]:
    for fault in frame_place_faults(design):
        frame = design.frames[_number(fault.field)]
        box = box_of(design, frame)
        yield Limit(ref_of(frame), box.x_m, box.top, fault)


def _signs(design: Design) -> Iterator[Limit]:
    """Signs that can't hang from their frame, and others that stand out past it."""
    faults = sign_faults(design)
    for fault in faults:
        sign = design.signs[_number(fault.field)]
        yield Limit(ref_of(sign), sign.x_m, sign.y_m, fault)
    too_big = {_number(fault.field) for fault in faults}
    for index, sign in enumerate(design.signs):
        outside = outside_share(design, sign)
        if outside >= MUCH_OF_A_SIGN and index not in too_big:
            code, share = FaultCode.SIGN_PAST_ITS_FRAME, f"{100 * outside:.0f}"
            fault = Fault(code=code, field=f"signs[{index}].x_m", found=outside, what=share)
            yield Limit(ref_of(sign), sign.x_m, sign.y_m + sign.height_m / 2, fault)


def _words(design: Design) -> Iterator[Limit]:
    for fault in lettering_faults(design):
        words = design.letterings[_number(fault.field)]
        yield Limit(ref_of(words), words.x_m, words.y_m, fault)


def _number(field: str) -> int:
    """The place in a list that a fault's field names."""
    return int(field.split("[", 1)[1].split("]", 1)[0])


def _garlands(design: Design) -> Iterator[Limit]:
    for index, garland in enumerate(design.garlands):
        try:
            (route,) = routes_of(replace(design, garlands=(garland,), walls=(), bouquets=()))
        except DesignError as error:
            yield from (Limit(ref_of(garland), 0.0, 0.0, fault) for fault in error.faults)
            continue
        yield from _of_garland(garland, route, f"garlands[{index}].route")


def _of_garland(garland: Garland, route: Route, field: str) -> Iterator[Limit]:
    ball = body_diameter_m(garland)
    if route.length_m > LONGEST_M:
        code, found = FaultCode.GARLAND_TOO_LONG, route.length_m
        x, y, _ = route.points[-1].tolist()
        yield Limit(ref_of(garland), x, y, Fault(code=code, field=field, found=found, high=LONGEST_M))
    steps = np.linspace(0, route.length_m, max(2, round(route.length_m / ball * STEPS_A_BALL)))
    met = crossings(route.at(steps))
    for x, y in _parted(met.places[met.apart_m < APART * ball], ball):
        yield Limit(ref_of(garland), x, y, Fault(code=FaultCode.CROSSES_ITSELF, field=field))


def _parted(places: FloatArray, apart_m: float) -> list[tuple[float, float]]:
    """Places [m] that are not just beside one before."""
    found: list[tuple[float, float]] = []
    for x, y in places.tolist():
        if all(np.hypot(x - a, y - b) > apart_m for a, b in found):
            found.append((x, y))
    return found


def _ties(design: Design) -> Iterator[Limit]:
    """Ties by hand that nothing is in reach of, and stretches between them that are more than one tie bears."""
    for index, garland in enumerate(design.garlands):
        if not garland.ties:
            continue
        try:
            route = route_in(design, index)
        except DesignError:
            continue  # shown where the garlands are
        yield from _loose_ties(design, index, route)
        for span in hanging_spans(design, index, route):
            if span.length_m > span.most_m + TIE_SLACK_M:
                x, y, _ = route.at(np.array([(span.start_m + span.end_m) / 2]))[0].tolist()
                code, field = FaultCode.TIES_TOO_FAR_APART, f"garlands[{index}].ties"
                fault = Fault(code=code, field=field, found=span.length_m, high=span.most_m)
                yield Limit(ref_of(garland), x, y, fault)


def _loose_ties(design: Design, index: int, route: Route) -> Iterator[Limit]:
    for number, tie in enumerate(tie_points(design, index, route)):
        if tie.holder != NOTHING:
            continue
        field, what = f"garlands[{index}].ties[{number}]", str(number + 1)
        fault = Fault(code=FaultCode.TIE_OUT_OF_REACH, field=field, high=EMPTY_260_M, what=what)
        if tie.y < LEAST_HUNG_M:
            code = FaultCode.TIE_ON_THE_FLOOR
            fault = Fault(code=code, field=field, found=tie.y, low=LEAST_HUNG_M, what=what)
        yield Limit(ref_of(design.garlands[index]), tie.x, tie.y, fault)


def _loose_garlands(design: Design) -> Iterator[Limit]:
    """Outdoors nothing hangs from a ceiling: a garland in the air needs a frame in reach, shown at the first place."""
    if not design.site.outdoors:
        return
    try:
        ties = rig(design, routes_of(design), fillers=0).ties
    except DesignError:
        return  # shown where the garlands are
    for index, garland in enumerate(design.garlands):
        hung = next((tie for tie in ties if tie.garland == index and tie.holder == OWN_LINE), None)
        if hung:
            fault = Fault(code=FaultCode.NOTHING_HOLDS_IT, field=f"garlands[{index}].route", found=hung.y)
            yield Limit(ref_of(garland), hung.x, hung.y, fault)


def _loose_balloons(design: Design) -> Iterator[Limit]:
    """Rounds and foil balloons with air that neither stand on something nor are tied to something."""
    airy: tuple[Round | Foil, ...] = (*design.rounds, *design.foils)
    strung = list(_strung(design))
    for one in airy:
        if one.gas == "air" and not is_held(design, one, strung):
            fault = Fault(code=FaultCode.NOTHING_HOLDS_IT, field="y_m", found=one.y_m)
            yield Limit(ref_of(one), one.x_m, one.y_m, fault)


def _strung(design: Design) -> Iterator[tuple[Garland, Route]]:
    """The garlands that can be laid, each with its line."""
    for index, garland in enumerate(design.garlands):
        with suppress(DesignError):  # shown where the garlands are
            yield garland, route_in(design, index)


def _light_supports(design: Design) -> Iterator[Limit]:
    """Toppers that float, on something too light to hold all of them down."""
    for ref, support in supports_of(design).items():
        held = [(one, weight_that_holds(design, one)) for one in toppers_of(design, ref)]
        needed = sum(weight for _, weight in held)
        if needed > support.weight_kg:
            code, name = FaultCode.TOO_LIGHT_TO_HOLD, support_label(design, ref)
            fault = Fault(code=code, field="on_top", found=needed, high=support.weight_kg, what=name)
            yield from (Limit(ref_of(one), one.x_m, one.y_m, fault) for one, weight in held if weight)


def _outside(design: Design) -> Iterator[Limit]:
    """What reaches beyond the room's width, above its height, or into the ceiling."""
    half, high = design.site.width_m / 2, min(design.site.height_m, design.site.ceiling_m)
    for thing in all_things(design):
        if isinstance(thing, Frame | Prop) and not thing.is_brought:
            continue
        box = reach_box(design, thing)
        reach = max(-box.left, box.right)
        if reach > half + SLACK_M:
            x = box.left if -box.left > box.right else box.right
            code = FaultCode.OUTSIDE_THE_ROOM
            yield Limit(ref_of(thing), x, box.y_m, Fault(code=code, field="x_m", found=reach, high=half))
        if box.top > high + SLACK_M:
            code = FaultCode.ABOVE_THE_CEILING
            yield Limit(
                ref_of(thing), box.x_m, box.top, Fault(code=code, field="y_m", found=box.top, high=high)
            )


def _doors(design: Design) -> Iterator[Limit]:
    """Frames that don't go through the door flat and in one piece, and props that don't."""
    site = design.site
    things: tuple[Frame | Prop, ...] = (*design.brought_frames, *design.brought_props)
    for thing, door in zip(things, doors_of(design), strict=True):
        if not door.answer.passes:
            box, found = box_of(design, thing), min(thing.width_m, thing.height_m)
            code, high = FaultCode.NOT_THROUGH_THE_DOOR, max(site.door_width_m, site.door_height_m)
            fault = Fault(code=code, field="width_m", found=found, high=high)
            yield Limit(ref_of(thing), box.x_m, box.y_m, fault)
