"""The mylar balloon: closed forms beside the integrals that they solve, taken numerically by scipy.

The meridian of Mladenov and Oprea (The Mylar Balloon Revisited, 2003): z'(x) = -x² / sqrt(r⁴ - x⁴).
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import ellipk

from quoting.craft.geometry.mylar import filled_diameter, filled_thickness, filled_volume


def height(x: float) -> float:
    """Height of the meridian above the rim's plane at x, the filled radius being 1."""
    found: float = quad(lambda t: t * t / np.sqrt(1 - t**4), x, 1)[0]
    return found


def flat_radius() -> float:
    """Length of the meridian from the middle to the rim: its element is 1 / sqrt(1 - t⁴)."""
    found: float = quad(lambda t: 1 / np.sqrt(1 - t**4), 0, 1)[0]
    return found


def test_the_filled_diameter_leaves_the_meridian_as_long_as_it_lay() -> None:
    assert filled_diameter(1.0) == pytest.approx(1 / flat_radius(), rel=1e-9)
    assert flat_radius() == pytest.approx(ellipk(0.5) / np.sqrt(2), rel=1e-9)
    assert filled_diameter(1.0) == pytest.approx(0.7627, abs=1e-4)  # as the paper gives it


def test_the_thickness_is_twice_the_height_of_the_meridian() -> None:
    assert filled_thickness(1.0) == pytest.approx(height(0.0) / flat_radius(), rel=1e-9)
    assert filled_thickness(1.0) / filled_diameter(1.0) == pytest.approx(
        0.599, abs=1e-3
    )  # as the paper gives it


def test_the_volume_is_that_of_shells_under_the_meridian() -> None:
    shells = quad(lambda x: 2 * 2 * np.pi * x * height(x), 0, 1)[0]
    assert filled_volume(2.0) == pytest.approx(shells / flat_radius() ** 3, rel=1e-6)
    assert filled_volume(2.0) == pytest.approx(1.2185, abs=1e-4)  # as the paper gives it
