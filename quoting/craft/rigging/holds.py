"""What holds a single round or foil balloon up: frames, garlands and walls that it is tied on to."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from quoting.craft.design.boxes import foil_boxes
from quoting.craft.design.frames import outline
from quoting.craft.design.records import Design, Garland
from quoting.craft.design.resting import frame_behind, rests
from quoting.craft.design.routes import Route
from quoting.craft.design.things import Foil, Round
from quoting.craft.settle.garland import body_diameter_m
from studio.trade.ranges import FloatArray

TIED_WITHIN_M: Final = 0.3
"""From the outline of a frame to the skin of a balloon that is tied to it. Common practice, no source."""
GARLAND_REACH: Final = 1.2
"""From the string of a garland to where a thing stands clear of it, in diameters of its balloons. Common practice, no
source."""


def is_held(design: Design, one: Round | Foil, strung: Sequence[tuple[Garland, Route]]) -> bool:
    """Tell whether a balloon with air stands on something or is tied to something; ``strung``: garlands as laid."""
    if one.on_top or rests(design, one):
        return True
    framed = bool(one.frame) if isinstance(one, Round) else _is_by_frame(design, one)
    return framed or is_by_balloons(design, one, strung)


def is_by_balloons(design: Design, one: Round | Foil, strung: Sequence[tuple[Garland, Route]]) -> bool:
    """Tell whether a balloon is near enough to a garland to be tied on to it, or before a wall of balloons."""
    return _is_before_wall(design, one) or any(
        away_m(one, route.points[:, :2]) < GARLAND_REACH * body_diameter_m(garland)
        for garland, route in strung
    )


def tied_to_balloons(design: Design, routes: Sequence[Route]) -> int:
    """Count the rounds with air that are tied on to a garland or a wall, each with a 260 of its own."""
    strung = list(zip(design.garlands, routes, strict=True))
    alone = (one for one in design.rounds if one.gas == "air" and not (one.frame or one.on_top))
    return sum(not rests(design, one) and is_by_balloons(design, one, strung) for one in alone)


def away_m(one: Round | Foil, line: FloatArray) -> float:
    """How far the skin of a balloon is from the nearest of some points (n, 2), as seen from the front [m]; less than 0
    over one.

    >>> ball = Round(id="r", size_in=24, sized_m=0.5, colour="oat", x_m=0, y_m=1)
    >>> away_m(ball, np.array([[1.0, 1.0], [0.0, 3.0]]))
    0.75
    """
    if isinstance(one, Round):
        return float(np.hypot(line[:, 0] - one.x_m, line[:, 1] - one.y_m).min()) - one.sized_m / 2
    aside = [
        np.maximum(abs(line - (box.x_m, box.y_m)) - (box.width_m / 2, box.height_m / 2), 0.0)
        for box in foil_boxes(one)
    ]
    return float(np.hypot(*np.concatenate(aside).T).min())


# Private


def _is_by_frame(design: Design, foil: Foil) -> bool:
    """Whether one of the balloons is before a frame, or near enough to its tube."""
    if any(frame_behind(design, box.x_m, box.y_m) for box in foil_boxes(foil)):
        return True
    return any(away_m(foil, outline(frame).points) < TIED_WITHIN_M for frame in design.frames)


def _is_before_wall(design: Design, one: Round | Foil) -> bool:
    return any(
        abs(one.x_m - wall.x_m) <= wall.width_m / 2 and one.y_m <= wall.height_m for wall in design.walls
    )
