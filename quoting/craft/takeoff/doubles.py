"""Double-stuffed rounds: a balloon within another of its size, both counted, inflated and billed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from quoting.craft.design.records import Design, PaletteColour
from quoting.craft.design.things import DOUBLE_STUFFED
from quoting.craft.takeoff.balloons import BALLOON_ROLES, Balloons

INNER = BALLOON_ROLES.index("inner")


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


def shown_name(design: Design, place: int) -> str:
    """Name a colour of the palette as a crew makes it: "Oat over plum" where it is double-stuffed."""
    inner = inner_colours(design).get(place)
    name = design.palette[place].name
    return name if inner is None else f"{name} over {every_colour(design)[inner].name.lower()}"


def with_inner(design: Design, balloons: Balloons) -> Balloons:
    """Add the balloons within others; ``colour`` counts through :func:`every_colour` then."""
    inner = inner_colours(design)
    stuffed = np.isin(balloons.colour, list(inner))
    if not stuffed.any():
        return balloons
    within = balloons.chosen(stuffed)
    return balloons.joined(
        replace(
            within,
            colour=np.array([inner[colour] for colour in within.colour.tolist()], np.int64),
            role=np.full(len(within), INNER, np.int64),
        )
    )
