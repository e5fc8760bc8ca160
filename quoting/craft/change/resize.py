"""Another size: the frames, out of those owned, and the scale that make a set piece of the asked width and height.

A size is always worked out from the design as it was chosen, so that the same wish gives the same piece, whatever was
asked for in between. A wider piece never has a smaller scale, a shorter string or fewer fillers: frames are chosen by
the height, go on to bigger ones only, and scales are looked for on one grid.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from quoting.craft.change.extent import Beyond, Extent, beyond_estimate, measured_extent
from quoting.craft.change.frame_choice import TOLERANCE, frames_for, heights_of, reach_of
from quoting.craft.change.scales import Scales
from quoting.craft.change.scaling import Choice, taken
from quoting.craft.design.chosen import as_chosen, in_both, remembering
from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.records import Design
from quoting.craft.settle.build import GarlandResult, alike_at_rest, built
from quoting.craft.settle.laying import routes_of

SIDES = ("width_m", "height_m")
# Settings of the search.
BESIDE = (0, 1, 2, 4, -1, -2, -4)
"""Places that are tried, from the least scale that reaches the width: bigger ones first, and no smaller one where the
biggest falls short, so that a wider wish is not answered by a smaller piece. A setting of the search."""
HEIGHTS_DIFFER = 0.02  # neighbouring scales come out as high as each other but for this share
LOWER = 0.99
HEIGHTS_TRIED = 3  # of what is made to measure


def scale_to(design: Design, *, width_m: float, height_m: float, must: Sequence[str] = SIDES) -> Design:
    """Scale the design, as it was chosen, to the asked overall size.

    The frames take those of their owned sizes which together come nearest to ``height_m`` and keep their order and,
    as nearly as can be, their proportions; frames made to measure are scaled. Frames then move apart to the least
    scale that reaches the width with the balloons at rest. Fillers are as many to the metre as the chosen design has.

    ``must``: the sides that the piece has to meet within :data:`TOLERANCE`; raises DesignError at those which it
    doesn't, with the nearest sizes below and above that can be built. The others come out as they can.

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
    chosen = as_chosen(design)
    plan = _planned(chosen)
    asked = _Asked(width_m, height_m, plan.fillers)
    found = min(_answers(plan, asked), key=lambda one: one.miss)
    missed = [
        side for side in must if abs(getattr(found, side) / getattr(asked, side) - 1) > TOLERANCE + 1e-9
    ]
    if missed:
        raise DesignError(*_faults(plan, found, asked, missed))
    return remembering(found.design, chosen, (width_m, height_m))


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
    """A size [m], and what fillers will add to the size at rest."""

    width_m: float
    height_m: float
    fillers: Beyond

    @property
    def wide_at_rest_m(self) -> float:
        return self.width_m - self.fillers.across

    @property
    def high_at_rest_m(self) -> float:
        return self.height_m - self.fillers.up

    def meets_width(self, at_rest: Extent) -> bool:
        return abs((at_rest.width + self.fillers.across) / self.width_m - 1) <= TOLERANCE

    def misses_height(self, at_rest: Extent) -> float:
        """By how much more than is allowed, as a share; 0 where it is met."""
        return max(abs((at_rest.top + self.fillers.up) / self.height_m - 1) - TOLERANCE, 0.0)


@dataclass(frozen=True, slots=True)
class _Answer:
    """One scaled design with its fillers, its size, by how much it misses, and the scales that it was found among."""

    design: Design
    width_m: float
    height_m: float
    miss: float
    scales: Scales
    place: int


@dataclass(frozen=True, slots=True)
class _Plan:
    """What every scaled design takes from the chosen one: ``strung`` is the chosen design with what share of its quads
    is strung written down, ``own`` what its garlands came out as, ``beyond`` how far its balloons reach at rest, and
    ``fillers`` how much farther fillers do."""

    chosen: Design
    strung: Design
    own: tuple[GarlandResult, ...]
    beyond: Beyond
    fillers: Beyond


def _planned(chosen: Design) -> _Plan:
    own = built(chosen).garlands
    garlands = tuple(
        replace(garland, strung=result.strung, fullest=result.highest_fullness)
        if garland.work == "organic"
        else garland
        for garland, result in zip(chosen.garlands, own, strict=True)
    )
    at_rest, filled = measured_extent(chosen), measured_extent(chosen, fillers=True)
    beyond = beyond_estimate(chosen, (at_rest.width, at_rest.top))
    fillers = Beyond(filled.width - at_rest.width, filled.top - at_rest.top)
    return _Plan(chosen, replace(chosen, garlands=garlands), own, beyond, fillers)


def _answers(plan: _Plan, asked: _Asked) -> Iterator[_Answer]:
    """Scaled designs up to the first that meets the size: what is made to measure is tried at several heights."""
    high = max(asked.high_at_rest_m - plan.beyond.up, 0.05)
    choice = frames_for(plan.chosen, wide_m=asked.wide_at_rest_m - plan.beyond.across, high_m=high)
    for _ in range(1 if any(choice) else HEIGHTS_TRIED):
        one = _answer_over(plan, choice, high, asked)
        yield one
        if one.miss <= 0:
            return
        # The balloons on top settle unevenly: what stood too high or too low is asked for lower or higher. Where only
        # the width is missed it is asked for a little lower, as a higher piece may cost more than a wider one.
        off = asked.height_m / one.height_m
        high *= off if abs(off - 1) > TOLERANCE else LOWER


