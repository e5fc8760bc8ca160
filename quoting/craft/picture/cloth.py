"""Covers in the picture: stretched cloth with its weave, its sheen, a stitched seam, and wide folds at its hem."""

from __future__ import annotations

import math
from typing import Final

from quoting.craft.design.frames import Points
from quoting.craft.picture.drawing import PAPER_SHADE, WARM_DARK, many, mixed, short
from quoting.craft.picture.view import PX_PER_M

# Settings of the drawing, by eye.
HEM_FOLD_M: Final = 0.3
"""From one fold to the next along a hem that stands level on the floor."""
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
    """Draw what all covers share: the threads, the shade that grows towards the hem, and both sides of a fold.

    >>> weave("q-").count(" id=")
    4
    """
    return (
        f'<pattern id="{prefix}weave" width="4" height="4" patternUnits="userSpaceOnUse">'
        f'<path d="M0 1h4M0 3h4" stroke="{WARM_DARK}" stroke-width=".6" stroke-opacity=".07"/>'
        '<path d="M1 0v4M3 0v4" stroke="#ffffff" stroke-width=".7" stroke-opacity=".12"/></pattern>'
        f'<linearGradient id="{prefix}fall" x2="0" y2="1"><stop offset="0" stop-color="#ffffff" stop-opacity=".2"/>'
        f'<stop offset=".45" stop-color="{WARM_DARK}" stop-opacity="0"/>'
        f'<stop offset="1" stop-color="{WARM_DARK}" stop-opacity=".2"/></linearGradient>'
        f"{_fading(f'{prefix}dip', WARM_DARK, 0.11)}{_fading(f'{prefix}ridge', '#ffffff', 0.24)}"
    )


def cloth_svg(shape: str, outline: Points, gradient: str, tone: str, prefix: str) -> str:
    """Draw a cover over its closed outline, in drawing units; ``shape`` is the id of that outline's path."""
    used, edge = f'<use href="#{shape}"', mixed(tone, PAPER_SHADE, 0.4)
    return (
        f'{used} fill="{mixed(tone, PAPER_SHADE, 0.5)}" transform="translate({many(THICK, THICK * 0.3)})"/>'
        f'{used} fill="url(#{gradient})" stroke="{edge}" stroke-width="1"/>'
        f'{used} fill="url(#{prefix}fall)"/>{used} fill="url(#{prefix}weave)"/>'
        f"{_hem(outline, prefix)}{_seam(used, outline, tone)}"
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
        light += f"M{many(x + step * 0.42, edge + 4)}q{many(lean, high * 0.5, lean, high * 0.88)}h{short(step * 0.16)}z"
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


def _hem(outline: Points, prefix: str) -> str:
    """Soft folds that rise from a hem, where the cover stands level: a dip and a ridge beside it each."""
    lowest, top = float(outline[:, 1].max()), float(outline[:, 1].min())
    level = outline[outline[:, 1] > lowest - 1.0][:, 0]
    left, wide = float(level.min()), float(level.max() - level.min())
    count = round(wide / (HEM_FOLD_M * PX_PER_M))
    if count < 2:
        return ""
    step, drawn = wide / count, ""
    for k in range(count):
        x, up = (
            left + step * (k + 0.34 + 0.06 * math.sin(2.4 * k)),
            (lowest - top) * (0.24 + 0.06 * math.sin(1.7 * k)),
        )
        drawn += _soft(x, lowest - up, step * 0.26, up, f"{prefix}dip")
        drawn += _soft(x + step * 0.36, lowest - up * 0.9, step * 0.2, up * 0.9, f"{prefix}ridge")
    return drawn


def _soft(x: float, y: float, across: float, up: float, gradient: str) -> str:
    return f'<ellipse cx="{short(x)}" cy="{short(y)}" rx="{short(across)}" ry="{short(up)}" fill="url(#{gradient})"/>'


def _fading(name: str, tone: str, seen: float) -> str:
    return (
        f'<radialGradient id="{name}"><stop offset="0" stop-color="{tone}" stop-opacity="{seen:g}"/>'
        f'<stop offset="1" stop-color="{tone}" stop-opacity="0"/></radialGradient>'
    )
