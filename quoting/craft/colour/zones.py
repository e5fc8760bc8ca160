"""Colour zones: stretches of a garland in one colour each, of their own lengths."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from quoting.craft.design.records import Zone

Array = NDArray[np.float64]
Index = NDArray[np.int64]


def zone_bounds(zones: Sequence[Zone]) -> list[tuple[float, float]]:
    """Where each zone begins and ends, as shares of the garland.

    >>> zone_bounds((Zone(colour="oat", share=0.25), Zone(colour="ink", share=0.75)))
    [(0.0, 0.25), (0.25, 1.0)]
    """
    total = sum(zone.share for zone in zones)
    ends = [end / total for end in accumulate(zone.share for zone in zones)]
    return list(zip([0.0, *ends[:-1]], ends, strict=True))


def zone_colours(zones: Sequence[Zone], codes: Sequence[str], along: Array, unit: Index) -> Index:
    """Give every balloon the place in ``codes`` of its zone's colour.

    along: place along the garland, 0 to 1; unit: number of the quad or filler that a balloon is made up in, -1 for
    none. A quad is of one colour: that of the zone which its middle is in.

    >>> zones = (Zone(colour="oat", share=0.5), Zone(colour="ink", share=0.5))
    >>> zone_colours(zones, ["ink", "oat"], np.array([0.1, 0.48, 0.51, 0.9]), np.array([0, 1, 1, -1]))
    array([1, 1, 1, 0])
    """
    middles = along.copy()
    made = unit >= 0
    if made.any():
        sums = np.bincount(unit[made], weights=along[made])
        counts = np.maximum(np.bincount(unit[made]), 1)
        middles[made] = (sums / counts)[unit[made]]
    ends = np.array([end for _, end in zone_bounds(zones)][:-1])
    places = np.array([codes.index(zone.colour) for zone in zones], np.int64)
    return np.asarray(places[np.searchsorted(ends, middles, side="right")], np.int64)
