"""Another size: the frames, out of those owned, and the scale that make a set piece of the asked width and height.

A size is always worked out from the design as it was chosen, so that the same wish gives the same piece, whatever was
asked for in between. Of one choice of frames a wider piece is never scaled less, has no shorter string and no fewer
fillers.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from quoting.craft.change.extent import Beyond, beyond_estimate, estimated_extent, measured_extent
from quoting.craft.change.scaling import (
    Choice,
    bend,
    combinations,
    frames_top,
    keeps_stagger,
    spread,
    spread_range,
    taken,
)
from quoting.craft.design.chosen import as_chosen, in_both, remembering
from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.records import Design
from quoting.craft.settle.build import alike_at_rest, built, routes_of

TOLERANCE = 0.02
"""How far a piece may come out from the asked size, as a share of it."""
SIDES = ("width_m", "height_m")
FRAMES_LOOKED_AT = 6  # of all combinations of owned sizes, those looked at closely
STRIDE = 1.06  # from one scale to the next on the way to the asked width
NEARBY = (0.0, 0.006, -0.006, 0.012, -0.012, 0.018)
"""How far from the corrected width more scales are tried, as shares of the asked one."""
HEIGHTS_TRIED = 3  # of what is made to measure


def scale_to(design: Design, *, width_m: float, height_m: float, must: Sequence[str] = SIDES) -> Design:
    """Scale the design, as it was chosen, to the asked overall size.

    The frames take those of their owned sizes which together come nearest to ``height_m`` and keep their order and,
    as nearly as can be, their proportions; frames made to measure are scaled. Frames then move apart or together until
    the width is met. What balloons add to the size is measured at rest. Fillers are as many to the metre as
    the chosen design has.

    ``must``: the sides that the piece has to meet within :data:`TOLERANCE`; raises DesignError at those which it
    doesn't, with the nearest that was found. The others come out as they can.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.change.extent import measured_extent
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> smaller = scale_to(design, width_m=2.7, height_m=2.45)
    >>> round(measured_extent(smaller).width, 1)
    2.7
    """
    faults = [
        Fault(code=FaultCode.OUT_OF_RANGE, field=name, found=value, low=0.2, high=most)
        for name, value, most in (("width_m", width_m, 60), ("height_m", height_m, 20))
        if not 0.2 <= value <= most
    ]
    if faults:
        raise DesignError(*faults)
    asked = _Asked(width_m, height_m)
    chosen = as_chosen(design)
    best = min(_settled_tries(chosen, asked), key=lambda one: one.miss)
    found = _with_planned_fillers(best.design, chosen)
    extent = measured_extent(found, fillers=True)
    came_out = {"width_m": extent.width, "height_m": extent.top}
    missed = [side for side in must if abs(came_out[side] / getattr(asked, side) - 1) > TOLERANCE + 1e-9]
    if missed:
        raise DesignError(*_faults(chosen, best.sized, asked, {side: came_out[side] for side in missed}))
    return remembering(found, chosen, (width_m, height_m))


def change_scaled(design: Design, change: Callable[[Design], Design]) -> Design:
    """Make a change to a design, scaled or not: to what it was chosen as, brought to its size again.

    So it makes no difference whether a change or the size comes first. What moves no balloon is changed in both, and
    nothing is scaled again.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> scaled = scale_to(load_design(STARTERS / "classic-arch.json"), width_m=3.6, height_m=2.8)
    >>> change_scaled(scaled, lambda design: replace(design, loss=0.2)).frames == scaled.frames
    True
    """
    if design.chosen is None:
        return change(design)
    chosen = as_chosen(design)
    changed = change(chosen)
    if alike_at_rest(changed, chosen):
        return in_both(design, change)
    return scale_to(changed, width_m=design.chosen.width_m, height_m=design.chosen.height_m, must=())


# Private


@dataclass(frozen=True, slots=True)
class _Asked:
    width_m: float
    height_m: float


@dataclass(frozen=True, slots=True)
class _Try:
    """One scaled design at rest, and by how much it misses: shares of width and height beyond the tolerance."""

    design: Design
    sized: Design
    """The same before its frames were moved or widened."""
    width_m: float
    height_m: float
    miss: float


def _settled_tries(chosen: Design, asked: _Asked) -> Iterator[_Try]:
    """Scaled designs, settled, up to the first that meets the size; DesignError where none can be built."""
    beyond = beyond_estimate(chosen)
    choice = _frames_for(chosen, asked, beyond)
    high = max(asked.height_m - beyond.up, 0.05)
    fault: DesignError | None = None
    tries: list[_Try] = []
    for _ in range(1 if any(choice) else HEIGHTS_TRIED):
        try:
            for one in _widened(taken(chosen, choice, high), asked, beyond):
                tries.append(one)
                yield one
                if one.miss <= 0:
                    return
        except DesignError as error:
            fault = error
        if not tries:
            break
        # The balloons on top settle unevenly: what stood too high or too low is asked for lower or higher.
        nearest = min(tries, key=lambda one: one.miss)
        high *= asked.height_m / nearest.height_m
    if not tries:
        assert fault is not None
        raise fault


def _widened(sized: Design, asked: _Asked, beyond: Beyond) -> Iterator[_Try]:
    """The design at the scale where estimates reach the width, once more corrected by what came out, and at scales
    about that one."""
    widths = _Widths(sized)
    first = widths.scale_for(asked.width_m - beyond.across)
    one = _tried(sized, first, asked)
    yield one
    corrected = widths.at(first) + asked.width_m - one.width_m
    seen = {first}
    for share in NEARBY:
        factor = widths.scale_for(corrected + share * asked.width_m)
        if factor not in seen:
            seen.add(factor)
            yield _tried(sized, factor, asked)


def _tried(sized: Design, factor: float, asked: _Asked) -> _Try:
    one = spread(sized, factor).design
    extent = measured_extent(one)
    off = (extent.width / asked.width_m - 1, extent.top / asked.height_m - 1)
    miss = sum(max(abs(share) - TOLERANCE, 0.0) for share in off)
    return _Try(one, sized, extent.width, extent.top, miss)


class _Widths:
    """Estimated widths of a design by the factor that it is spread by."""

    def __init__(self, sized: Design) -> None:
        self.sized = sized
        self.low, self.high = spread_range(sized)
        self.known: dict[float, float] = {}

    def at(self, factor: float) -> float:
        if factor not in self.known:
            self.known[factor] = spread(self.sized, factor).extent.width
        return self.known[factor]

    def scale_for(self, wide: float) -> float:
        """The factor nearest to the design's own at which the width is reached; the last one where it never is."""
        ratio = STRIDE if self.at(1.0) < wide else 1 / STRIDE
        before, factor = 1.0, 1.0
        while self.low < factor < self.high and (self.at(factor) - wide) * (self.at(1.0) - wide) > 0:
            before, factor = factor, min(max(factor * ratio, self.low), self.high)
        gained = self.at(factor) - self.at(before)
        if not gained or (self.at(factor) - wide) * (self.at(before) - wide) > 0:
            return factor
        share = (wide - self.at(before)) / gained
        return round(before + share * (factor - before), 4)


