"""What lights a room from afar."""

from __future__ import annotations

import numpy as np
import pytest

from quoting.craft.still.skies import SUN_AT_DEG, WIDE_PX, evening_sky, room_sky
from studio.trade.ranges import FloatArray

HIGH, WIDE = WIDE_PX // 2, WIDE_PX


@pytest.fixture(scope="module")
def sky() -> FloatArray:
    """The evening's tones, 0 to 1."""
    return np.asarray(evening_sky(), dtype=float) / 255


def row(up_deg: float) -> int:
    return round((90 - up_deg) / 180 * (HIGH - 1))


def column(around_deg: float) -> int:
    return round((around_deg + 180) / 360 * (WIDE - 1))


def test_the_evening_is_warm_at_the_horizon_and_blue_above(sky: FloatArray) -> None:
    low, high = sky[row(25.0)].mean(axis=0), sky[row(80.0)].mean(axis=0)
    assert high[2] > high[0]
    assert low[0] / low[2] > high[0] / high[2]


def test_it_is_brightest_where_the_sun_stands(sky: FloatArray) -> None:
    light = sky[row(28.0)].mean(axis=1)
    assert light[column(SUN_AT_DEG[0])] > light[column(SUN_AT_DEG[0] + 180)]


def test_no_edge_is_seen_where_the_sky_meets_itself(sky: FloatArray) -> None:
    assert np.abs(sky[: row(30.0), 0] - sky[: row(30.0), -1]).max() < 0.02


def test_a_room_is_lit_from_above() -> None:
    grey = room_sky(0.9, 0.7, 0.5)[:, 0, 0]
    assert grey[0] == 0.9
    assert grey[-1] == 0.5
    assert (np.diff(grey) <= 0).all()
