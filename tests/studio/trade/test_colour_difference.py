"""Laws of colours and their difference."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.trade import colour as conversions
from studio.trade import colour_difference as colours
from studio.trade.errors import CraftError

codes = st.integers(0, 0xFFFFFF).map(lambda number: f"#{number:06x}")
labs = st.tuples(st.floats(0, 100), st.floats(-110, 110), st.floats(-110, 110)).map(np.array)


@given(labs, labs)
def test_a_difference_is_the_same_both_ways_and_never_negative(first: np.ndarray, second: np.ndarray) -> None:
    there, back = float(colours.ciede2000(first, second)), float(colours.ciede2000(second, first))
    # Hues exactly opposite turn at the last bit of an arctangent (Sharma et al. 2005, pairs 13 to 15).
    assert there == pytest.approx(back, abs=0.05)
    assert there >= 0


@given(labs)
def test_a_colour_does_not_differ_from_itself(lab: np.ndarray) -> None:
    assert float(colours.ciede2000(lab, lab)) == 0.0


@given(codes, st.lists(codes, min_size=1, max_size=12))
def test_the_nearest_colours_come_in_order_and_a_colour_at_hand_comes_first(
    code: str, palette: list[str]
) -> None:
    found = colours.nearest_colours(code, [*palette, code], count=len(palette) + 1)
    differences = [one.difference for one in found]
    assert differences == sorted(differences)
    assert found[0].difference == pytest.approx(0.0, abs=1e-9), "but for the last bit of the arithmetic"
    assert sorted(one.index for one in found) == list(range(len(palette) + 1))


@pytest.mark.parametrize("code", ["c9b79c", "#c9b79", "#c9b79cc", "#gggggg", "", "#12 456"])
def test_what_is_no_colour_code_is_refused(code: str) -> None:
    with pytest.raises(CraftError, match="must be # and six hexadecimal digits"):
        conversions.srgb_from_hex(code)


def test_wrong_shapes_and_empty_palettes_are_refused() -> None:
    with pytest.raises(CraftError, match=r"shape \(2,\); the last axis must be 3"):
        colours.ciede2000(np.zeros(2), np.zeros(2))
    with pytest.raises(CraftError, match="palette is empty"):
        colours.nearest_colours("#ffffff", [])
    with pytest.raises(CraftError, match="sRGB is an array with a value outside; it must be from 0 to 1"):
        conversions.xyz_from_srgb(np.array([0.0, 0.5, 1.5]))
