"""Rounds by themselves, among the balloons of a set piece."""

from __future__ import annotations

import numpy as np

from quoting.craft.design.records import Design
from quoting.craft.settle.build import Piece
from quoting.craft.takeoff.balloons import BALLOON_ROLES, Balloons

SINGLE = BALLOON_ROLES.index("single")


def round_pieces(design: Design) -> tuple[Piece, ...]:
    """List the rounds as pieces; they come after garlands, walls and bouquets."""
    return tuple(Piece("round", one.id, one.label, "single", "scatter", 1, 0) for one in design.rounds)


def with_rounds(design: Design, balloons: Balloons) -> Balloons:
    """Add the rounds to the balloons of garlands, walls and bouquets; each keeps the colour that it was given."""
    rounds = design.rounds
    if not rounds:
        return balloons
    codes = [colour.colour for colour in design.palette]
    first, whole = len(design.garlands) + len(design.walls) + len(design.bouquets), np.int64
    count = len(rounds)
    return balloons.joined(
        Balloons(
            x=np.array([one.x_m for one in rounds]),
            y=np.array([one.y_m for one in rounds]),
            z=np.array([one.z_m for one in rounds]),
            radius=np.array([one.sized_m / 2 for one in rounds]),
            size_in=np.array([one.size_in for one in rounds], whole),
            colour=np.array([codes.index(one.colour) for one in rounds], whole),
            role=np.full(count, SINGLE, whole),
            garland=np.arange(first, first + count, dtype=whole),
            quad=np.full(count, -1, whole),
            station=np.zeros(count),
            inner=np.full(count, -1, whole),
        )
    )
