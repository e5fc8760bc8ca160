"""How the colours of a set piece are laid, and which way round it is built. Pure."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from quoting.craft.design import PATTERNS, Design, DesignError, Fault
from quoting.craft.edit import mirrored

PATTERN_WORDS: Final = {
    "scatter": "scattered evenly",
    "ombre": "from one into the next",
    "bands": "in bands",
    "clusters": "in clusters",
    "spiral": "in a spiral",
}
COUNTED: Final = ("bands", "clusters", "spiral")
"""Patterns that repeat so many times."""
MOST_BANDS: Final = 60


def pattern_of(design: Design) -> tuple[str, int] | None:
    """Pattern and repeats of the first garland or wall; None where the design has neither."""
    for piece in (*design.garlands, *design.walls):
        return piece.pattern, piece.bands
    return None


def with_pattern(design: Design, pattern: str) -> Design:
    """All garlands and walls in one pattern. Raises ``DesignError`` at ``pattern``."""
    if pattern not in PATTERNS:
        raise DesignError([Fault("pattern", f"is not known; known are {', '.join(PATTERNS)}")])
    return replace(
        design,
        garlands=tuple(replace(garland, pattern=pattern) for garland in design.garlands),
        walls=tuple(replace(wall, pattern=pattern) for wall in design.walls),
    )


def with_bands(design: Design, bands: int) -> Design:
    """All garlands and walls with so many bands, clusters or turns. Raises ``DesignError`` at ``bands``."""
    if not 1 <= bands <= MOST_BANDS:
        raise DesignError([Fault("bands", f"is {bands}; allowed is 1 to {MOST_BANDS}")])
    return replace(
        design,
        garlands=tuple(replace(garland, bands=bands) for garland in design.garlands),
        walls=tuple(replace(wall, bands=bands) for wall in design.walls),
    )


def turned(design: Design, mirror: bool) -> Design:
    """The design as it is, or as its mirror image."""
    return mirrored(design) if mirror != design.mirrored else design