def _frames_for(chosen: Design, asked: _Asked, beyond: Beyond) -> Choice:
    """The owned sizes that come nearest to the height, of those whose frames can be spread to the width."""
    above = estimated_extent(chosen).top - frames_top(chosen)
    high = max(asked.height_m - beyond.up, 0.05)
    staggered = [choice for choice in combinations(chosen) if keeps_stagger(chosen, choice)]
    ranked = sorted(
        (_rough_miss(chosen, choice, high - above), k, choice) for k, choice in enumerate(staggered)
    )[:FRAMES_LOOKED_AT]
    first = ranked[0][2]
    wide = asked.width_m - beyond.across
    for _, _, choice in ranked:
        if choice == first or _goes_on_from(chosen, first, choice, wide):
            low, most = _widths(taken(chosen, choice, high))
            if low * (1 - TOLERANCE) <= wide <= most * (1 + TOLERANCE):
                return choice
    return first


def _goes_on_from(chosen: Design, first: Choice, other: Choice, wide: float) -> bool:
    """Whether other frames make a piece that is bigger where it is wider than the first can be, or smaller where it is
    narrower: no wider piece is then a smaller one."""
    pieces = [taken(chosen, choice, chosen.site.height_m) for choice in (first, other)]
    low, most = _widths(pieces[0])
    sizes = [sum(frame.width_m * frame.height_m for frame in piece.frames) for piece in pieces]
    if wide > most:
        return sizes[1] >= sizes[0]
    return wide < low and sizes[1] <= sizes[0]


