"""Where things go: at a place, before what stands there already, and on the frame behind it."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from quoting.craft.design.frames import outline
from quoting.craft.design.records import Bouquet, Design, Frame, Garland, Sign, Wall
from quoting.craft.design.resting import frame_behind, rests
from quoting.craft.design.schema import held
from quoting.craft.design.things import Lettering, Prop, Round
from quoting.craft.rigging.holds import GARLAND_REACH, TIED_WITHIN_M, away_m
from quoting.craft.settle.garland import body_diameter_m
from quoting.craft.settle.laying import route_in
from quoting.craft.table.legs import within
from quoting.craft.table.things import Thing


def label_of(thing: Thing) -> str:
    """Name a thing as the page calls it.

    >>> label_of(Lettering(id="words", text="six!", height_m=0.2, x_m=0, y_m=1, frame="low"))
    'six!'
    """
    return thing.text if isinstance(thing, Lettering) else thing.label


def placed_at(thing: Thing, x_m: float, y_m: float) -> Thing:
    """A thing, but a garland, at a place [m], above the floor and within what a design file takes."""
    assert not isinstance(thing, Garland)
    x, y = within(x_m, y_m)
    if isinstance(thing, Frame | Prop):
        return held(thing, x_m=x, base_m=y)
    if isinstance(thing, Wall | Bouquet):
        return held(thing, x_m=x)
    return held(thing, x_m=x, y_m=y)


def rehung(design: Design, thing: Sign | Lettering) -> Sign | Lettering:
    """A sign or letters on the frame behind their place; letters without one stay with the frame that they have."""
    behind = frame_behind(design, thing.x_m, thing.y_m)
    if isinstance(thing, Sign):
        return replace(thing, frame=behind.id if behind else "")
    covered = covered_behind(design, thing.x_m, thing.y_m)
    return replace(thing, frame=covered.id) if covered else thing


def tied(design: Design, ball: Round) -> Round:
    """A round tied to the frame that is behind it or near it, or to none where it rests on something.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> ball = Round(id="r", size_in=24, sized_m=0.55, colour="oat", x_m=-1.1, y_m=1.4)
    >>> tied(design, ball).frame, tied(design, replace(ball, x_m=-3.0)).frame
    ('low', '')
    """
    if rests(design, ball):
        return replace(ball, frame="")
    behind = frame_behind(design, ball.x_m, ball.y_m)
    if behind is not None:
        return replace(ball, frame=behind.id)
    near = [(away_m(ball, outline(frame).points), frame.id) for frame in design.frames]
    away, name = min(near, default=(math.inf, ""))
    return replace(ball, frame=name if away < TIED_WITHIN_M else "")


def held_there(design: Design, thing: Thing) -> Thing:
    """A thing that hangs from, is put on or is tied to whatever is at its place."""
    if isinstance(thing, Sign | Lettering):
        return rehung(design, thing)
    return tied(design, thing) if isinstance(thing, Round) else thing


def covered_behind(design: Design, x_m: float, y_m: float) -> Frame | None:
    """The covered frame or board whose face is seen at a place [m]; none where panels that take no words hide it."""
    filled = tuple(frame for frame in design.frames if frame.is_filled)
    seen = frame_behind(replace(design, frames=filled), x_m, y_m)
    return seen if seen and seen.takes_words else None


def front_at(design: Design, x_m: float, y_m: float, reach_m: float) -> float:
    """The depth [m] of the front of what stands at a place: frames, and garlands nearer than ``reach_m``.

    0 where nothing is.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> round(front_at(load_design(STARTERS / "garland-nested-arches.json"), -0.4, 1.0, 0.1), 3)
    0.013
    """
    behind = frame_behind(design, x_m, y_m)
    found = [behind.z_m + behind.tube_m / 2] if behind else []
    for index, garland in enumerate(design.garlands):
        line = route_in(design, index).points
        away = np.hypot(line[:, 0] - x_m, line[:, 1] - y_m)
        nearest, ball = int(np.argmin(away)), body_diameter_m(garland)
        if away[nearest] < reach_m + ball:
            found.append(float(line[nearest, 2]) + GARLAND_REACH * ball)
    return max(found, default=0.0)
