"""From light to picture."""

from __future__ import annotations

import numpy as np
import pytest

from quoting.craft.still.exposure import EXPOSURE, SHOULDER, developed, glowing


def test_up_to_the_shoulder_light_is_encoded_as_the_standard_says() -> None:
    """IEC 61966-2-1 by hand: linear 0.2 is 0.4845."""
    shown = developed(np.full((4, 4, 3), 0.2 / EXPOSURE))
    assert shown == pytest.approx(np.full((4, 4, 3), 0.4845), abs=1e-3)


def test_white_never_burns_out_and_brighter_stays_brighter() -> None:
    steps = np.linspace(SHOULDER, 2.0, 40) / EXPOSURE
    shown = developed(np.repeat(steps[None, :, None], 3, axis=2))[0, :, 0]
    assert shown.max() <= 1.0
    assert (np.diff(shown) >= 0).all()


def test_only_what_is_brighter_than_white_glows() -> None:
    light = np.full((40, 40, 3), 1.2)
    assert np.array_equal(glowing(light), light)
    light[20, 20] = 30.0
    glow = glowing(light)
    assert glow[20, 22, 0] > 1.2
    assert glow[0, 0, 0] == pytest.approx(1.2, abs=1e-3)
