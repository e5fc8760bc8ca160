"""Balloons of one size in another colour than designed: what is swapped after the design was agreed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from quoting.craft.design.records import PaletteColour
from quoting.craft.takeoff.takeoff import TakeOff


@dataclass(frozen=True, slots=True)
class ColourSwap:
    """Every balloon of one nominal size [inches] and colour in another colour."""

    size_in: int
    colour: str
    into: PaletteColour


def with_colours_swapped(takeoff: TakeOff, swaps: Iterable[ColourSwap]) -> TakeOff:
    """Give balloons their new colours where they were placed; nothing moves, and no other size changes.

    A colour that isn't in the palette yet is added with its share 0, since nothing was designed with it.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> made = take_off(load_design(STARTERS / "classic-arch.json"))
    >>> navy = PaletteColour(colour="navy", name="Navy", hex="#2A3D4E", share=0)
    >>> swapped = with_colours_swapped(made, [ColourSwap(11, "ink", navy)])
    >>> swapped.counts[11, "navy"] == made.counts[11, "ink"], (11, "ink") in swapped.counts
    (True, False)
    """
    wanted = {(swap.size_in, swap.colour): swap.into for swap in swaps}
    wanted = {key: into for key, into in wanted.items() if key in takeoff.counts}
    if not wanted:
        return takeoff
    palette = list(takeoff.design.palette)
    for into in wanted.values():
        if into.colour not in [colour.colour for colour in palette]:
            palette.append(replace(into, share=0.0))
    place = {colour.colour: index for index, colour in enumerate(palette)}
    before, after = takeoff.balloons.colour, takeoff.balloons.colour.copy()
    for (size_in, colour), into in wanted.items():
        if colour not in place:
            continue  # a balloon within others: counted, and not seen
        after[(takeoff.balloons.size_in == size_in) & (before == place[colour])] = place[into.colour]
    counts: dict[tuple[int, str], int] = {}
    for (size_in, colour), count in takeoff.counts.items():
        key = (size_in, wanted[size_in, colour].colour if (size_in, colour) in wanted else colour)
        counts[key] = counts.get(key, 0) + count
    return replace(
        takeoff,
        design=replace(takeoff.design, palette=tuple(palette)),
        balloons=replace(takeoff.balloons, colour=np.asarray(after)),
        counts=counts,
        allowance=takeoff.allowance.recoloured({key: into.colour for key, into in wanted.items()}),
    )
