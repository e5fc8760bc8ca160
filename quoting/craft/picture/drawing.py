"""Pieces of the picture in SVG: colours, shading, outlines, leaves. Presentation attributes only."""

from __future__ import annotations

import math
from functools import lru_cache

from quoting.craft.design.frames import Points
from quoting.craft.design.records import Floral
from quoting.craft.rigging.florals import Leaf

# Settings of the drawing.
DIGITS = 1
WARM_DARK = "#2a1e14"
PAPER_SHADE = "#5b4a36"


def short(value: float) -> str:
    """Write a number with one digit after the point, or none where it is whole.

    >>> short(12.34), short(3.0)
    ('12.3', '3')
    """
    shown = f"{value:.{DIGITS}f}"
    return shown.removesuffix(".0")


def many(*values: float) -> str:
    """Write several numbers, separated by blanks.

    >>> many(1.0, 2.55)
    '1 2.5'
    """
    return " ".join(map(short, values))


# A design has a handful of colours, and hundreds of leaves and rounds in them.
@lru_cache(maxsize=4096)
def mixed(colour: str, other: str, share: float) -> str:
    """Mix sRGB ``colour`` with ``share`` of ``other``; gives #rrggbb.

    >>> mixed("#000000", "#ffffff", 0.5)
    '#808080'
    """
    a, b = ([int(c[k : k + 2], 16) for k in (1, 3, 5)] for c in (colour, other))
    return "#" + "".join(f"{round(x + (y - x) * share):02x}" for x, y in zip(a, b, strict=True))


def lightness(colour: str) -> float:
    """Give the rough lightness 0 to 1 of an sRGB colour (Rec. 601 luma): how strong its shading must be.

    >>> round(lightness("#EFE6D6"), 2)
    0.91
    """
    r, g, b = (int(colour[k : k + 2], 16) for k in (1, 3, 5))
    return (0.299 * r + 0.587 * g + 0.114 * b) / 255


def balloon_gradient(name: str, colour: str) -> str:
    """Draw the shading of a latex round lit from the upper left."""
    light = lightness(colour) > 0.5
    glint = mixed(colour, "#ffffff", 0.92 if light else 0.62)
    near = mixed(colour, "#ffffff", 0.45 if light else 0.16)
    shade = mixed(colour, WARM_DARK, 0.26 if light else 0.34)
    rim = mixed(colour, WARM_DARK, 0.36 if light else 0.50)
    return (
        f'<radialGradient id="{name}" cx=".5" cy=".5" r=".52" fx=".34" fy=".28">'
        f'<stop offset="0" stop-color="{glint}"/><stop offset=".13" stop-color="{near}"/>'
        f'<stop offset=".5" stop-color="{colour}"/><stop offset=".86" stop-color="{shade}"/>'
        f'<stop offset="1" stop-color="{rim}"/></radialGradient>'
    )


def cloth_gradient(name: str, colour: str) -> str:
    """Draw the light across a stretched cover."""
    return (
        f'<linearGradient id="{name}"><stop offset="0" stop-color="{mixed(colour, PAPER_SHADE, 0.10)}"/>'
        f'<stop offset=".4" stop-color="{mixed(colour, "#ffffff", 0.35)}"/>'
        f'<stop offset="1" stop-color="{mixed(colour, PAPER_SHADE, 0.14)}"/></linearGradient>'
    )


def outline_path(points: Points, *, closed: bool) -> str:
    """The path of an outline in drawing units, thinned to what the eye can tell.

    >>> import numpy as np
    >>> outline_path(np.array([(0.0, 0.0), (10.0, 5.5)]), closed=False)
    'M0 0L10 5.5'
    """
    places: list[tuple[float, float]] = [(x, y) for x, y in points.tolist()]
    kept = places[:1]
    for before, here, after in zip(places, places[1:], places[2:], strict=False):
        a, b = (here[0] - before[0], here[1] - before[1]), (after[0] - here[0], after[1] - here[1])
        turn = abs(math.atan2(a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1]))
        if turn > 0.3 or (turn > 0.004 and math.dist(kept[-1], here) > 6.0):
            kept.append(here)
    kept.append(places[-1])
    steps = "L".join(many(x, y) for x, y in kept)
    return f"M{steps}{'Z' if closed else ''}"


