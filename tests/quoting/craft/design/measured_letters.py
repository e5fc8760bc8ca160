"""Measures the letters of the product's fonts with fontTools; run as a module, it writes the table that the core reads.

``python -m tests.quoting.craft.design.measured_letters`` after a font was changed.
"""

from __future__ import annotations

import json
from pathlib import Path

from fontTools.ttLib import TTFont
from fontTools.varLib import instancer

from quoting.craft.design.letters import TABLE

FONTS = Path(__file__).parents[4] / "studio" / "static" / "studio" / "fonts"
FAMILIES = {"serif": "fraunces", "sans": "figtree"}
WEIGHT = 400.0
THOUSANDTHS = 1000


def measured() -> dict[str, dict[str, int]]:
    """Advance widths by font and letter, in thousandths of the font's size, at the weight that pages show."""
    return {font: _widths(family) for font, family in FAMILIES.items()}


def opened(family: str, part: str) -> TTFont:
    """One file of a family at the weight that pages show."""
    return instancer.instantiateVariableFont(TTFont(FONTS / f"{family}-{part}.woff2"), {"wght": WEIGHT})


def _widths(family: str) -> dict[str, int]:
    found: dict[str, int] = {}
    for part in ("latin-ext", "latin"):
        font = opened(family, part)
        size = font["head"].unitsPerEm
        found |= {
            chr(code): round(font["hmtx"][name][0] * THOUSANDTHS / size)
            for code, name in font.getBestCmap().items()
        }
    return {letter: found[letter] for letter in sorted(found) if letter.isprintable()}


def written(table: dict[str, dict[str, int]]) -> str:
    """The table as its file has it: letters of one width together, so that it is short."""
    fonts = {}
    for font, widths in table.items():
        by_width: dict[str, str] = {}
        for letter, width in widths.items():
            by_width[str(width)] = by_width.get(str(width), "") + letter
        fonts[font] = dict(sorted(by_width.items(), key=lambda one: int(one[0])))
    return json.dumps(fonts, indent=1, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    TABLE.write_text(written(measured()), encoding="utf-8")
