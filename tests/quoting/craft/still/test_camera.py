"""The eye of a still: where points are seen, and that all of a piece is."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some

from quoting.craft.still.camera import Camera, camera_before

SIDE = some.floats(0.1, 6.0)
ASPECTS = (0.5, 0.8, 1.0, 1.28, 2.0)


def test_a_point_is_seen_where_a_pinhole_puts_it() -> None:
    """By hand: 3 m away with an opening of 53.13 degrees, half the picture's side is 1.5 m; 0.75 m is half of that."""
    camera = Camera(eye=(1.0, 1.5, 3.0), aim=(1.0, 1.5, 0.0), opening_deg=53.130102354)
    seen = camera.seen_at(np.array([1.75, 1.125, 0.0]))
    assert seen == pytest.approx([0.5, -0.25])


def test_a_point_seen_from_the_side_moves_as_the_rotation_says() -> None:
    """By hand: seen from 90 degrees on the right, what is towards the viewer lies to the left."""
    camera = Camera(eye=(4.0, 1.0, 0.0), aim=(0.0, 1.0, 0.0), opening_deg=90.0)
    assert camera.seen_at(np.array([0.0, 1.0, 2.0])) == pytest.approx([-0.5, 0.0])


@given(
    low=some.tuples(some.floats(-5, 5), some.floats(0, 2), some.floats(-2, 2)),
    size=some.tuples(SIDE, SIDE, SIDE),
    turn=some.floats(-40, 40),
    aspect=some.sampled_from(ASPECTS),
)
def test_all_corners_of_a_piece_are_in_the_picture(
    low: tuple[float, float, float], size: tuple[float, float, float], turn: float, aspect: float
) -> None:
    least = np.array(low)
    most = least + np.array(size)
    camera = camera_before(least, most, turn_deg=turn, aspect=aspect)
    half = np.array([max(aspect, 1.0), max(1 / aspect, 1.0)])
    corners = [
        [x, y, z] for x in (least[0], most[0]) for y in (least[1], most[1]) for z in (least[2], most[2])
    ]
    seen = np.array([camera.seen_at(np.array(corner)) for corner in corners])
    assert (np.abs(seen) <= half).all(), (seen, half)


def test_a_wide_low_piece_doesnt_stand_on_a_sea_of_floor() -> None:
    """By the projection alone: its foot lies in the lower half, but not halfway up it."""
    camera = camera_before(np.array([-3.0, 0.0, -0.3]), np.array([3.0, 0.8, 0.3]), turn_deg=0.0, aspect=1.28)
    foot = camera.seen_at(np.array([0.0, 0.0, 0.3]))[1]
    assert -1.0 < foot < -0.5
