"""The grid of scales: even steps of width, whatever share of the width the frames' distances are."""

from __future__ import annotations

import math

import pytest

from quoting.craft.change.extent import beyond_estimate, estimated_extent
from quoting.craft.change.scales import APART, STEP, Scales
from tests.quoting.craft.starter_designs import starter


def scales_of(name: str) -> Scales:
    return Scales(starter(name), beyond_estimate(starter(name)))


@pytest.mark.parametrize(
    "name", ["garland-nested-arches", "ring-and-panel", "stage-three-frames", "table-garland", "classic-arch"]
)
def test_each_scale_is_in_the_mean_about_a_step_wider_than_the_last(name: str) -> None:
    scales = scales_of(name)
    narrowest, widest = (
        estimated_extent(scales.design(place)).width for place in (scales.first, scales.last)
    )
    steps = math.log(widest / narrowest) / math.log(STEP)
    assert 0.75 < steps / (scales.last - scales.first) <= 1.0


def test_a_garland_round_one_column_has_one_scale_since_nothing_makes_it_wider() -> None:
    scales = scales_of("column-wound")
    assert (scales.first, scales.last, scales.least_reaching(0.5)) == (0, 0, 0)


def test_scales_that_make_a_piece_no_narrower_are_left_out() -> None:
    scales = scales_of("ring-half-moon")
    narrowest = estimated_extent(scales.design(scales.first)).width
    assert estimated_extent(scales.design(scales.first + 2)).width > narrowest * 1.004


@pytest.mark.parametrize("name", ["garland-nested-arches", "half-arch-doorway"])
def test_no_wider_wish_has_a_smaller_scale(name: str) -> None:
    scales = scales_of(name)
    own = estimated_extent(starter(name)).width
    places = [scales.least_reaching(own * (0.92 + 0.01 * step)) for step in range(18)]
    assert places == sorted(places)
    assert places[0] < -APART < APART < places[-1]
