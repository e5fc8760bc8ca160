"""Double-stuffed rounds: a balloon within another of its size, both counted, inflated and billed."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace

import numpy as np

from quoting.craft.design.records import Design, PaletteColour
from quoting.craft.design.things import DOUBLE_STUFFED
from quoting.craft.takeoff.balloons import Balloons


def every_colour(design: Design) -> tuple[PaletteColour, ...]:
    """List the colours of all latex: the palette, then inner colours that it lacks.

    >>> oat = PaletteColour(
    ...     colour="oat", name="Oat", hex="#EFE6D6", share=1, finish="double-stuffed", inner="plum",
    ...     inner_name="Plum", inner_hex="#5A2A4A",
    ... )
    >>> [colour.name for colour in every_colour(Design(version=2, name="Deep", palette=(oat,)))]
    ['Oat', 'Plum']
    """
    known = {colour.colour: colour for colour in design.palette}
    for colour in design.palette:
        if colour.finish == DOUBLE_STUFFED:
            inner = PaletteColour(
                colour=colour.inner, name=colour.inner_name, hex=colour.inner_hex, share=0.0
            )
            known.setdefault(colour.inner, inner)
    return tuple(known.values())


def inner_colours(design: Design) -> dict[int, int]:
    """Give for each double-stuffed colour the one within it, both by their place in :func:`every_colour`."""
    places = {colour.colour: k for k, colour in enumerate(every_colour(design))}
    return {
        k: places[colour.inner] for k, colour in enumerate(design.palette) if colour.finish == DOUBLE_STUFFED
    }


def stuffed(design: Design, balloons: Balloons) -> Balloons:
    """Put into every balloon of a double-stuffed colour the one that the palette has within it."""
    inner = inner_colours(design)
    within = np.array([inner.get(k, -1) for k in range(len(design.palette))], np.int64)
    return replace(balloons, inner=within[balloons.colour])


def shown_names(design: Design, balloons: Balloons) -> dict[tuple[int, int], str]:
    """Name each size [in] and colour of the palette as a crew makes it: "Oat over plum" where it is double-stuffed,
    "Oat, some over plum" where only some are, because others were swapped into that colour."""
    colours = every_colour(design)
    within: dict[tuple[int, int], list[int]] = defaultdict(list)
    columns = np.column_stack([balloons.size_in, balloons.colour, balloons.inner])
    for size, colour, inner in np.unique(columns, axis=0).tolist():
        within[size, colour].append(inner)
    return {
        (size, colour): _over(colours[colour].name, [colours[k].name for k in inner if k >= 0], -1 in inner)
        for (size, colour), inner in within.items()
    }


def shown_within(design: Design, balloons: Balloons) -> dict[int, str]:
    """Give the sRGB colour that shows through each colour of the palette: of what most of its balloons have within, or,
    where it has no balloon, of what the palette puts there."""
    colours = every_colour(design)
    shown = {k: colours[inner].hex for k, inner in inner_colours(design).items()}
    for k in np.unique(balloons.colour).tolist():
        most = int(np.bincount(balloons.inner[balloons.colour == k] + 1).argmax()) - 1
        shown[k] = colours[most].hex if most >= 0 else ""
    return shown


# Private


def _over(name: str, within: list[str], some: bool) -> str:
    if not within:
        return name
    return f"{name}{', some' if some else ''} over {' or '.join(one.lower() for one in within)}"
