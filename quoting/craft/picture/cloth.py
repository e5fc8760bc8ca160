"""Covers in the picture: stretched cloth with its weave, its sheen, a stitched seam, and folds where it is gathered."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from quoting.craft.design.frames import Points
from quoting.craft.picture.drawing import PAPER_SHADE, WARM_DARK, many, mixed, short
from quoting.craft.picture.view import PX_PER_M

# Settings of the drawing, by eye.
GOLDEN: Final = 0.6180339887498949  # golden section, exact
FOLD_M: Final = 0.12
"""From one fold to the next along the rim of a cover."""
SHORT_M, LONG_M = 0.05, 0.22
"""How far folds reach from the rim at most: about the sides, and from the hem that stands on the floor."""
DRAPE_M: Final = 0.14
"""From one fold of a table cloth to the next."""
SEAM_M: Final = 0.03
"""From the rim to the stitched seam."""
THICK: Final = 4.0
"""How much of the side of a covered frame is seen, in drawing units."""


def cloth_gradient(name: str, colour: str) -> str:
    """Draw the light across a stretched cover, which turns away round the tube at both sides.

    >>> cloth_gradient("c0", "#C9CDB9").count("<stop")
    6
    """
    stops = (
        (0.0, mixed(colour, PAPER_SHADE, 0.34)), (0.03, mixed(colour, PAPER_SHADE, 0.06)),
        (0.3, mixed(colour, "#ffffff", 0.42)), (0.6, mixed(colour, "#ffffff", 0.06)),
        (0.965, mixed(colour, PAPER_SHADE, 0.16)), (1.0, mixed(colour, PAPER_SHADE, 0.42)),
    )  # fmt: skip
    drawn = "".join(f'<stop offset="{place:g}" stop-color="{tone}"/>' for place, tone in stops)
    return f'<linearGradient id="{name}">{drawn}</linearGradient>'


def weave(prefix: str) -> str:
    """Draw what all covers share: the threads, and the shade that grows towards the hem.

    >>> weave("q-").count(" id=")
    2
    """
    return (
        f'<pattern id="{prefix}weave" width="4" height="4" patternUnits="userSpaceOnUse">'
        f'<path d="M0 1h4M0 3h4" stroke="{WARM_DARK}" stroke-width=".6" stroke-opacity=".07"/>'
        '<path d="M1 0v4M3 0v4" stroke="#ffffff" stroke-width=".7" stroke-opacity=".12"/></pattern>'
        f'<linearGradient id="{prefix}fall" x2="0" y2="1"><stop offset="0" stop-color="#ffffff" stop-opacity=".2"/>'
        f'<stop offset=".45" stop-color="{WARM_DARK}" stop-opacity="0"/>'
        f'<stop offset="1" stop-color="{WARM_DARK}" stop-opacity=".2"/></linearGradient>'
    )


def cloth_svg(shape: str, outline: Points, gradient: str, tone: str, prefix: str) -> str:
    """Draw a cover over its closed outline, in drawing units; ``shape`` is the id of that outline's path."""
    used, edge = f'<use href="#{shape}"', mixed(tone, PAPER_SHADE, 0.4)
    return (
        f'{used} fill="{mixed(tone, PAPER_SHADE, 0.5)}" transform="translate({many(THICK, THICK * 0.3)})"/>'
        f'{used} fill="url(#{gradient})" stroke="{edge}" stroke-width="1"/>'
        f'{used} fill="url(#{prefix}fall)"/>{used} fill="url(#{prefix}weave)"/>'
        f"{_folds(outline)}{_seam(used, outline, tone)}"
    )


def draped_svg(
    left: float, top: float, wide: float, high: float, tone: str, gradient: str, prefix: str
) -> str:
    """Draw a table cloth: the top as it is seen a little from above, and the fall in even folds down to its hem."""
    lid = min(high * 0.07, 11.0)
    edge, foot = top + lid, top + high
    folds = max(4, round(wide / (DRAPE_M * PX_PER_M)))
    step = wide / folds
    hem = "".join(f"q{many(-step / 2, 3.2 if k % 2 else 1.2, -step, 0)}" for k in range(folds))
    fall = f"M{many(left, edge)}H{short(left + wide)}V{short(foot - 2)}{hem}Z"
    dark, light = "", ""
    for k in range(folds):
        x, lean = left + step * (k + 0.35 + 0.2 * math.sin(2.4 * k)), step * 0.12 * math.sin(1.7 * k)
        down = many(lean, high * 0.5, lean - step * 0.2, high * 0.84)
        dark += f"M{many(x, edge + high * 0.1)}q{down}h{short(step * 0.34)}z"
        light += f"M{many(x + step * 0.3, edge + 4)}q{many(lean, high * 0.5, lean, high * 0.88)}h{short(step * 0.16)}z"
    return (
        f'<path d="M{many(left + lid * 1.4, top)}H{short(left + wide - lid * 1.4)}L{many(left + wide, edge)}'
        f'H{short(left)}Z" fill="{mixed(tone, "#ffffff", 0.5)}"/>'
        f'<path d="{fall}" fill="url(#{gradient})"/><path d="{dark}" fill="{WARM_DARK}" fill-opacity=".09"/>'
        f'<path d="{light}" fill="#ffffff" fill-opacity=".3"/>'
        f'<path d="M{many(left, edge)}H{short(left + wide)}v5H{short(left)}Z" fill="{WARM_DARK}" fill-opacity=".07"/>'
        f'<path d="{fall}" fill="url(#{prefix}weave)"/>'
    )


