"""The thread: the course of a job as beads on a string.

The string is drawn in a box 100 wide and 34 high; bead *i* of *n* hangs at the middle of the *i*-th of *n*
equal columns, at 17, 22 and 12 from the top in turn, so that the string sags and rises a little.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, Literal

BeadState = Literal["done", "now", "todo"]

BOX_HEIGHT: Final = 34
_HEIGHTS: Final = (17.0, 22.0, 12.0)
"""Where the beads hang in turn; pieces.css moves them by the same amounts (data-drop)."""


@dataclass(frozen=True, slots=True)
class Bead:
    """One stage of a job."""

    name: str
    state: BeadState
    when: dt.date | dt.datetime | str | None = None
    """The day it was done or is due, or words in its place."""


def thread_of(
    stages: Sequence[tuple[str, str]],
    *,
    now: str,
    dates: Mapping[str, dt.date | dt.datetime | str] | None = None,
) -> list[Bead]:
    """Beads for ``stages`` (pairs of key and name, in order) of a job that stands at the stage ``now``.

    ``dates`` gives by key the day under a bead. Raises ``ValueError`` if ``now`` is no stage.
    """
    keys = [key for key, _ in stages]
    if now not in keys:
        raise ValueError(f"{now!r} is no stage; the stages are {', '.join(keys)}.")
    present = keys.index(now)
    dates = dates or {}
    return [
        Bead(name, "done" if place < present else "now" if place == present else "todo", dates.get(key))
        for place, (key, name) in enumerate(stages)
    ]


def drop(place: int) -> int:
    """Which of the three heights the bead at ``place`` hangs at: 0 middle, 1 lower, 2 higher."""
    return place % len(_HEIGHTS)


def string_path(count: int, *, width: float = 100.0, height: float = BOX_HEIGHT) -> str:
    """SVG path data of a smooth string through ``count`` beads, running to both ends of the box."""
    scale = height / BOX_HEIGHT
    points = [(0.0, _HEIGHTS[0] * scale)]
    points += [((place + 0.5) * width / count, _HEIGHTS[drop(place)] * scale) for place in range(count)]
    points.append((width, _HEIGHTS[0] * scale))
    path = f"M{points[0][0]:.2f} {points[0][1]:.2f}"
    for (x0, y0), (x1, y1) in pairwise(points):
        middle = (x0 + x1) / 2
        path += f"C{middle:.2f} {y0:.2f} {middle:.2f} {y1:.2f} {x1:.2f} {y1:.2f}"
    return path


def bead_places(count: int, *, width: float, height: float) -> list[tuple[float, float]]:
    """Middle of each bead in a box of ``width`` by ``height``."""
    scale = height / BOX_HEIGHT
    return [((place + 0.5) * width / count, _HEIGHTS[drop(place)] * scale) for place in range(count)]
