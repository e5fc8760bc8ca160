"""Pieces of the picture in SVG: numbers, colours, outlines. Presentation attributes only."""

from __future__ import annotations

import math
from functools import lru_cache

from quoting.craft.design.frames import Points

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


def placed_round(name: str, x: float, y: float, r: float) -> str:
    """Place the round of a colour, drawn once about the origin, with its middle at (x, y).

    >>> placed_round("b0", 12.34, 5.0, 20.06)
    '<use href="#b0" transform="translate(12.3 5)scale(20.1)"/>'
    """
    return f'<use href="#{name}" transform="translate({round(x, 1):g} {round(y, 1):g})scale({r:.3g})"/>'


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
