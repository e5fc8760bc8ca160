"""Another palette for a design: what names a colour, or counts its place, goes with it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from quoting.craft.design.records import DRAWN, ZONED, Design, PaletteColour, Wall
from quoting.craft.design.things import DOUBLE_STUFFED


def with_palette(
    design: Design, palette: Iterable[PaletteColour], renamed: Mapping[str, str] | None = None
) -> Design:
    """Give the design another palette. ``renamed``: codes of colours that go by another one from now on.

    Rounds, zones and drawn walls whose colour is gone take the first one; a colour within another keeps its look.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "table-garland.json")
    >>> [one.colour for one in with_palette(design, design.palette[:2]).palette]
    ['pearl', 'sage']
    """
    new, names = tuple(palette), renamed or {}
    codes = [colour.colour for colour in new]

    def now(code: str) -> str:
        wanted = names.get(code, code)
        return wanted if wanted in codes else codes[0]

    before = {colour.colour: colour for colour in design.palette}
    return replace(
        design,
        palette=tuple(_with_inner(colour, before, codes, names) for colour in new),
        rounds=tuple(replace(one, colour=now(one.colour)) for one in design.rounds),
        garlands=tuple(
            replace(one, zones=tuple(replace(zone, colour=now(zone.colour)) for zone in one.zones))
            if one.zones
            else one
            for one in design.garlands
        ),
        walls=tuple(_redrawn(wall, [codes.index(now(colour)) for colour in before]) for wall in design.walls),
    )


def placed_colours(design: Design) -> set[str]:
    """Name the colours that single rounds, zones, drawn walls and double-stuffed colours need, whatever their share.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> placed_colours(load_design(STARTERS / "table-garland.json"))
    set()
    """
    codes = [colour.colour for colour in design.palette]
    marks = {mark for wall in design.walls if wall.pattern == DRAWN for row in wall.grid for mark in row}
    within = {colour.inner for colour in design.palette if colour.finish == DOUBLE_STUFFED}
    zones = {zone.colour for one in design.garlands if one.pattern == ZONED for zone in one.zones}
    return {one.colour for one in design.rounds} | zones | {codes[int(mark, 16)] for mark in marks} | within


# Private


def _with_inner(
    colour: PaletteColour, before: Mapping[str, PaletteColour], codes: list[str], names: Mapping[str, str]
) -> PaletteColour:
    """A double-stuffed colour with what is in it now; where the palette lost that, by a name and look of its own."""
    if colour.finish != DOUBLE_STUFFED:
        return colour
    inner = names.get(colour.inner, colour.inner)
    if inner in codes:
        return replace(colour, inner=inner, inner_name="", inner_hex="")
    if inner in before:
        return replace(colour, inner=inner, inner_name=before[inner].name, inner_hex=before[inner].hex)
    return colour


def _redrawn(wall: Wall, places: list[int]) -> Wall:
    """A drawn wall whose marks are the places that their colours have now."""
    marks = str.maketrans({f"{k:x}": f"{place:x}" for k, place in enumerate(places)})
    return replace(wall, grid=tuple(row.translate(marks) for row in wall.grid))
