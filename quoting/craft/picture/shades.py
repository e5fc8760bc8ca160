"""The shade that a set piece throws: on the floor where it stands, and on the wall behind it."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from quoting.craft.design.boxes import thing_boxes
from quoting.craft.design.frames import face, is_inside, outline
from quoting.craft.picture.drawing import WARM_DARK, many, short
from quoting.craft.picture.room import FLOOR_LINE
from quoting.craft.picture.view import PX_PER_M, View
from quoting.craft.takeoff.takeoff import TakeOff

Squares = NDArray[np.bool_]

# Settings of the drawing.
GROUND_BELOW_M: Final = 0.6  # a balloon that hangs higher than this throws no shade on the floor
CELL: Final = 24.0
"""The shade on the wall is made of equally large soft spots, one for each square of this side, in drawing units, that
the piece covers."""
SPOT: Final = 50.0
"""How far a spot reaches, in drawing units; it has faded to nothing there."""
SPOT_STOPS: Final = ((0.0, 0.04), (0.35, 0.027), (0.7, 0.008), (1.0, 0.0))
"""How much of a spot is seen, from its middle to where it ends."""


def ground_gradient(prefix: str) -> str:
    """Draw the soft shade that lies on the floor, and a spot of the one on the wall."""
    spot = "".join(
        f'<stop offset="{place:g}" stop-color="{WARM_DARK}" stop-opacity="{seen:g}"/>'
        for place, seen in SPOT_STOPS
    )
    return (
        f'<radialGradient id="{prefix}ground">'
        f'<stop offset="0" stop-color="{WARM_DARK}" stop-opacity=".42"/>'
        f'<stop offset=".55" stop-color="{WARM_DARK}" stop-opacity=".18"/>'
        f'<stop offset="1" stop-color="{WARM_DARK}" stop-opacity="0"/></radialGradient>'
        f'<radialGradient id="{prefix}spot">{spot}</radialGradient>'
    )


def shade_svg(takeoff: TakeOff, view: View, *, on_the_wall: bool = True) -> str:
    """Draw the shade that the piece throws: on the floor where it stands, on the wall behind a little to the right.

    The wall's shade is one even, soft shape: spots that overlap and fade to nothing, wherever they can be seen beside
    the piece.
    """
    behind = _on_the_wall(takeoff, view) if on_the_wall else ""
    return f'<g class="shade">{behind}{_on_the_floor(takeoff, view)}</g>'


# Private


def _on_the_floor(takeoff: TakeOff, view: View) -> str:
    """A soft ellipse under each foot: of things that stand, and of balloons that lie, joined where they are near."""
    ground = view.y(0.0)
    return "".join(
        f'<ellipse cx="{short((a + b) / 2 + 6)}" cy="{short(ground + 1)}" rx="{short((b - a) / 2 + 22)}" '
        f'ry="{short(min(9 + (b - a) * 0.03, 17))}" fill="url(#{view.prefix}ground)"/>'
        for a, b in _joined(_feet(takeoff, view))
    )


def _feet(takeoff: TakeOff, view: View) -> list[tuple[float, float]]:
    """From where to where anything stands on the floor, in drawing units."""
    b, found = takeoff.balloons, []
    low = (b.y - b.radius < 0.05) & (b.y < GROUND_BELOW_M)
    for x, r in zip(b.x[low].tolist(), b.radius[low].tolist(), strict=True):
        found.append((view.x(x - r), view.x(x + r)))
    for frame in takeoff.design.frames:
        if frame.base_m < GROUND_BELOW_M:
            line = outline(frame).points
            low_part = line[line[:, 1] < frame.base_m + 0.12]
            if len(low_part):
                found += _ends(low_part[:, 0].tolist(), view, filled=frame.is_filled)
    found += [
        (view.x(box.left), view.x(box.right)) for box in thing_boxes(takeoff.design) if box.bottom < 0.05
    ]
    found += [(view.x(one.x_m - 0.08), view.x(one.x_m + 0.08)) for one in takeoff.design.bouquets]
    return found


def _ends(across: list[float], view: View, *, filled: bool) -> list[tuple[float, float]]:
    left, right = min(across), max(across)
    if filled:
        return [(view.x(left), view.x(right))]
    return [(view.x(left - 0.06), view.x(left + 0.06)), (view.x(right - 0.06), view.x(right + 0.06))]


def _joined(spans: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Spans joined where they touch or nearly do."""
    joined: list[tuple[float, float]] = []
    for left, right in sorted(spans):
        if joined and left < joined[-1][1] + 12:
            joined[-1] = joined[-1][0], max(joined[-1][1], right)
        else:
            joined.append((left, right))
    return joined


