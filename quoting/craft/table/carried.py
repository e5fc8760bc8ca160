"""What hangs on a frame, and what becomes of it when the frame moves or goes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from quoting.craft.design.frames import outline
from quoting.craft.design.records import Design, Frame, Garland, Leg, Sign
from quoting.craft.design.resting import placed_alike
from quoting.craft.design.things import Lettering, Round
from quoting.craft.table.acted import Said, SaidCode
from quoting.craft.table.legs import freed_route, moved_leg
from quoting.craft.table.placing import label_of
from quoting.craft.table.things import with_thing, without_thing

NEAR_M = 0.5  # points of a garland nearer to a frame than this seem to belong to it (setting)


def carried_along(before: Design, after: Design, frame: Frame) -> tuple[Design, list[Said]]:
    """The design after ``frame`` was moved or made larger, with its signs, letters and rounds at the same place of it;
    what there is to say of it.

    Garlands follow by themselves, because their legs are told by shares of the outline.
    """
    old = before.frame(frame.id)
    assert old is not None
    hanging: tuple[Sign | Lettering | Round, ...] = (*after.signs, *after.letterings, *after.rounds)
    said = []
    for thing in hanging:
        if thing.frame == frame.id:
            after = with_thing(after, _placed_alike(thing, old, frame))
            said.append(Said(SaidCode.FOLLOWS, frame.label, label_of(thing)))
    across = frame.x_m - old.x_m - (frame.width_m - old.width_m) / 2
    for garland in after.garlands:
        if any(leg.frame == frame.id for leg in garland.route):
            after = with_thing(after, replace(garland, route=_pool_beside(garland.route, frame, across)))
            said.append(Said(SaidCode.FOLLOWS, frame.label, garland.label))
    return after, said + list(_points_near(before, old))


def carried_off(design: Design, frame: Frame) -> tuple[Design, list[Said]]:
    """The design without a frame: garlands keep their place in the air, signs and rounds stay by themselves, and the
    letters that were put on it go."""
    said = []
    for garland in design.garlands:
        if is_column_of(garland, frame):
            design = without_thing(design, garland)
            said.append(Said(SaidCode.GOES_WITH_IT, frame.label, garland.label))
        elif any(leg.frame == frame.id for leg in garland.route):
            freed = replace(garland, route=freed_route(design, garland, frame.id))
            design = with_thing(design, freed)
            said.append(Said(SaidCode.STAYS_IN_THE_AIR, frame.label, garland.label))
    hanging: tuple[Sign | Round, ...] = (*design.signs, *design.rounds)
    for hung in hanging:
        if hung.frame == frame.id:
            design = with_thing(design, replace(hung, frame=""))
            said.append(Said(SaidCode.STANDS_BY_ITSELF, frame.label, hung.label))
    design, gone = letters_off(design, frame)
    return without_thing(design, frame), said + gone


def is_column_of(garland: Garland, frame: Frame) -> bool:
    """Tell whether a garland is packed along a pole, so that both are one column."""
    return (
        frame.shape == "column"
        and garland.work == "classic"
        and {leg.frame for leg in garland.route} == {frame.id}
    )


def letters_off(design: Design, frame: Frame) -> tuple[Design, list[Said]]:
    """The design without the letters that were put on a frame."""
    said = []
    for words in design.letterings:
        if words.frame == frame.id:
            design = without_thing(design, words)
            said.append(Said(SaidCode.GOES_WITH_IT, frame.label, words.text))
    return design, said


# Private


def _placed_alike(thing: Sign | Lettering | Round, old: Frame, new: Frame) -> Sign | Lettering | Round:
    """A thing at the same place of its frame as before, to the millimetre."""
    placed = placed_alike(thing, old, new)
    return replace(placed, x_m=round(placed.x_m, 3), y_m=round(placed.y_m, 3))


def _pool_beside(route: tuple[Leg, ...], frame: Frame, across_m: float) -> tuple[Leg, ...]:
    """A route whose pool at the beginning goes with the frame that it leads to; one at the end does so by itself."""
    if route[0].kind == "pool" and len(route) > 1 and route[1].frame == frame.id:
        return (moved_leg(route[0], across_m, 0.0), *route[1:])
    return route


def _points_near(design: Design, frame: Frame) -> Iterator[Said]:
    """Say of every garland how many of its points in the air are near a frame: they stay when it moves."""
    line = outline(frame).points
    for garland in design.garlands:
        points = [point for leg in garland.route if leg.kind != "pool" for point in leg.points]
        near = [point for point in points if np.min(np.hypot(*(line - np.array(point)).T)) < NEAR_M]
        if near:
            yield Said(SaidCode.POINTS_STAY, frame.label, garland.label, {"count": len(near)})