def leaf_svg(leaf: Leaf, floral: Floral, x: float, y: float, px: float) -> str:
    """One leaf of greenery with its stem, or one pick or spray, at (x, y); ``px`` drawing units a metre."""
    size, colour = leaf.size_m * px, floral.hex
    if leaf.kind == "greenery":
        tint = mixed(colour, "#ffffff", 0.16) if leaf.angle % 1 > 0.5 else mixed(colour, "#14301c", 0.14)
        return _stem(x, y, leaf.stem[0] * px, -leaf.stem[1] * px, colour) + blade(
            x, y, leaf.angle, size, 0.30, tint
        )
    if floral.look == "bloom":
        return bloom(x, y, leaf.angle, size, colour)
    if floral.look == "plume":
        return plume(x, y, leaf.angle, size, colour)
    turns = (-0.7, -0.35, 0.0, 0.35, 0.7) if leaf.kind == "pick" else (-1.0, -0.6, -0.2, 0.2, 0.6, 1.0)
    return "".join(
        blade(
            x,
            y,
            leaf.angle + t,
            size * (1 - 0.3 * abs(t)),
            0.12,
            mixed(colour, "#ffffff", 0.05 + 0.12 * abs(t)),
        )
        for t in turns
    )


def blade(x: float, y: float, angle: float, size: float, breadth: float, colour: str) -> str:
    """Draw one leaf from (x, y) in a direction [rad]; ``breadth`` as a share of its length."""
    dx, dy = math.cos(angle) * size, -math.sin(angle) * size
    nx, ny = -dy * breadth, dx * breadth
    return (
        f'<path d="M{many(x, y)}q{many(dx * 0.45 + nx, dy * 0.45 + ny, dx, dy)}'
        f'q{many(-dx * 0.55 - nx, -dy * 0.55 - ny, -dx, -dy)}" fill="{colour}"/>'
    )


def bloom(x: float, y: float, angle: float, size: float, colour: str) -> str:
    """Draw a flower about (x, y)."""
    r = size * 0.42
    leaves = "".join(blade(x, y, angle + turn, size * 0.75, 0.24, "#7c9272") for turn in (2.2, -2.2))
    petals = "".join(
        f'<circle cx="{short(x + 0.5 * r * math.cos(angle + k * 1.2566))}" '
        f'cy="{short(y - 0.5 * r * math.sin(angle + k * 1.2566))}" r="{short(r * 0.62)}" '
        f'fill="{mixed(colour, "#ffffff" if k % 2 else WARM_DARK, 0.12)}"/>'
        for k in range(5)
    )
    heart = (
        f'<g transform="translate({many(x, y)})">'
        f'<circle r="{short(r * 0.5)}" fill="{mixed(colour, "#ffffff", 0.2)}"/>'
        f'<circle r="{short(r * 0.24)}" fill="{mixed(colour, WARM_DARK, 0.25)}"/></g>'
    )
    return leaves + petals + heart


def plume(x: float, y: float, angle: float, size: float, colour: str) -> str:
    """Draw a feathery head from (x, y) in a direction [rad]."""
    parts = []
    for k, turn in enumerate((-0.45, 0.4, -0.12, 0.14)):
        length = size * (0.78, 0.74, 1.0, 0.94)[k]
        parts.append(
            blade(x, y, angle + turn, length, 0.16, mixed(colour, "#ffffff", (0.0, 0.08, 0.2, 0.3)[k]))
        )
    return "".join(parts)


# Private


def _stem(x: float, y: float, dx: float, dy: float, colour: str) -> str:
    if not dx and not dy:
        return ""
    tone = mixed(colour, "#14301c", 0.3)
    return f'<path d="M{many(x, y)}l{many(dx, dy)}" stroke="{tone}" stroke-width="1.4"/>'
