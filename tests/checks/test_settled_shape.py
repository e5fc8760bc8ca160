"""The settled shape by measures of its own: necks, overlap, contacts, and how much of the string a viewer sees.

Each is worked out from the take-off's columns by its definition, pair by pair and point by point, without the search
trees and helpers that the settling uses.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from quoting.craft.change.scaling import spread
from quoting.craft.design.records import ROLES
from quoting.craft.takeoff.takeoff import TakeOff, take_off
from tests.quoting.craft.starter_designs import NAMES, starter, straight_garland, worked

Point = tuple[float, float, float]
ORGANIC = [name for name in NAMES if any(g.work == "organic" for g in starter(name).garlands)]
LONGEST_NECK = (
    1.7  # from the middle of a balloon to the knot of its quad, in its own radii: nothing ties longer
)
DEEPEST_OVERLAP = 0.10  # of the sum of two radii
IN_A_QUAD = (ROLES.index("body"), ROLES.index("round"))


def string_point(takeoff: TakeOff, garland: int, station_m: float) -> Point:
    """Where the string of a garland is at a length along it, straight between the points it is given by."""
    route = takeoff.garlands[garland].route
    along = route.along.tolist()
    k = next((k for k in range(1, len(along)) if along[k] >= station_m), len(along) - 1)
    share = (station_m - along[k - 1]) / (along[k] - along[k - 1])
    before, after = route.points[k - 1].tolist(), route.points[k].tolist()
    x, y, z = (a + share * (b - a) for a, b in zip(before, after, strict=True))
    return x, y, z


def necks(takeoff: TakeOff) -> list[float]:
    """The distance of every balloon in a quad from its knot, in its own radii."""
    b = takeoff.balloons
    organic = [garland.work == "organic" for garland in takeoff.design.garlands]
    return [
        math.dist(b.centres[k], string_point(takeoff, int(b.garland[k]), float(b.station[k]))) / b.radius[k]
        for k in range(len(b))
        if b.garland[k] < len(organic) and organic[b.garland[k]] and b.role[k] in IN_A_QUAD
    ]


def overlaps(takeoff: TakeOff) -> list[list[float]]:
    """By how much each balloon of organic work goes into every other, as a share of the sum of their radii."""
    b = takeoff.balloons
    organic = [garland.work == "organic" for garland in takeoff.design.garlands]
    mine = [k for k in range(len(b)) if b.garland[k] < len(organic) and organic[b.garland[k]]]
    centres, radius = b.centres.tolist(), b.radius.tolist()
    return [
        [1 - math.dist(centres[i], centres[j]) / (radius[i] + radius[j]) for j in mine if j != i]
        for i in mine
    ]


def hidden(takeoff: TakeOff, step_m: float = 0.02) -> float:
    """The share of the string that a viewer straight ahead does not see because a balloon is before it."""
    b = takeoff.balloons
    balls = list(zip(b.centres.tolist(), b.radius.tolist(), strict=True))
    seen = total = 0
    for k, garland in enumerate(takeoff.garlands):
        if garland.garland.work != "organic":
            continue
        for number in range(math.floor(garland.route.length_m / step_m)):
            x, y, z = string_point(takeoff, k, (number + 0.5) * step_m)
            total += 1
            seen += not any(
                (x - cx) ** 2 + (y - cy) ** 2 < r * r
                and cz + math.sqrt(r * r - (x - cx) ** 2 - (y - cy) ** 2) > z
                for (cx, cy, cz), r in balls
            )
    return 1 - seen / total


@pytest.mark.parametrize("name", ORGANIC)
def test_no_balloon_of_a_quad_is_farther_from_its_knot_than_a_neck_reaches(name: str) -> None:
    found = necks(worked(name))
    assert len(found) > 40
    assert 1.0 < max(found) <= LONGEST_NECK + 1e-6


@pytest.mark.parametrize("name", ["garland-nested-arches", "ring-half-moon", "terrace-frame-bouquets"])
def test_the_bounds_hold_at_other_widths_and_arrangements(name: str) -> None:
    for factor, seed in ((0.75, 77), (1.3, 5)):
        takeoff = take_off(replace(spread(starter(name), factor).design, seed=seed))
        assert max(necks(takeoff)) <= LONGEST_NECK + 1e-6
        assert max(max(row) for row in overlaps(takeoff)) <= DEEPEST_OVERLAP + 1e-9


@pytest.mark.parametrize("name", ORGANIC)
def test_balloons_touch_and_none_goes_deeper_into_another_than_it_gives_way(name: str) -> None:
    """Some four contacts each (within 2 % of the radii), fillers among them: a garland is packed, not strewn."""
    found = overlaps(worked(name))
    assert max(max(row) for row in found) <= DEEPEST_OVERLAP + 1e-9
    contacts = [sum(depth > -0.02 for depth in row) for row in found]
    assert 3.8 < sum(contacts) / len(contacts) < 6
    assert sum(number == 0 for number in contacts) <= 0.02 * len(contacts)


@pytest.mark.parametrize("name", ORGANIC)
def test_the_balloons_hide_the_string_that_they_hang_on(name: str) -> None:
    assert hidden(worked(name)) >= 0.94


def test_a_straight_garland_hides_its_string() -> None:
    assert hidden(take_off(straight_garland(3.0))) >= 0.94
