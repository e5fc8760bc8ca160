"""The reorder point takes no figure that cannot be; the arithmetic itself is checked in tests/checks."""

from __future__ import annotations

import pytest

from stock.buying.reorder import Use, reorder_point


@pytest.mark.parametrize(
    ("mean", "deviation", "lead", "lead_deviation"),
    [(-1.0, 0.0, 4.0, 0.0), (5.0, -0.1, 4.0, 0.0), (5.0, 1.0, -4.0, 0.0), (5.0, 1.0, 4.0, -0.5)],
)
def test_a_figure_below_zero_is_refused(
    mean: float, deviation: float, lead: float, lead_deviation: float
) -> None:
    with pytest.raises(ValueError, match="never below zero"):
        reorder_point(Use(mean, deviation), lead=lead, lead_deviation=lead_deviation, z=1.0)
