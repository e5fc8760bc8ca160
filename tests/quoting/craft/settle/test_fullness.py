"""The scale of fullness: it means something from end to end, and how far it reaches is known beforehand."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise

import numpy as np
import pytest

from quoting.craft.change.edit import edited
from quoting.craft.change.resize import scale_to
from quoting.craft.design.faults import DesignError, Fault
from quoting.craft.design.records import Design
from quoting.craft.takeoff.takeoff import TakeOff, take_off
from tests.quoting.craft.starter_designs import NAMES, starter, straight_garland

ORGANIC = [name for name in NAMES if any(garland.work == "organic" for garland in starter(name).garlands)]
SCALE = (20, 30, 40, 50, 60, 70, 80, 90, 92, 95, 97)
WITHIN = 0.02
"""What MODEL.md states."""


def asking(name: str, fullness: float) -> Design:
    """A starter as it would be kept, whether it gets that full or not."""
    design = starter(name)
    garlands = tuple(replace(garland, fullness=fullness) for garland in design.garlands)
    return replace(design, garlands=garlands)


@cache
def filled(name: str, percent: int) -> TakeOff:
    return take_off(asking(name, percent / 100))


def wished(name: str, percent: int) -> TakeOff | Fault:
    """What a new wish gives: the piece, or why not."""
    try:
        return take_off(edited(starter(name), {"fullness": percent / 100}))
    except DesignError as error:
        (fault,) = error.faults
        return fault


@pytest.mark.parametrize("name", ORGANIC)
def test_what_is_measured_follows_what_is_asked_or_the_highest_is_named(name: str) -> None:
    highest = take_off(starter(name)).highest_fullness
    for percent in SCALE:
        found = wished(name, percent)
        if isinstance(found, Fault):
            assert (found.field, found.found, found.low) == ("fullness", percent / 100, 0.0)
            assert found.high == pytest.approx(highest, abs=0.005)
            assert percent / 100 > highest
            continue
        assert found.fullness == pytest.approx(percent / 100, abs=WITHIN)
        assert percent / 100 <= highest + 0.01


@pytest.mark.parametrize("name", ORGANIC)
def test_a_fuller_piece_takes_more_balloons_at_every_step(name: str) -> None:
    pieces = [filled(name, percent) for percent in SCALE[:-1]]
    counts = [len(piece.balloons) for piece in pieces]
    assert counts == sorted(set(counts))
    assert [piece.fullness for piece in pieces] == sorted(piece.fullness for piece in pieces)
    assert counts[0] < 0.35 * counts[6]


@pytest.mark.parametrize("name", ORGANIC)
def test_towards_the_top_no_per_cent_takes_many_more(name: str) -> None:
    """At most an eighth more for each per cent, or three fillers in a short garland."""
    counts = [len(filled(name, percent).balloons) for percent in range(90, 98)]
    for fewer, more in pairwise(counts):
        assert fewer <= more <= max(1.125 * fewer, fewer + 24)


@pytest.mark.parametrize("name", ORGANIC)
def test_the_highest_is_known_whatever_is_asked(name: str) -> None:
    """Of several garlands near each other the fillers of one stand before the other."""
    known = filled(name, 97).fullness
    for percent in (20, 60, 92):
        assert filled(name, percent).highest_fullness == pytest.approx(min(known, 0.975), abs=0.011)


def test_a_kept_wish_beyond_the_highest_opens_and_may_be_changed_otherwise() -> None:
    kept = asking("ring-and-panel", 0.97)
    found = take_off(kept)
    assert found.fullness == found.highest_fullness < 0.96
    assert found.filled.asked == pytest.approx(0.97)
    again = edited(kept, {"seed": 5, "loss": 0.1})
    assert again.garlands[0].fullness == 0.97
    with pytest.raises(DesignError, match=r"fullness: is 0\.96; this piece gets 0\.95 full at most"):
        edited(kept, {"fullness": 0.96})


@pytest.mark.parametrize("name", ["garland-nested-arches", "ring-and-panel", "table-garland"])
@pytest.mark.parametrize("percent", [25, 45, 65])
def test_a_scaled_piece_is_as_thin_as_it_was_asked_to_be(name: str, percent: int) -> None:
    now = take_off(starter(name)).dimensions
    scaled = scale_to(asking(name, percent / 100), width_m=1.1 * now.width_m, height_m=now.height_m, must=())
    found = take_off(scaled)
    assert found.fullness == pytest.approx(percent / 100, abs=0.03)
    assert found.highest_fullness == pytest.approx(filled(name, percent).highest_fullness)


def test_a_scaled_piece_is_refused_what_it_could_not_be_as_chosen() -> None:
    now = take_off(starter("ring-and-panel")).dimensions
    scaled = scale_to(starter("ring-and-panel"), width_m=0.9 * now.width_m, height_m=now.height_m, must=())
    highest = take_off(scaled).highest_fullness
    with pytest.raises(DesignError) as refused:
        edited(scaled, {"fullness": 0.97})
    assert refused.value.faults[0].high == pytest.approx(highest, abs=0.005)
    assert take_off(edited(scaled, {"fullness": 0.95})).fullness > take_off(scaled).fullness


@pytest.mark.parametrize("name", ORGANIC)
@pytest.mark.parametrize("percent", [20, 30, 50, 60])
def test_what_stays_lies_evenly_along_the_string(name: str, percent: int) -> None:
    """No gap, that to the ends among them, is longer than two and a half of the mean one."""
    thin = filled(name, percent)
    for piece, garland in enumerate(thin.garlands):
        quad, station = (
            column[thin.balloons.garland == piece] for column in (thin.balloons.quad, thin.balloons.station)
        )
        places = np.array([station[quad == number].mean() for number in range(garland.quads)])
        gaps = np.diff([0.0, *places, garland.route.length_m])
        assert (gaps > 0).all(), "quads are numbered along the string"
        assert gaps.max() <= 2.5 * garland.route.length_m / garland.quads


def test_quads_and_big_rounds_are_left_out_alike() -> None:
    whole, half = filled("stage-three-frames", 80), filled("stage-three-frames", 40)
    big = [int((piece.balloons.role == 2).sum()) for piece in (whole, half)]
    quads = [sum(garland.quads for garland in piece.garlands) for piece in (whole, half)]
    assert big[1] / big[0] == pytest.approx(quads[1] / quads[0], abs=0.1)


def test_a_garland_asked_for_nothing_has_one_quad() -> None:
    found = take_off(straight_garland(2.0, fullness=0.0))
    assert found.garlands[0].quads == 1
    assert 0 < found.fullness < 0.2


@pytest.mark.parametrize(("name", "share"), [("stage-three-frames", 0.9), ("table-garland", 0.8)])
def test_a_scaled_piece_is_never_fuller_than_its_highest(name: str, share: float) -> None:
    chosen = asking(name, 0.95)
    size = take_off(chosen).dimensions
    scaled = scale_to(chosen, width_m=share * size.width_m, height_m=size.height_m, must=())
    found = take_off(scaled).filled
    assert found.measured <= found.highest
