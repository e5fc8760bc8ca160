"""When to order more: reorder point and safety stock from the studio's own use.

Pure functions. Use per period and lead time are taken as independent and about normal. Sources: W. J. Stevenson,
Operations Management, ch. 12; J. Heizer & B. Render, Operations Management, ch. 12 (eq. 12-14 to 12-16).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist, fmean, stdev


@dataclass(frozen=True, slots=True)
class Use:
    """How much is used in one period: mean and standard deviation, pieces."""

    mean: float
    deviation: float


@dataclass(frozen=True, slots=True)
class ReorderPoint:
    """Order more when so many are left; ``safety`` of them is there against surprises."""

    pieces: float
    safety: float

    @property
    def whole(self) -> int:
        """Whole pieces, rounded up; what only the last bit of a float adds is left out."""
        return math.ceil(round(self.pieces, 6))


def use_of(periods: Sequence[float]) -> Use:
    """Mean and sample standard deviation of the use in past periods, quiet ones included."""
    if not periods:
        return Use(0.0, 0.0)
    return Use(fmean(periods), stdev(periods) if len(periods) > 1 else 0.0)


def service_factor(never_short_percent: float) -> float:
    """z: how many standard deviations cover that share of the deliveries; 50 % and more, below 100 %."""
    if not 50 <= never_short_percent < 100:
        raise ValueError("The share of deliveries that come in time lies from 50 % to below 100 %.")
    return NormalDist().inv_cdf(never_short_percent / 100)


def reorder_point(use: Use, *, lead: float, lead_deviation: float = 0.0, z: float) -> ReorderPoint:
    """mean × lead + z √(lead × deviation² + mean² × lead deviation²); lead time in the periods of ``use``."""
    if lead < 0 or lead_deviation < 0 or use.mean < 0 or use.deviation < 0:
        raise ValueError("Use, lead time and their deviations are never below zero.")
    spread = math.sqrt(lead * use.deviation**2 + use.mean**2 * lead_deviation**2)
    safety = z * spread
    return ReorderPoint(use.mean * lead + safety, safety)
