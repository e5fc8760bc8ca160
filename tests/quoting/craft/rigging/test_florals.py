"""Greenery as it is drawn against greenery as it is billed, measured on the leaves of the picture alone."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray

from quoting.craft.takeoff.takeoff import TakeOff, take_off
from tests.quoting.craft.starter_designs import starter, straight_garland

LEAF_M = 0.11
SHARES = (0.5, 1.0, 1.5, 2.0)


@cache
def greened(length_m: float, share: float) -> TakeOff:
    """A straight garland with one kind of greenery, its leaves 11 cm long."""
    green = replace(starter("garland-nested-arches").florals[0], share=share, size_m=LEAF_M)
    return take_off(replace(straight_garland(length_m), florals=(green,)))


def nodes(takeoff: TakeOff) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Where leaves come out of the vine: distances along the garland, and places."""
    places = {leaf.station: (leaf.x, leaf.y, leaf.z) for leaf in takeoff.leaves}
    stations = np.array(sorted(places))
    return stations, np.array([places[station] for station in stations])


def billed_m(takeoff: TakeOff) -> float:
    """Metres of greenery that the pieces of the bill hold, before they are rounded up to pieces."""
    (count,) = takeoff.floral_counts
    (floral,) = takeoff.design.florals
    pieces = next(line.quantity for line in takeoff.bill() if line.code == floral.item)
    assert pieces == math.ceil(count.length_m / floral.piece_m)
    return count.length_m


@pytest.mark.parametrize("length_m", [4.0, 8.0])
def test_a_metre_billed_is_drawn_with_as_many_leaves_whatever_the_share(length_m: float) -> None:
    a_metre = [len(greened(length_m, share).leaves) / billed_m(greened(length_m, share)) for share in SHARES]
    assert max(a_metre) < 1.2 * min(a_metre)


def test_the_greenery_that_is_billed_reaches_along_the_vine_that_is_drawn() -> None:
    """From leaf to leaf in space, hidden stretches straight across, the ends inside the garland added."""
    takeoff = greened(8.0, 1.0)
    stations, places = nodes(takeoff)
    drawn_m = np.linalg.norm(np.diff(places, axis=0), axis=1).sum() + 8.0 - np.ptp(stations)
    assert 1.0 < billed_m(takeoff) / drawn_m < 1.1


def test_a_vine_in_sight_has_leaf_by_leaf() -> None:
    """The next leaf begins before the last one ends: a bare stem would look torn (common practice, no source)."""
    stations, _ = nodes(greened(8.0, 1.0))
    gaps = np.diff(stations)
    in_sight = gaps[gaps < 2 * np.median(gaps)]
    assert in_sight.max() < LEAF_M
    assert in_sight.min() > LEAF_M / 3


def test_greenery_vanishes_and_returns_and_its_ends_are_hidden() -> None:
    """Woven in and out, ends inside the garland: common practice, no source."""
    takeoff = greened(8.0, 1.0)
    stations, _ = nodes(takeoff)
    in_sight = len({math.floor(station / 0.1) for station in stations}) / 80
    assert 0.4 < in_sight < 0.7
    assert np.count_nonzero(np.diff(stations) > 0.25) >= 4
    assert stations.min() > takeoff.garlands[0].reach_m / 2
    assert stations.max() < 8.0 - takeoff.garlands[0].reach_m / 2


def test_greenery_laid_twice_is_drawn_in_other_places() -> None:
    once, twice = ({leaf.station for leaf in greened(8.0, share).leaves} for share in (1.0, 2.0))
    places = {(round(leaf.x, 3), round(leaf.y, 3)) for leaf in greened(8.0, 2.0).leaves}
    assert len(places) > 1.6 * len(once)
    assert once < twice