# Private


def _seam(used: str, outline: Points, tone: str) -> str:
    """A row of stitches beside the rim: the outline, drawn in about its middle."""
    low, high = outline.min(axis=0), outline.max(axis=0)
    middle, size = (low + high) / 2, high - low
    if float(size.min()) < 8 * SEAM_M * PX_PER_M:
        return ""
    sx, sy = (1 - 2 * SEAM_M * PX_PER_M / size).tolist()
    x, y = middle.tolist()
    return (
        f'{used} transform="translate({many(x * (1 - sx), y * (1 - sy))})scale({sx:.4f} {sy:.4f})" fill="none" '
        f'stroke="{mixed(tone, WARM_DARK, 0.4)}" stroke-opacity=".4" stroke-width="1" stroke-dasharray="3.4 2.6"/>'
    )


def _folds(outline: Points) -> str:
    """Slim wedges from the rim inwards, a dark and a light side each: short ones about the sides, long ones from a hem
    that lies level below."""
    places, inwards = _along(outline)
    lowest = float(outline[:, 1].max())
    dark, light = [], []
    for k, ((x, y), (nx, ny)) in enumerate(zip(places.tolist(), inwards.tolist(), strict=True)):
        share = k * GOLDEN % 1
        from_hem = ny < -0.9 and lowest - y < 6
        reach = (LONG_M * (0.3 + 0.7 * share) if from_hem else SHORT_M * (0.4 + 0.6 * share)) * PX_PER_M
        broad = 2.4 + (7.0 if from_hem else 1.6) * share
        dark.append(_wedge(x, y, nx, ny, reach, broad))
        if from_hem:
            light.append(_wedge(x + broad * 1.3, y, nx, ny, reach * 0.8, broad))
    return (
        f'<path d="{"".join(dark)}" fill="{WARM_DARK}" fill-opacity=".05"/>'
        f'<path d="{"".join(light)}" fill="#ffffff" fill-opacity=".12"/>'
    )


def _wedge(x: float, y: float, nx: float, ny: float, reach: float, broad: float) -> str:
    """From a place on the rim inwards, ``broad`` to both sides there and pointed at its end."""
    ax, ay = -ny * broad, nx * broad
    steps = (ax + nx * reach * 0.4, ay + ny * reach * 0.4, ax + nx * reach, ay + ny * reach)
    back = (-nx * reach * 0.6, -ny * reach * 0.6, ax - nx * reach, ay - ny * reach)
    return f"M{x - ax:.0f} {y - ay:.0f}q{many(*steps)}q{many(*back)}z"


def _along(outline: Points) -> tuple[Points, Points]:
    """Places along a closed outline and the way inwards at each."""
    following = np.roll(outline, -1, axis=0)
    steps = np.hypot(*(following - outline).T)
    ends = np.concatenate([[0.0], np.cumsum(steps)])
    count = max(8, math.floor(float(ends[-1]) / (FOLD_M * PX_PER_M)))
    at = (np.arange(count) + 0.5 + 0.36 * np.sin(2.4 * np.arange(count))) * float(ends[-1]) / count
    closed = np.concatenate([outline, outline[:1]])
    places = np.column_stack([np.interp(at, ends, closed[:, axis]) for axis in (0, 1)])
    before = np.column_stack([np.interp(at - 0.5, ends, closed[:, axis]) for axis in (0, 1)])
    along = places - before
    along /= np.maximum(np.hypot(*along.T), 1e-9)[:, None]
    turn = float(np.sum(outline[:, 0] * following[:, 1] - following[:, 0] * outline[:, 1]))
    inwards = np.column_stack([-along[:, 1], along[:, 0]]) * (1 if turn > 0 else -1)
    return places, inwards
