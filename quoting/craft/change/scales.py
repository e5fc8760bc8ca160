"""A design over one choice of frames at the scales of a fixed grid, and the least of them that reaches a width.

The grid and the order in which its scales are asked depend on the frames alone. A wider wish is then never answered by
a smaller scale, however unevenly the balloons come to rest from one scale to the next.
"""

from __future__ import annotations

import math

from quoting.craft.change.extent import Beyond, Extent, measured_extent, nearly_measured_width
from quoting.craft.change.scaling import Spread, spread, spread_range
from quoting.craft.design.faults import DesignError, FaultCode
from quoting.craft.design.records import Design

# Settings of the search.
STEP = 1.008
"""From one scale of the grid to the next. Half of it is what a piece may stay below the asked width."""
HALF_STEP = (STEP - 1) / 2
ALIKE_M = (
    0.0051  # a wish this near to the design's own width, which a page shows in centimetres, is that width
)
FIRST_LEAP = 12  # places of the grid
FAR = 0.05  # where an estimate is this far from the wish, as a share, nothing is settled


class Scales:
    """Designs by their place on the grid, 0 for the frames as they stand. What was measured is kept."""

    def __init__(self, sized: Design, beyond: Beyond) -> None:
        low, high = (math.log(end) / math.log(STEP) for end in spread_range(sized))
        self.sized, self.beyond = sized, beyond
        self.settles = any(garland.work == "organic" for garland in sized.garlands)
        self.first, self.last = math.ceil(low), math.floor(high)
        self._estimated: dict[int, Spread] = {}
        self._settled: dict[int, Extent] = {}

    def design(self, place: int) -> Design:
        return self._spread(place).design

    def least_reaching(self, wide_m: float) -> int:
        """Find the place of the least scale that reaches the width [m]; the last one where none does."""
        if self._is_own(wide_m):
            return 0
        low, high = self._bracket(wide_m)
        while low < high:
            middle = (low + high) // 2
            if self._falls_short(middle, wide_m):
                low = middle + 1
            else:
                high = middle
        return low

    def at_rest(self, place: int) -> Extent:
        """Measure the design with its balloons at rest, without fillers."""
        if place not in self._settled:
            self._settled[place] = measured_extent(self.design(place))
        return self._settled[place]

    # Private

    def _bracket(self, wide_m: float) -> tuple[int, int]:
        """Two places between which the least one lies, by leaps from the frames as they stand, each twice the last."""
        short = self._falls_short(0, wide_m)
        near, leap = 0, FIRST_LEAP
        while True:
            far = near + leap if short else near - leap
            if not self.first < far < self.last:
                return (near + 1, self.last) if short else (self.first, near)
            if self._falls_short(far, wide_m) != short:
                return (near + 1, far) if short else (far + 1, near)
            near, leap = far, 2 * leap

    def _spread(self, place: int) -> Spread:
        if place not in self._estimated:
            self._estimated[place] = spread(self.sized, STEP**place)
        return self._estimated[place]

    def _estimate(self, place: int) -> float:
        return self._spread(place).extent.width + self.beyond.across

    def _nearly(self, place: int) -> float:
        return nearly_measured_width(self.design(place))

    def _is_own(self, wide_m: float) -> bool:
        if abs(self._estimate(0) / wide_m - 1) > FAR:
            return False
        try:
            return abs(self.at_rest(0).width - wide_m) <= ALIKE_M
        except DesignError:
            return False

    def _falls_short(self, place: int, wide_m: float) -> bool:
        estimate = self._estimate(place)
        if not self.settles or abs(estimate / wide_m - 1) > FAR:
            return estimate < wide_m * (1 - HALF_STEP)
        try:
            return self._nearly(place) < wide_m * (1 - HALF_STEP)
        except DesignError as error:
            return any(fault.code == FaultCode.ROUTE_TOO_SHORT for fault in error.faults)
