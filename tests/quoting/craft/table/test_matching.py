"""A stroke is matched to the frames that it follows."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from shapely import LineString, Point

from quoting.craft.design.frames import outline
from quoting.craft.design.records import Frame
from quoting.craft.table.matching import AIR, FLOOR, matched
from quoting.craft.table.stroke import cleaned_stroke
from tests.quoting.craft.table.tables import LOW, TALL, Points, along, over_both_arches, shaky

PANEL = Frame(id="panel", shape="panel", item="panel", label="Panel", width_m=1.0, height_m=2.0)


def stretches(points: Points, *frames: Frame) -> list[int]:
    return [one.on for one in matched(cleaned_stroke(points), frames)]


@pytest.mark.parametrize("seed", range(6))
def test_over_both_arches_it_is_the_floor_then_one_and_then_the_other(seed: int) -> None:
    assert stretches(shaky(over_both_arches(), seed), TALL, LOW) == [FLOOR, 1, 0]


def test_a_finger_that_slips_off_for_a_moment_stays_on_the_frame() -> None:
    up = [*along(LOW, 0.0, 0.2), (-1.2, 1.0), *along(LOW, 0.26, 0.5)]
    assert stretches(up, LOW) == [0]


def test_a_stroke_across_a_frame_is_in_the_air() -> None:
    assert stretches([(-2.0, 1.0), (2.0, 1.0)], PANEL) == [AIR]


def test_a_stroke_well_away_from_a_frame_is_in_the_air() -> None:
    assert stretches([(-0.8, 0.3), (-0.8, 1.8)], PANEL) == [AIR]


def test_the_lengths_along_are_those_of_the_nearest_places() -> None:
    # Source: shapely, the distance of a projected point along a line.
    stroke = cleaned_stroke(shaky(along(LOW, 0.1, 0.9), tremor_m=0.02))
    (found,) = matched(stroke, [LOW])
    line = LineString(outline(LOW).points)
    theirs = [line.project(Point(*place)) for place in stroke]
    assert np.abs(found.along - np.array(theirs)).max() < 0.02


def test_over_the_foot_of_a_ring_lengths_count_on() -> None:
    ring = Frame(id="ring", shape="ring", item="ring", label="Ring", width_m=2.0, height_m=2.0)
    points = [*along(ring, 0.85, 1.0), *along(ring, 0.0, 0.15)]
    (found,) = matched(cleaned_stroke(points), [ring])
    assert np.abs(np.diff(found.along)).max() < 0.1
    assert found.along[-1] - found.along[0] == pytest.approx(0.3 * outline(ring).length_m, rel=0.05)


def test_of_two_frames_the_nearer_one_is_followed() -> None:
    beside = replace(LOW, id="beside", x_m=LOW.x_m + 0.1)
    drawn = [(x + 0.08, y) for x, y in along(LOW, 0.05, 0.3)]
    assert stretches(drawn, LOW, beside) == [1]
