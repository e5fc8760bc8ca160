"""Tie points on the picture, numbered as the build sheet numbers them: from the beginning of each garland."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from quoting.craft.picture.drawing import short
from quoting.craft.picture.view import Layer, View
from quoting.craft.rigging.tie_points import TiePoint
from quoting.craft.takeoff.takeoff import TakeOff

# Settings of the drawing.
MARK_RADIUS: Final = 11
IN_FRONT_M: Final = 10.0
INK, PAPER = "#1D2528", "#FFFDF8"


def numbered_ties(takeoff: TakeOff, index: int) -> list[tuple[int, TiePoint]]:
    """The ties of a garland with their numbers.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> [number for number, _ in numbered_ties(take_off(load_design(STARTERS / "half-arch-doorway.json")), 0)][:3]
    [1, 2, 3]
    """
    return list(enumerate((tie for tie in takeoff.rigging.ties if tie.garland == index), 1))


def tie_layers(takeoff: TakeOff, view: View) -> Iterator[Layer]:
    """A numbered mark at every tie, before everything else."""
    for index, garland in enumerate(takeoff.design.garlands):
        for number, tie in numbered_ties(takeoff, index):
            x, y = short(view.x(tie.x)), short(view.y(tie.y))
            drawn = (
                f'<circle cx="{x}" cy="{y}" r="{MARK_RADIUS}" fill="{PAPER}" stroke="{INK}" stroke-width="1.5"/>'
                f'<text x="{x}" y="{y}" dy="4.5" font-family="Figtree, sans-serif" font-size="13" fill="{INK}" '
                f'text-anchor="middle">{number}</text>'
            )
            yield Layer(IN_FRONT_M, "ties", drawn, f"garland:{garland.id}")