def _on_the_wall(takeoff: TakeOff, view: View) -> str:
    """The soft shape of balloons and covers, moved away from the light by as much as the wall is behind them."""
    site = takeoff.design.site
    spots = [] if site.outdoors else _spots(takeoff, view)
    if not spots:
        return ""
    away = 8 + min(site.wall_gap_m, 0.6) * 12
    drawn = "".join(
        f'<circle cx="{x:.0f}" cy="{y:.0f}" r="{SPOT:g}" fill="url(#{view.prefix}spot)"/>' for x, y in spots
    )
    return (
        f'<defs><clipPath id="{view.prefix}wall"><rect x="-4000" y="-4000" width="12000" '
        f'height="{short(view.y(0.0) - FLOOR_LINE + 4000)}"/></clipPath></defs><g clip-path="url(#{view.prefix}wall)">'
        f'<g transform="translate({many(away, away * 0.8)})">{drawn}</g></g>'
    )


def _spots(takeoff: TakeOff, view: View) -> list[tuple[float, float]]:
    """Middles of the squares that the piece covers; those deep behind it are left out, for nobody sees their shade."""
    across, down = (np.arange(0.5, size / CELL) * CELL for size in (view.width, view.height))
    covered = _behind_balloons(takeoff, view, (len(down), len(across)))
    x, y = (grid.ravel() for grid in np.meshgrid(across, down))
    for frame in takeoff.design.frames:
        if frame.is_filled:
            inside = is_inside(np.column_stack([x, y]), view.points(face(frame)))
            covered |= inside.reshape(covered.shape)
    seen = (covered & ~_deep(covered)).ravel()
    return list(zip(x[seen].tolist(), y[seen].tolist(), strict=True))


def _behind_balloons(takeoff: TakeOff, view: View, shape: tuple[int, int]) -> Squares:
    """Squares, rows of them from the top, whose middle is behind a balloon."""
    covered = np.zeros(shape, dtype=bool)
    b = takeoff.balloons
    if not len(b):
        return covered
    x, y = view.points(np.column_stack([b.x, b.y])).T
    r = b.radius * PX_PER_M
    reach = math.ceil(float(r.max()) / CELL)
    for rows in range(-reach, reach + 1):
        row = np.floor(y / CELL).astype(int) + rows
        for columns in range(-reach, reach + 1):
            column = np.floor(x / CELL).astype(int) + columns
            near = np.hypot((column + 0.5) * CELL - x, (row + 0.5) * CELL - y) < r
            near &= (row >= 0) & (row < shape[0]) & (column >= 0) & (column < shape[1])
            covered[row[near], column[near]] = True
    return covered


def _deep(covered: Squares) -> Squares:
    """Squares with nothing but covered ones round them, as far as a spot reaches."""
    rings = math.ceil(SPOT / CELL) + 1
    deep = np.pad(covered, 1)
    for _ in range(rings):
        inner = deep.copy()
        for step in (-1, 1):
            for axis in (0, 1):
                inner &= np.roll(deep, step, axis)
        deep = inner
    return deep[1:-1, 1:-1]
