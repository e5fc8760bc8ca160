"""The colors that a client wishes, in their words, as a palette of what the studio has."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from PIL import ImageColor

from quoting.craft.change.palette import placed_colours, with_palette
from quoting.craft.design.records import Design, PaletteColour
from studio.trade.colour_difference import nearest_colours

COMMON: Final = {
    "blush": "#EBCFC6", "burgundy": "#6D1F33", "champagne": "#EAD9BC", "cream": "#F2E8D5", "dusty rose": "#CFA29B",
    "forest": "#2F4F3A", "mint": "#BFDCC8", "mustard": "#D8A531", "peach": "#F2C3A2", "rust": "#A4553F",
    "sage": "#A9B79B", "terracotta": "#B7623F",
}  # fmt: skip
"""Words for colors that clients use and CSS doesn't know, with an sRGB code. Common practice, no source."""
FARTHEST: Final = 18.0
"""CIEDE2000: what is farther from the word is another color to most people (setting, by eye)."""
LEAST: Final = 2
"""One color alone says too little to leave all others out."""
BETWEEN: Final = re.compile(r"\s*(?:,|;|/|\+|&|\band\b|\bund\b|\bwith\b|\bmit\b)\s*", re.IGNORECASE)
AROUND: Final = re.compile(
    r"^(?:a |some |a bit of |touch of |soft |lots of )+|\s+(?:balloons?|ballons?|colou?rs?|tones?|accents?)$",
    re.IGNORECASE,
)
"""Words around a color that say nothing of it."""

Colours = Mapping[str, tuple[str, str]]
"""Name and sRGB of the studio's colors by their code."""


def find_wished(words: str, colours: Colours) -> list[str]:
    """Codes of the studio's colors that the words name, in their order; a word that names none is passed over.

    A studio's own name comes first, then the color that is nearest to a common or a CSS color word.

    >>> own = {"sage": ("Sage", "#A9B79B"), "oat": ("Oat", "#EFE6D6"), "ink": ("Ink", "#2E4454")}
    >>> find_wished("sage and cream", own), find_wished("Navy, something festive", own)
    (['sage', 'oat'], ['ink'])
    """
    found = [_code_of(AROUND.sub("", word).strip().casefold(), colours) for word in BETWEEN.split(words)]
    return list(dict.fromkeys(code for code in found if code))


def with_wished(design: Design, words: str, colours: Colours) -> Design:
    """The design in the colors that the words name, each with the share of the one in its place.

    Unchanged where the words name fewer than two.
    """
    codes = find_wished(words, colours)
    if len(codes) < LEAST:
        return design
    placed = placed_colours(design)
    # What is drawn or placed in a color comes first: a word on a wall stays legible.
    by_weight = sorted(design.palette, key=lambda colour: (colour.colour not in placed, -colour.share))
    shares = [colour.share for colour in by_weight[: len(codes)] if colour.share > 0] or [1.0]
    shares += [min(shares)] * (len(codes) - len(shares))
    whole = sum(shares)
    palette = [
        PaletteColour(colour=code, name=colours[code][0], hex=colours[code][1], share=share / whole)
        for code, share in zip(codes, shares, strict=True)
    ]
    renamed = {old.colour: code for old, code in zip(by_weight, codes, strict=False)}
    return with_palette(design, _adding_up(palette), renamed)


# Private


def _code_of(word: str, colours: Colours) -> str:
    for code, (name, _) in colours.items():
        if word and word in (name.casefold(), code):
            return code
    wanted = COMMON.get(word) or _css(word)
    if not wanted or not colours:
        return ""
    codes = list(colours)
    (best,) = nearest_colours(wanted, [colours[code][1] for code in codes])
    return codes[best.index] if best.difference <= FARTHEST else ""


def _css(word: str) -> str:
    """The sRGB code of a CSS color word (CSS Color Module Level 4), as Pillow lists them."""
    found = ImageColor.colormap.get(word.replace(" ", ""))
    return found if isinstance(found, str) and len(found) == len("#rrggbb") else ""


def _adding_up(palette: list[PaletteColour]) -> list[PaletteColour]:
    """Shares in hundredths that add up to 1: the first takes what rounding leaves."""
    rounded = [replace(colour, share=round(colour.share, 2)) for colour in palette]
    rest = round(1 - sum(colour.share for colour in rounded[1:]), 2)
    return [replace(rounded[0], share=rest), *rounded[1:]]
