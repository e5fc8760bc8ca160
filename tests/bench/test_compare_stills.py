"""The measure by which stills are compared."""

from __future__ import annotations

import numpy as np
import pytest

from tests.bench.compare_stills import structural_similarity


def test_a_picture_is_like_itself() -> None:
    picture = np.random.default_rng(1).uniform(0, 255, (40, 50))
    assert structural_similarity(picture, picture) == pytest.approx(1.0)


def test_of_two_even_pictures_only_the_light_counts() -> None:
    """By hand from equation 6 of the paper: (2 * 100 * 110 + 6.5025) / (100^2 + 110^2 + 6.5025) = 0.99548."""
    dark, light = np.full((20, 20), 100.0), np.full((20, 20), 110.0)
    assert structural_similarity(dark, light) == pytest.approx(0.99548, abs=1e-5)


def test_noise_makes_it_less_like() -> None:
    chance = np.random.default_rng(2)
    picture = np.tile(np.linspace(40, 200, 60), (60, 1))
    little, much = (structural_similarity(picture, picture + chance.normal(0, s, (60, 60))) for s in (3, 20))
    assert 1 > little > much
