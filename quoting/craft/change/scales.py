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
STEP = 1.004
"""By how much a piece is wider from one scale of the grid to the next, as estimated. Half of it is what a piece may
stay below the asked width."""
HALF_STEP = (STEP - 1) / 2
ALIKE_M = (
    0.0051  # a wish this near to the design's own width, which a page shows in centimetres, is that width
)
FIRST_LEAP = 16  # places of the grid
FAR = 0.05  # where an estimate is this far from the wish, as a share, nothing is settled
APART = 8
"""Balloons come nearly to rest at every so many places of the grid; in between the estimates are led from one to the
next: the widths of neighbouring scales differ by less than they settle unevenly."""
NEARLY = 0.02
"""How far the width at rest may be from that, as a share; a scale beyond it is not tried."""
WIDEST_STRIDE = 24
"""At most so many times the step, where frames of fixed sizes are moved and the piece hardly gets wider."""


class Scales:
    """Designs by their place on the grid, 0 for the frames as they stand. What was measured is kept."""

    def __init__(self, sized: Design, beyond: Beyond) -> None:
        self.sized, self.beyond = sized, beyond
        self.settles = any(garland.work == "organic" for garland in sized.garlands)
        self._estimated: dict[int, Spread] = {0: spread(sized, 1.0)}
        self._nearly: dict[int, float] = {}
        self._settled: dict[int, Extent] = {}
        self.stride = self._stride()
        low, high = (math.log(end) / math.log(STEP) / self.stride for end in spread_range(sized))
        self.first, self.last = math.ceil(low), math.floor(high)
        self.first = self._end_of_flat()

    def design(self, place: int) -> Design:
        return self._spread(place).design

    def least_reaching(self, wide_m: float) -> int:
        """Find the place of the least scale that reaches the width [m]; the last one where none does."""
        if self.first == self.last or self._is_own(wide_m):
            return 0
        low, high = self._bracket(wide_m)
        while low < high:
            middle = (low + high) // 2
            if self._falls_short(middle, wide_m):
                low = middle + 1
            else:
                high = middle
        return min(low, self.last)

    def reaches(self, place: int, wide_m: float) -> bool:
        """Say whether a scale comes out as wide as that [m], by the same measure."""
        return self.first == self.last or not self._falls_short(place, wide_m)

    def may_reach(self, place: int, wide_m: float, within: float) -> bool:
        """Say whether the width, nearly at rest, is near enough to the wish that at rest it may be ``within`` a share
        of it."""
        if not self.settles or place in self._settled:
            return True
        return abs(self._nearly_wide(place) / wide_m - 1) <= within + NEARLY

    def at_rest(self, place: int) -> Extent:
        """Measure the design with its balloons at rest, without fillers."""
        if place not in self._settled:
            self._settled[place] = measured_extent(self.design(place))
        return self._settled[place]

    # Private

    def _stride(self) -> float:
        """How many times the step the factor of a scale grows, so that the width grows by about one step; without end
        where the width stays the same."""
        own, ends = self._estimated[0].extent.width, spread_range(self.sized)
        grown = [math.log(spread(self.sized, end).extent.width / own) for end in ends]
        if max(abs(share) for share in grown) < math.log(STEP):
            return math.inf
        steepest = max(share / math.log(end) for share, end in zip(grown, ends, strict=True))
        return 1 / max(min(steepest, 1.0), 1 / WIDEST_STRIDE)

    def _end_of_flat(self) -> int:
        """The last place at which the piece is as narrow as at the first: frames that are moved together further make
        it no narrower."""
        low, high = self.first, 0
        narrowest = self._estimate(low) * (1 + HALF_STEP)
        if low >= high or self._estimate((low + high) // 2) > narrowest:
            return low
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (middle, high) if self._estimate(middle) <= narrowest else (low, middle)
        return low

    def _bracket(self, wide_m: float) -> tuple[int, int]:
        """Two places between which the least one lies, by leaps each twice the last: from the frames as they stand, or
        from about where it lies if all is of a closed form, where one scale is always wider than the one before."""
        near, leap = (0, FIRST_LEAP) if self.settles else (self._about(wide_m), 1)
        short = self._falls_short(near, wide_m)
        while True:
            far = near + leap if short else near - leap
            if not self.first < far < self.last:
                return (near + 1, self.last) if short else (self.first, near)
            if self._falls_short(far, wide_m) != short:
                return (near + 1, far) if short else (far + 1, near)
            near, leap = far, 2 * leap

    def _about(self, wide_m: float) -> int:
        place = round(math.log(max(wide_m / self._estimate(0), 1e-6)) / math.log(STEP))
        return min(max(place, self.first), self.last)

    def _spread(self, place: int) -> Spread:
        if place not in self._estimated:
            self._estimated[place] = spread(self.sized, STEP ** (place * self.stride))
        return self._estimated[place]

    def _estimate(self, place: int) -> float:
        return self._spread(place).extent.width + self.beyond.across

    def _nearly_wide(self, place: int) -> float:
        """The width with the balloons nearly at rest [m], by those places where they do come there."""
        low = place - place % APART
        low, high = max(low, self.first), min(low + APART, self.last)
        if place in (low, high):
            return self._nearly_at_rest(place)
        share = (place - low) / (high - low)
        try:
            over = [self._nearly_at_rest(end) / self._estimate(end) for end in (low, high)]
        except DesignError:  # one of the two can't be built
            return self._nearly_at_rest(place)
        return self._estimate(place) * ((1 - share) * over[0] + share * over[1])

    def _nearly_at_rest(self, place: int) -> float:
        if place not in self._nearly:
            self._nearly[place] = nearly_measured_width(self.design(place))
        return self._nearly[place]

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
            return self._nearly_wide(place) < wide_m * (1 - HALF_STEP)
        except DesignError as error:
            return any(fault.code == FaultCode.ROUTE_TOO_SHORT for fault in error.faults)