def _answer_over(plan: _Plan, choice: Choice, high: float, asked: _Asked) -> _Answer:
    """The scale nearest to the least that reaches the width at which both sides are met, or else the width; that least
    one itself where neither is.

    Which scales come out as high as asked does not depend on the width: of those, the nearest to the least that
    reaches it never gets smaller as the width grows.
    """
    scales = Scales(taken(plan.strung, choice, high), plan.beyond)
    least = scales.least_reaching(asked.wide_at_rest_m)
    on_width: int | None = None
    within_reach = scales.reaches(least, asked.wide_at_rest_m)
    for place in (least + step for step in BESIDE if step >= 0 or within_reach):
        if not scales.first <= place <= scales.last or not _may_meet(scales, place, asked):
            continue
        if not asked.meets_width(extent := scales.at_rest(place)):
            continue
        on_width = place if on_width is None else on_width
        miss = asked.misses_height(extent)
        if miss > HEIGHTS_DIFFER:
            break
        if miss <= 0 and (found := _answer(plan, scales, place, asked)).miss <= 0:
            return found
    return _answer(plan, scales, least if on_width is None else on_width, asked)


def _may_meet(scales: Scales, place: int, asked: _Asked) -> bool:
    return scales.may_reach(place, asked.wide_at_rest_m, TOLERANCE)


def _answer(plan: _Plan, scales: Scales, place: int, asked: _Asked) -> _Answer:
    design = _with_planned_fillers(scales.design(place), plan)
    extent = measured_extent(design, fillers=True)
    off = (extent.width / asked.width_m - 1, extent.top / asked.height_m - 1)
    miss = sum(max(abs(share) - TOLERANCE, 0.0) for share in off)
    return _Answer(design, extent.width, extent.top, miss, scales, place)


def _with_planned_fillers(scaled: Design, plan: _Plan) -> Design:
    """The scaled design with as many fillers to the metre of string as the chosen one takes."""
    if scaled == plan.strung:
        return plan.chosen
    garlands = []
    for garland, route, result in zip(scaled.garlands, routes_of(scaled), plan.own, strict=True):
        fillers = result.filler_quads / 2 * route.length_m / result.route.length_m
        planned = math.floor(fillers + 0.5 + 1e-9) if garland.work == "organic" else None
        garlands.append(replace(garland, fillers=planned))
    return replace(scaled, garlands=tuple(garlands))


def _faults(plan: _Plan, found: _Answer, asked: _Asked, missed: Sequence[str]) -> list[Fault]:
    """Why the sides that came out otherwise are refused: at first those beyond what the frames make; where there are
    none, those between two sizes that can be built."""
    faults = [_width_fault(found, asked)] if "width_m" in missed else []
    faults += [_height_fault(plan, found, asked)] if "height_m" in missed else []
    outside = [
        fault
        for fault in faults
        if fault.code in (FaultCode.NO_FRAME_THIS_WIDE, FaultCode.NO_FRAME_THIS_HIGH)
    ]
    return outside or faults


def _width_fault(found: _Answer, asked: _Asked) -> Fault:
    """The nearest widths on either side, or the last one that these frames make."""
    scales, wish = found.scales, asked.width_m
    on = -1 if found.width_m > wish else 1
    last = found.width_m
    for place in range(found.place + on, found.place + on * (max(BESIDE) + 1), on):
        if not scales.first <= place <= scales.last:
            reach, more, code = reach_of(scales.sized), scales.beyond.across, FaultCode.NO_FRAME_THIS_WIDE
            low, high = (reach.low_m + more, last) if on > 0 else (last, reach.most_m + more)
            return Fault(code=code, field="width_m", found=wish, low=min(low, last), high=max(high, last))
        last = scales.at_rest(place).width
        if (last > wish) != (found.width_m > wish):
            break
    return _nearest("width_m", wish, (found.width_m, last))


def _height_fault(plan: _Plan, found: _Answer, asked: _Asked) -> Fault:
    wish = asked.height_m
    heights = {height + plan.beyond.up: choice for height, choice in heights_of(plan.chosen).items()}
    low, high = (pick([*heights, found.height_m]) for pick in (min, max))
    if heights and not low <= wish <= high:
        code = FaultCode.NO_FRAME_THIS_HIGH
        return Fault(code=code, field="height_m", found=wish, low=low, high=high)
    there_is = [found.height_m]
    for height, choice in sorted(heights.items(), key=lambda pair: abs(pair[0] - wish)):
        if (height < wish) != (found.height_m < wish) and _reaches(plan, choice, asked):
            there_is.append(_answer_over(plan, choice, wish, asked).height_m)
            break
    return _nearest("height_m", wish, there_is)


def _reaches(plan: _Plan, choice: Choice, asked: _Asked) -> bool:
    wide_m = asked.wide_at_rest_m - plan.beyond.across
    return reach_of(taken(plan.chosen, choice, asked.height_m)).holds(wide_m)


def _nearest(side: str, wish: float, there_is: Sequence[float]) -> Fault:
    low, high = min(there_is), max(there_is)
    code = FaultCode.BETWEEN_SIZES
    if not low < wish < high:
        code, low = FaultCode.NEAREST_SIZE, min(there_is, key=lambda size: abs(size - wish))
        high = low
    return Fault(code=code, field=side, found=wish, low=low, high=high)
