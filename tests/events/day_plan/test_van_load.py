"""What a bill takes up in a van, by what the shelf knows of its codes."""

from __future__ import annotations

import pytest

from events.day_plan.van_load import Outlines, load_of
from studio.trade.packing import CRATE_M3, PIECES_A_CRATE

OUTLINES: Outlines = {
    "arch": {"shape": "arch-top", "width_m": 2.0, "height_m": 2.5},
    "plinth": {"shape": "plinth", "width_m": 0.4, "height_m": 0.9, "depth_m": 0.4},
    "rug": {"shape": "rug", "width_m": 2.0, "height_m": 0.01, "depth_m": 1.5},
    "star": {"shape": "star", "height_m": 0.45},
}


@pytest.mark.parametrize(
    ("code", "quantity", "volume", "longest"),
    [
        ("arch", 1, 2.0 * 2.5 * 0.06, 2.5),
        ("plinth", 2, 2 * 0.4 * 0.9 * 0.4, 0.9),
        ("rug", 1, 1.5 * 0.2 * 0.2, 1.5),
        ("star", 3, 3 / PIECES_A_CRATE * CRATE_M3, 0.0),
        ("cover", 24, CRATE_M3, 0.0),
        ("latex-260-oat", 50, 0.0, 0.0),
    ],
)
def test_each_kind_travels_in_its_own_way(code: str, quantity: int, volume: float, longest: float) -> None:
    load = load_of([(code, quantity)], OUTLINES)
    assert (load.volume_m3, load.longest_m) == pytest.approx((volume, longest))
