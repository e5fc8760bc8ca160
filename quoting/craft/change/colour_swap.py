"""Balloons of one size in another colour than designed: what is swapped after the design was agreed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from quoting.craft.design.records import Design, PaletteColour
from quoting.craft.takeoff.balloons import Index
from quoting.craft.takeoff.doubles import every_colour
from quoting.craft.takeoff.spares import Key
from quoting.craft.takeoff.takeoff import TakeOff


@dataclass(frozen=True, slots=True)
class ColourSwap:
    """Every balloon of one nominal size [inches] and colour in another colour."""

    size_in: int
    colour: str
    into: PaletteColour


def with_colours_swapped(takeoff: TakeOff, swaps: Iterable[ColourSwap]) -> TakeOff:
    """Give balloons their new colours where they were placed; nothing moves, and no other size changes.

    Balloons within others are swapped as others are. A colour that isn't in the palette yet is added with its share 0,
    since nothing was designed with it.

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
    design = _with_colours(takeoff.design, wanted.values())
    b, recoloured = takeoff.balloons, _Recolouring(wanted, _places(takeoff.design), _places(design))
    counts: Counter[Key] = Counter()
    for (size_in, colour), count in takeoff.counts.items():
        counts[size_in, wanted[size_in, colour].colour if (size_in, colour) in wanted else colour] += count
    return replace(
        takeoff,
        design=design,
        balloons=replace(
            b, colour=recoloured.of(b.colour, b.size_in), inner=recoloured.of(b.inner, b.size_in)
        ),
        counts=dict(counts),
        allowance=takeoff.allowance.recoloured({key: into.colour for key, into in wanted.items()}),
    )


# Private


def _with_colours(design: Design, added: Iterable[PaletteColour]) -> Design:
    """The design with further colours that nothing was designed with."""
    palette = {colour.colour: colour for colour in design.palette}
    for colour in added:
        palette.setdefault(colour.colour, replace(colour, share=0.0))
    return replace(design, palette=tuple(palette.values()))


def _places(design: Design) -> dict[str, int]:
    return {colour.colour: place for place, colour in enumerate(every_colour(design))}


@dataclass(frozen=True, slots=True)
class _Recolouring:
    """What is swapped, and the places of all colours, those within others too, before and after."""

    wanted: Mapping[Key, PaletteColour]
    before: Mapping[str, int]
    after: Mapping[str, int]

    def of(self, colour: Index, size_in: Index) -> Index:
        """Give places of colours as they are after the swaps; -1 stays."""
        found = np.full(len(colour), -1, np.int64)
        for code, place in self.before.items():
            found[colour == place] = self.after[code]
        for (size, code), into in self.wanted.items():
            found[(size_in == size) & (colour == self.before[code])] = self.after[into.colour]
        return found
