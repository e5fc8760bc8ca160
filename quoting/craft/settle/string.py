"""The string of a garland: knots give way with their quads, so that no neck is pulled longer than it can be."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.int64]

LONGEST_NECK = (
    1.7  # from the middle of a balloon in a quad to its knot, in its own radii (common practice, no source)
)
# Settings of the search.
WITHIN = 0.998  # share of that to which necks are pulled back, so that the bound itself holds
AIM, AIM_A_PASS, LEAST_AIM = 0.97, 0.005, 0.85
"""From which share of the longest neck on a knot follows its balloons: at first, less with every pass, at least. So the
string gives way no farther than it must."""
STIFFNESS = 0.02  # share of the bend between two neighbouring knots that the string takes out in one pass
ASIDE = (
    1.5  # how far aside, for each part that it is pulled back and each mean diameter that its quad lies aside
)
MOST_ASIDE = 0.2  # of what it is pulled back, as counts for that: a jam must not throw balloons about
MOST_SLACK = 1.5  # how far a knot may leave the line on which it was laid, in mean diameters


@dataclass(frozen=True, slots=True)
class Ties:
    """Which balloons share a knot: ``quad`` (n,) numbers the quads of all strings on, -1 for what is tied otherwise;
    ``goes_on`` (quads - 1,) says whether the next quad hangs on the same string."""

    quad: Index
    goes_on: NDArray[np.bool_]


class Strings:
    """All strings of a design as they settle. Arrays of places are (3, n)."""

    def __init__(self, knots: Array, radii: Array, tail: Array, ties: Ties, mean_m: float) -> None:
        self.tied = np.flatnonzero(ties.quad >= 0)
        self.quad = ties.quad[self.tied]
        self.bend = STIFFNESS * ties.goes_on
        self.knots = knots
        self.first = np.unique(self.quad, return_index=True)[1]
        self.count = np.diff(np.append(self.first, len(self.quad)))
        self.home = knots[:, self.tied[self.first]]
        self.off = np.zeros_like(self.home)
        self.mean_m = mean_m
        self.longest = tail + LONGEST_NECK * radii
        self.longest_tied = self.longest[self.tied]

    def give_way(self, p: Array, step: int) -> None:
        """Move every knot towards the balloons of its quad that are too far from it, its neighbours with it."""
        if not len(self.tied):
            return
        away = np.take(p, self.tied, axis=1) - np.take(self.knots, self.tied, axis=1)
        length = np.maximum(_length(away), 1e-12)
        aim = max(AIM - AIM_A_PASS * step, LEAST_AIM) * self.longest_tied
        away *= np.maximum(0.0, 1 - aim / length)
        pulling = np.maximum(np.add.reduceat((length > aim).astype(np.float64), self.first), 1.0)
        self.off += np.add.reduceat(away, self.first, axis=1) / pulling
        bend = self.bend * (self.off[:, 1:] - self.off[:, :-1])
        self.off[:, :-1] += bend
        self.off[:, 1:] -= bend
        length = np.maximum(_length(self.off), 1e-12)
        self.off *= np.minimum(1.0, self.mean_m * MOST_SLACK / length)
        self.knots[:, self.tied] = np.take(self.home + self.off, self.quad, axis=1)

    def hold(self, p: Array) -> None:
        """Pull back what has gone farther from its knot than a neck reaches, and a little aside, towards its quad: a
        neck that would go straight through a tube comes round it."""
        away = p - self.knots
        length = _length(away)
        far = np.flatnonzero(length > WITHIN * self.longest)
        if not len(far):
            return
        back = away[:, far] * (1 - WITHIN * self.longest[far] / length[far])
        unit = away[:, far] / length[far]
        beside = self._middles(p)[:, far] - self.knots[:, far]
        beside -= unit * np.einsum("ij,ij->j", beside, unit)
        p[:, far] -= back - ASIDE * beside * np.minimum(_length(back) / self.mean_m, MOST_ASIDE)

    def holds(self, p: Array) -> bool:
        """Say whether no neck is longer than it can be."""
        return bool((_length(p - self.knots) <= self.longest).all())

    # Private

    def _middles(self, p: Array) -> Array:
        """Where the middle of each balloon's quad is; its own for what is tied otherwise."""
        middles = p.copy()
        middle = np.add.reduceat(np.take(p, self.tied, axis=1), self.first, axis=1) / self.count
        middles[:, self.tied] = np.take(middle, self.quad, axis=1)
        return middles


# Private


def _length(ways: Array) -> Array:
    x, y, z = ways
    return np.asarray(np.sqrt(x * x + y * y + z * z))
