"""How wide words are in the product's own fonts.

Advance widths stand in a table that was measured from the font files; kerning is left out, which is a few parts in a
hundred. Letters of other scripts are reckoned by what they usually take.
"""

from __future__ import annotations

import json
import unicodedata
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Final

from quoting.craft.design.faults import Fault, FaultCode
from quoting.craft.design.records import Design, Sign
from quoting.craft.design.things import Lettering

TABLE: Final = Path(__file__).with_name("letter_widths.json")
"""Letters by font and advance width, in thousandths of the font's size."""
CAPITAL: Final = 0.7
"""Height of a capital letter as a share of the font's size. Source: the field sCapHeight of both font files."""
SLANT: Final = 0.21  # setting
"""How far a slanted letter leans over its height, as browsers slant a font without an italic of its own."""
LOW_LETTERS: Final = frozenset("acegmnopqrsuvwxyz")
STANDING: Final = frozenset("ABCDEFGHIJKLMNOPRSTUVWXYZabcdefhiklmnorstuvwxz0123456789!?.&' -+")
"""Letters that hardly go below their line."""
LOW, HIGH, MARKED, HIGHEST = 0.55, 0.8, 0.95, 1.2
"""How far letters go above their line, over the font's size: low ones, others of English and low ones with a mark, tall
ones with a mark, and any other. Source: the outlines of the serif font's file, rounded up."""
DEEP, HARDLY = 0.35, 0.02
"""How far letters go below their line. Source: as above."""
UNDER: Final = (202, 220)
"""Combining classes of marks that stand under their letter. Source: Unicode Standard Annex 44, table 15."""
FILLED: Final = 0.97
"""Share of a sign that its words fill (setting)."""
WIDE, USUAL, MARK = 1.0, 0.6, 0.0
"""Widths of letters that the table lacks: those of a full square, any other, and marks over a letter. Setting."""


def text_width(text: str, font: str) -> float:
    """How wide words are, over the size of their font ("serif" or "sans").

    >>> round(text_width("Mara", "serif"), 2), text_width("花", "sans")
    (2.43, 1.0)
    """
    widths = _widths(font)
    return sum(widths[letter] if letter in widths else _reckoned(letter) for letter in text)


@dataclass(frozen=True, slots=True)
class SignLetters:
    """How a sign's words are set: the size of their font, and how far below the sign's middle they stand [m]."""

    size_m: float
    line_m: float


def sign_letters(sign: Sign) -> SignLetters:
    """Set a sign's words so that they fill it: as wide or as high as goes, their ink in its middle.

    >>> hello = Sign(item="s", label="Sign", text="hello", width_m=0.9, height_m=0.3, x_m=0, y_m=1.4)
    >>> round(sign_letters(hello).size_m, 3)
    0.328
    """
    above, below = (max(map(reach, sign.text), default=HIGHEST) for reach in (_above, _below))
    wide = text_width(sign.text, "serif") + 2 * SLANT * above
    size = FILLED * min(sign.width_m / wide, sign.height_m / (above + below))
    return SignLetters(size, size * (above - below) / 2)


def lettering_width_m(lettering: Lettering) -> float:
    """How wide a lettering is [m].

    >>> words = Lettering(id="w", text="Mara", height_m=0.07, x_m=0, y_m=1, frame="panel")
    >>> round(lettering_width_m(words), 3)
    0.243
    """
    return text_width(lettering.text, lettering.font) * lettering.height_m / CAPITAL


def lettering_faults(design: Design) -> list[Fault]:
    """List the words that are wider than the frame that they are put on.

    These are faults of a change or of a new file: a design that was kept before still reads.
    """
    wide = {frame.id: frame.width_m for frame in design.frames}
    found = [(k, lettering_width_m(one), wide.get(one.frame)) for k, one in enumerate(design.letterings)]
    return [
        Fault(code=FaultCode.WORDS_TOO_WIDE, field=f"letterings[{k}].text", found=width, high=room)
        for k, width, room in found
        if room is not None and width > room + 1e-6
    ]


# Private


@cache
def _widths(font: str) -> dict[str, float]:
    table = json.loads(TABLE.read_text(encoding="utf-8"))
    return {letter: int(width) / 1000 for width, letters in table[font].items() for letter in letters}


def _above(letter: str) -> float:
    """How far a letter of the serif font goes above its line, over the font's size."""
    base, *marks = tuple(unicodedata.normalize("NFD", letter))
    if not base.isascii() or len(marks) > 1:
        return HIGHEST
    if not marks:
        return LOW if base in LOW_LETTERS else HIGH
    return HIGH if base in LOW_LETTERS else MARKED


def _below(letter: str) -> float:
    base, *marks = tuple(unicodedata.normalize("NFD", letter))
    is_standing = base in STANDING and not any(unicodedata.combining(mark) in UNDER for mark in marks)
    return HARDLY if is_standing else DEEP


def _reckoned(letter: str) -> float:
    if unicodedata.combining(letter) or unicodedata.category(letter) in ("Mn", "Me", "Cf"):
        return MARK
    return WIDE if unicodedata.east_asian_width(letter) in ("W", "F") else USUAL
