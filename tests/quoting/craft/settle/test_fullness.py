"""The scale of fullness: it means something from end to end, and how far it reaches is known beforehand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from quoting.craft.design.design_file import STARTERS, load_design
from quoting.craft.design.records import Design
from quoting.craft.takeoff.takeoff import TakeOff, take_off

ORGANIC = [
    path.stem
    for path in sorted(STARTERS.glob("*.json"))
    if any(garland.work == "organic" for garland in load_design(path).garlands)
]


def filled(name: str, fullness: float) -> TakeOff:
    design: Design = load_design(STARTERS / f"{name}.json")
    garlands = tuple(replace(garland, fullness=fullness) for garland in design.garlands)
    return take_off(replace(design, garlands=garlands))


@pytest.mark.parametrize("name", ORGANIC)
def test_every_step_of_the_scale_is_another_piece_and_a_fuller_one_takes_no_fewer(name: str) -> None:
    pieces = [filled(name, percent / 100) for percent in (20, 30, 40, 50, 60, 70, 80, 92)]
    counts = [len(piece.balloons) for piece in pieces]
    assert counts == sorted(counts)
    # A short string holds few layers: 20 and 30 % may be the same whole quads.
    assert len(set(counts[1:])) == len(counts) - 1
    assert counts[0] < 0.6 * counts[5]
    assert pieces[0].fullness < pieces[2].fullness < pieces[5].fullness < pieces[7].fullness


@pytest.mark.parametrize("name", ORGANIC)
@pytest.mark.parametrize("asked", [0.5, 0.6, 0.7, 0.8, 0.9])
def test_what_is_measured_is_near_what_was_asked(name: str, asked: float) -> None:
    # Below the fullness of bare quads only the distance of the layers is at hand, in whole quads.
    assert filled(name, asked).fullness == pytest.approx(asked, abs=0.03 if asked >= 0.8 else 0.13)


@pytest.mark.parametrize("name", ["garland-nested-arches", "ring-and-panel", "table-garland"])
def test_the_highest_that_can_be_reached_is_known_before_it_is_asked_for(name: str) -> None:
    known = filled(name, 0.85).highest_fullness
    assert filled(name, 0.97).fullness == pytest.approx(min(known, 0.975), abs=0.011)
    assert filled(name, 0.5).highest_fullness < known + 0.01