def _widths(sized: Design) -> tuple[float, float]:
    """The least and the largest width that the frames can be spread to, as estimated [m]."""
    widths = [spread(sized, factor).extent.width for factor in spread_range(sized)]
    return min(widths), max(widths)


def _with_planned_fillers(scaled: Design, chosen: Design) -> Design:
    """The scaled design with as many fillers to the metre of string as the chosen one takes."""
    if scaled == chosen:
        return scaled
    own = built(chosen).garlands
    garlands = []
    for garland, route, result in zip(scaled.garlands, routes_of(scaled), own, strict=True):
        fillers = result.filler_quads / 2 * route.length_m / result.route.length_m
        planned = math.floor(fillers + 0.5 + 1e-9) if garland.work == "organic" else None
        garlands.append(replace(garland, fillers=planned))
    return replace(scaled, garlands=tuple(garlands))


def _faults(chosen: Design, sized: Design, asked: _Asked, came_out: Mapping[str, float]) -> list[Fault]:
    """Why the sides that came out otherwise are refused: at first those beyond what the frames make; where there are
    none, those between two sizes that can be built."""
    beyond = beyond_estimate(chosen)
    rows = (
        ("width_m", asked.width_m, FaultCode.NO_FRAME_THIS_WIDE, _widths(sized), beyond.across),
        ("height_m", asked.height_m, FaultCode.NO_FRAME_THIS_HIGH, _heights(chosen), beyond.up),
    )
    outside, between = [], []
    for side, wish, code, ends, more in rows:
        if side not in came_out:
            continue
        there_is = came_out[side]
        low, high = min(ends[0] + more, there_is), max(ends[1] + more, there_is)
        if not low <= wish <= high:
            outside.append(Fault(code=code, field=side, found=wish, low=low, high=high))
        between.append(
            Fault(code=FaultCode.NEAREST_SIZE, field=side, found=wish, low=there_is, high=there_is)
        )
    return outside or between


def _heights(chosen: Design) -> tuple[float, float]:
    """The least and the largest height that the owned sizes make, as estimated [m]; all where made to measure."""
    above = estimated_extent(chosen).top - frames_top(chosen)
    tops = [
        max(f.base_m + (s.height_m if s else f.height_m) for f, s in zip(chosen.frames, choice, strict=True))
        for choice in combinations(chosen)
        if keeps_stagger(chosen, choice) and any(choice)
    ]
    return (min(tops) + above, max(tops) + above) if tops else (0.0, math.inf)


def _rough_miss(design: Design, choice: Choice, asked_top: float) -> float:
    """How badly a choice of owned sizes misses the height and bends the frames' proportions to each other."""
    tops = [f.base_m + s.height_m for f, s in zip(design.frames, choice, strict=True) if s is not None]
    if not tops:
        return 0.0
    return abs(max(tops) / max(asked_top, 0.1) - 1) + 0.05 * bend(design, choice)
