"""Where things of one step go: the piece in outline, what the step puts up in colour, and a number at each place."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Final
from xml.sax.saxutils import escape

import numpy as np

from quoting.craft.design.frames import outline
from quoting.craft.picture.drawing import short
from quoting.craft.picture.view import PX_PER_M, View
from quoting.craft.takeoff.takeoff import TakeOff
from studio.trade.ranges import FloatArray

# Settings of the drawing.
MARK_SHARE: Final = 0.028
"""Radius of a mark as a share of the picture's longer side: read on a phone and on a sheet of A4."""
LEAST_MARK: Final = 9.0
APART: Final = 2.15  # middles of two marks, in radii
ROUNDS: Final = 60  # of pushing marks apart
INK, PAPER, GHOST, EDGE = "#1D2528", "#FFFDF8", "#F4EFE6", "#CFC4B2"


@dataclass(frozen=True, slots=True)
class Mark:
    """A number and where it belongs in the elevation [m]."""

    number: int
    x_m: float
    y_m: float


def numbered_svg(takeoff: TakeOff, marks: Sequence[Mark], balloons: Collection[int], words: str) -> str:
    """Draw the piece in outline with the ``balloons`` of a step (by index) in colour, and its numbered places.

    ``words`` say what is seen. A mark that has to give way to another has a line to its place.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> result = take_off(load_design(STARTERS / "table-garland.json"))
    >>> numbered_svg(result, [Mark(3, 0.0, 0.9)], [0, 1], "Where 3 goes").count(">3</text>")
    1
    """
    view = View(takeoff, person=False, dimensions=False, prefix="")
    width, height = round(view.width), round(view.height)
    size = max(LEAST_MARK, MARK_SHARE * max(width, height))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="numbered" viewBox="0 0 {width} {height}" role="img">'
        f"<title>{escape(words)}</title>"
        f'<rect width="{width}" height="{height}" fill="{PAPER}"/>'
        f"{_frames(takeoff, view)}{_rounds(takeoff, view, frozenset(balloons))}{_marks(marks, view, size)}</svg>"
    )


def spread(points: FloatArray, apart: float) -> FloatArray:
    """Places (n, 2) pushed from each other until they are so far ``apart``, or as far as it goes.

    >>> moved = spread(np.array([[0.0, 0.0], [1.0, 0.0], [50.0, 0.0]]), 10.0)
    >>> round(float(np.hypot(*(moved[1] - moved[0]))), 1), moved[2].round(1).tolist()
    (10.0, [50.0, 0.0])
    """
    # Two at one place need a way to go.
    turn = np.arange(len(points))
    moved = points + 1e-3 * np.column_stack([np.cos(turn), np.sin(turn)])
    for _ in range(ROUNDS):
        off = moved[:, None] - moved[None]
        away = np.hypot(off[..., 0], off[..., 1])
        np.fill_diagonal(away, np.inf)
        short_of = np.maximum(apart - away, 0.0)
        if not short_of.any():
            break
        way = off / np.maximum(away, 1e-6)[..., None]
        moved += 0.5 * (way * short_of[..., None]).sum(axis=1)
    return moved


# Private


def _frames(takeoff: TakeOff, view: View) -> str:
    paths = []
    for frame in takeoff.design.frames:
        points = view.points(outline(frame).points)
        paths.append("M" + "L".join(f"{short(x)} {short(y)}" for x, y in points.tolist()))
    return f'<path d="{"".join(paths)}" fill="none" stroke="{EDGE}" stroke-width="4"/>' if paths else ""


def _rounds(takeoff: TakeOff, view: View, lit: frozenset[int]) -> str:
    """Every balloon, from the rearmost on; those of the step above the others."""
    b, palette = takeoff.balloons, takeoff.design.palette
    order = np.argsort(b.z, kind="stable").tolist()

    def drawn(k: int) -> str:
        return (
            f'<circle cx="{round(view.x(float(b.x[k])))}" cy="{round(view.y(float(b.y[k])))}" '
            f'r="{round(float(b.radius[k]) * PX_PER_M)}"'
        )

    ghosts = "".join(f"{drawn(k)}/>" for k in order if k not in lit)
    bright = "".join(f'{drawn(k)} fill="{palette[int(b.colour[k])].hex}"/>' for k in order if k in lit)
    return f'<g fill="{GHOST}" stroke="{EDGE}">{ghosts}</g><g stroke="{INK}" stroke-width="1.5">{bright}</g>'


def _marks(marks: Sequence[Mark], view: View, size: float) -> str:
    if not marks:
        return ""
    places = np.array([(view.x(mark.x_m), view.y(mark.y_m)) for mark in marks])
    moved = spread(places, APART * size)
    lines, rounds = [], []
    for mark, (from_x, from_y), (x, y) in zip(marks, places.tolist(), moved.tolist(), strict=True):
        if np.hypot(x - from_x, y - from_y) > 0.5 * size:
            lines.append(f"M{short(from_x)} {short(from_y)}L{short(x)} {short(y)}")
        rounds.append(
            f'<circle cx="{short(x)}" cy="{short(y)}" r="{short(size)}" fill="{PAPER}"/><text x="{short(x)}" '
            f'y="{short(y + 0.38 * size)}" font-size="{short(1.1 * size)}">{mark.number}</text>'
        )
    return (
        f'<path d="{"".join(lines)}" stroke="{INK}" stroke-width="2" fill="none"/>'
        f'<g stroke="{INK}" stroke-width="1.5" font-family="Figtree, sans-serif" text-anchor="middle">'
        + "".join(rounds).replace("<text ", f'<text stroke="none" fill="{INK}" ')
        + "</g>"
    )
