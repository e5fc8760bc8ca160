"""Shares of a palette as whole balloons: they add up, and none is further off than one."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quoting.craft.colour.shares import counts_by_share
from studio.trade.errors import CraftError


@given(st.integers(0, 5000), st.lists(st.floats(0.01, 100), min_size=1, max_size=6))
def test_counts_by_share_add_up_and_are_each_within_one(total: int, weights: list[float]) -> None:
    counts = counts_by_share(total, weights)
    assert sum(counts) == total
    for count, weight in zip(counts, weights, strict=True):
        assert abs(count - total * weight / sum(weights)) < 1 + 1e-9


@pytest.mark.parametrize(
    ("weights", "message"),
    [
        ([0.0, 0.0], r"sum of the shares is 0\.0"),
        ([-1.0, 2.0], "share is an array with a value outside"),
        ([], "count of colours is 0; it must be a whole number from 1 to 40"),
    ],
)
def test_shares_that_say_nothing_are_refused(weights: list[float], message: str) -> None:
    with pytest.raises(CraftError, match=message):
        counts_by_share(10, weights)
