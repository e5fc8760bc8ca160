"""Words as shapes: the outlines of the product's own fonts, which look the same wherever a picture is shown."""

from __future__ import annotations

from functools import cache, lru_cache
from pathlib import Path
from typing import Final

from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.pens.transformPen import TransformPen
from fontTools.ttLib import TTFont

# Settings.
FOLDER: Final = Path(__file__).resolve().parents[3] / "studio" / "static" / "studio" / "pdf"
FILES: Final = {"serif": "fraunces-600.ttf", "sans": "figtree-650.ttf"}
EM: Final = 500
"""What the size of a font counts in a path, so that whole numbers are fine enough (setting)."""


@lru_cache(maxsize=64)
def word_shape(text: str, font: str) -> tuple[str, float]:
    """Give the outlines of words as the path of one SVG shape, their line at y = 0 and their start at x = 0, and how
    far they reach, in parts of EM; letters that the font lacks are left out.

    >>> path, wide = word_shape("fifty", "serif")
    >>> path[0], 0.3 * EM < wide < 3 * EM
    ('M', True)
    """
    file = _font(font)
    known, glyphs, widths = file.getBestCmap(), file.getGlyphSet(), file["hmtx"]
    share = EM / float(file["head"].unitsPerEm)
    pen, start = SVGPathPen(glyphs, ntos=lambda value: f"{value:.0f}"), 0.0
    for letter in text:
        name = known.get(ord(letter))
        if name is None:
            continue
        glyphs[name].draw(TransformPen(pen, (share, 0, 0, -share, start, 0)))
        start += float(widths[name][0]) * share
    return pen.getCommands(), start


def is_known(text: str, font: str) -> bool:
    """Tell whether the font has every letter.

    >>> is_known("Mara", "sans"), is_known("花", "sans")
    (True, False)
    """
    known = _font(font).getBestCmap()
    return all(ord(letter) in known for letter in text)


# Private


@cache
def _font(font: str) -> TTFont:
    return TTFont(FOLDER / FILES[font])
