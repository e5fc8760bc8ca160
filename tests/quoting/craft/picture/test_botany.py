"""Florals are told apart by kind, stay within their length, and are known by their names."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from fontTools.pens.boundsPen import ControlBoundsPen
from fontTools.svgLib.path import parse_path

from quoting.craft.design.floral_kinds import LOOKS, WORDS
from quoting.craft.picture.botany import branch, pick, sprig
from quoting.craft.picture.elevation import elevation_svg
from quoting.craft.takeoff.takeoff import take_off
from tests.quoting.craft.starter_designs import starter

KINDS = [kind for kind, _ in WORDS]
GREEN = "#7E9A78"


def bounds(drawn: str) -> tuple[float, float, float, float]:
    """The box round all paths, by fontTools' own reader of SVG paths: left, top, right, bottom."""
    boxes = []
    for path in drawn.split(' d="')[1:]:
        pen = ControlBoundsPen(None)
        parse_path(path.partition('"')[0], pen)
        if pen.bounds:
            boxes.append(pen.bounds)
    low, high = np.array(boxes)[:, :2].min(axis=0), np.array(boxes)[:, 2:].max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


@pytest.mark.parametrize(("one", "other"), list(combinations(KINDS, 2)))
def test_no_kind_looks_like_another(one: str, other: str) -> None:
    assert pick(one, GREEN) != pick(other, GREEN)


@pytest.mark.parametrize("kind", ["eucalyptus", "fern", "ruscus", "palm", "pampas"])
def test_a_pick_is_as_long_as_it_is_said_to_be(kind: str) -> None:
    left, top, right, bottom = bounds(pick(kind, GREEN))
    assert 0.8 <= right - max(left, 0.0) <= 1.25
    assert left >= -0.2
    assert max(-top, bottom) <= 1.0


@pytest.mark.parametrize("kind", LOOKS["bloom"])
def test_a_bloom_is_drawn_about_its_middle(kind: str) -> None:
    left, top, right, bottom = bounds(pick(kind, GREEN))
    assert max(-left, -top, right, bottom) <= 0.85
    assert min(-left, -top, right, bottom) >= 0.4


def test_a_peony_is_fuller_than_a_rose() -> None:
    # Florists tell them so: a peony has many more petals. From memory.
    assert pick("peony", GREEN).count("<path") > 1.5 * pick("rose", GREEN).count("<path")


def test_a_fern_has_many_slim_leaflets_and_eucalyptus_few_round_ones() -> None:
    # Pinnate fronds and round paired leaves, as botany describes them. From memory.
    assert pick("fern", GREEN).count("z") > 4 * pick("eucalyptus", GREEN).count("z")


@pytest.mark.parametrize("kind", KINDS)
def test_a_branch_and_a_sprig_are_drawn_in_its_own_colour(kind: str) -> None:
    assert branch(kind, GREEN) != branch(kind, "#C98B8B")
    if kind in LOOKS["leaf"]:
        assert sprig(kind, GREEN) != sprig(kind, "#C98B8B")


def test_every_leaf_of_the_take_off_is_in_the_picture() -> None:
    takeoff = take_off(starter("ring-half-moon"))
    assert elevation_svg(takeoff).count('<use href="#l') == len(takeoff.leaves) > 0
