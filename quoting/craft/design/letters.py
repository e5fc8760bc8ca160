"""How wide words are in the product's own fonts.

Advance widths stand in a table that was measured from the font files; kerning is left out, which is a few parts in a
hundred. Letters of other scripts are reckoned by what they usually take.
"""

from __future__ import annotations

import json
import unicodedata
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
WIDE, USUAL, MARK = 1.0, 0.6, 0.0
"""Widths of letters that the table lacks: those of a full square, any other, and marks over a letter. Setting."""


def text_width(text: str, font: str) -> float:
    """How wide words are, over the size of their font ("serif" or "sans").

    >>> round(text_width("Mara", "serif"), 2), text_width("花", "sans")
    (2.43, 1.0)
    """
    widths = _widths(font)
    return sum(widths[letter] if letter in widths else _reckoned(letter) for letter in text)


def sign_font_m(sign: Sign) -> float:
    """The size of a sign's font [m], so that its words fill the sign."""
    return min(sign.height_m * 0.72, sign.width_m / max(len(sign.text), 1) * 1.9)


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


def _reckoned(letter: str) -> float:
    if unicodedata.combining(letter) or unicodedata.category(letter) in ("Mn", "Me", "Cf"):
        return MARK
    return WIDE if unicodedata.east_asian_width(letter) in ("W", "F") else USUAL
