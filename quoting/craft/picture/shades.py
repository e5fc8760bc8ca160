"""The shade that a set piece throws: on the floor where it stands, and on the wall behind it."""

from __future__ import annotations

from typing import Final

import numpy as np

from quoting.craft.design.boxes import thing_boxes
from quoting.craft.design.frames import outline
from quoting.craft.picture.drawing import WARM_DARK, many, short
from quoting.craft.picture.room import FLOOR_LINE
from quoting.craft.picture.view import PX_PER_M, View
from quoting.craft.takeoff.takeoff import TakeOff

# Settings of the drawing.
GROUND_BELOW_M: Final = 0.6  # a balloon that hangs higher than this throws no shade on the floor
SOFT: Final = ((40, 0.03), (26, 0.035), (13, 0.04), (1, 0.045))
"""How broad the shade on the wall is beyond what throws it, and how much of it is seen."""
ALIKE: Final = (0.4, 0.92, 1.0)
"""Balloons whose shade is drawn equally large: between these shares of all, by their size; the smallest throw none."""


def ground_gradient(prefix: str) -> str:
    """Draw the soft shade that lies on the floor."""
    return (
        f'<radialGradient id="{prefix}ground">'
        f'<stop offset="0" stop-color="{WARM_DARK}" stop-opacity=".42"/>'
        f'<stop offset=".55" stop-color="{WARM_DARK}" stop-opacity=".18"/>'
        f'<stop offset="1" stop-color="{WARM_DARK}" stop-opacity="0"/></radialGradient>'
    )


def shade_svg(takeoff: TakeOff, view: View, *, on_the_wall: bool = True) -> str:
    """Draw the shade that the piece throws: on the floor where it stands, on the wall behind a little to the right.

    The wall's shade is one path, drawn a few times ever broader: a dot for each balloon that is large enough to tell,
    and the outlines of what is covered.
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
    """Dots for balloons and outlines of covers, moved away from the light by as much as the wall is behind them."""
    site = takeoff.design.site
    dots = _dots(takeoff, view)
    sheets = [k for k, frame in enumerate(takeoff.design.frames) if frame.is_filled]
    if site.outdoors or not (dots or sheets):
        return ""
    away = 12 + min(site.wall_gap_m, 0.6) * 26
    paths = "".join(f'<path id="{view.prefix}w{k}" d="{path}"/>' for k, (_, path) in enumerate(dots))
    thrown = {f"{view.prefix}w{k}": breadth for k, (breadth, _) in enumerate(dots)}
    thrown |= {f"{view.prefix}o{k}": 0.0 for k in sheets}
    return (
        f'<defs>{paths}<clipPath id="{view.prefix}wall"><rect x="-4000" y="-4000" width="12000" '
        f'height="{short(view.y(0.0) - FLOOR_LINE + 4000)}"/></clipPath></defs><g clip-path="url(#{view.prefix}wall)">'
        f'<g transform="translate({many(away, away * 0.9)})" fill="{WARM_DARK}" stroke="{WARM_DARK}" '
        'stroke-linecap="round" stroke-linejoin="round">'
        + "".join(_cast(thrown, more, seen) for more, seen in SOFT)
        + "</g></g>"
    )


def _cast(thrown: dict[str, float], more: float, seen: float) -> str:
    """Everything on the wall once, so much broader: shapes by name, with the breadth of their line."""
    drawn = "".join(
        f'<use href="#{name}" stroke-width="{short(max(breadth + more, 0))}"/>'
        for name, breadth in thrown.items()
    )
    return f'<g stroke-opacity="{seen:g}" fill-opacity="{seen:g}">{drawn}</g>'


def _dots(takeoff: TakeOff, view: View) -> list[tuple[float, str]]:
    """Breadth and path of dots for the larger balloons, in three sizes."""
    b = takeoff.balloons
    if not len(b):
        return []
    found = []
    edges = np.quantile(b.radius, ALIKE)
    for low, high in zip((edges[0] - 1e-9, *edges[1:-1]), edges[1:], strict=True):
        mine = (b.radius > low) & (b.radius <= high)
        if not mine.any():
            continue
        path = "".join(
            f"M{view.x(x):.0f} {view.y(y):.0f}h0"
            for x, y in zip(b.x[mine].tolist(), b.y[mine].tolist(), strict=True)
        )
        found.append((2 * PX_PER_M * float(b.radius[mine].mean()), path))
    return found
