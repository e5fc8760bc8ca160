"""Another size: the frames, out of those owned, and the scale that make a set piece of the asked width and height."""

from __future__ import annotations

from quoting.craft.change.extent import Beyond, beyond_estimate, estimated_extent, measured_extent
from quoting.craft.change.scaling import (
    MEASURE,
    Choice,
    bend,
    combinations,
    frames_top,
    spread,
    spread_range,
    spread_to,
    taken,
)
from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.records import Design

TOLERANCE = 0.06  # how far the result may stay from the asked size, as a share of it
# How far the first, second and third try may miss, as a share of the asked size, and still be the last.
GOOD_ENOUGH = (0.02, 0.05, 1.0)
TRIED = 6  # of all combinations of owned sizes, those looked at closely


def scale_to(
    design: Design, *, width_m: float, height_m: float, came_out: tuple[float, float] | None = None
) -> Design:
    """Scale the design to the asked overall size.

    Each frame takes that of its owned sizes which together come nearest to ``height_m`` and keep the frames'
    proportions to each other; frames made to measure are scaled. Frames then move apart or together until the
    width is met. What the balloons add to the size of frames and routes is taken from ``came_out`` [m], the width
    and height that the design is known to come out at, or else measured; the result is settled, and where that misses
    by more than :data:`GOOD_ENOUGH` asked for once or twice more, corrected. Raises DesignError, naming ``width_m``
    or ``height_m`` and the range that these frames make, where they cannot make it.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.change.extent import measured_extent
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> smaller = scale_to(design, width_m=2.4, height_m=2.2)
    >>> round(measured_extent(smaller).width, 1)
    2.4
    """
    faults = [
        Fault(code=FaultCode.OUT_OF_RANGE, field=name, found=value, low=0.2, high=most)
        for name, value, most in (("width_m", width_m, 60), ("height_m", height_m, 20))
        if not 0.2 <= value <= most
    ]
    if faults:
        raise DesignError(*faults)
    beyond = beyond_estimate(design, came_out)
    best: tuple[float, Design] | None = None
    for enough in GOOD_ENOUGH:
        try:
            one = _scaled(design, width_m, height_m, beyond)
        except DesignError:
            if best is None:
                raise
            break  # at the end of what these frames make: as near as it gets
        missed = _missed(one, width_m, height_m)
        again = best is not None and _frame_items(one) == _frame_items(best[1]) != []
        if best is None or sum(missed) < best[0]:
            best = (sum(missed), one)
        # The height of owned frames goes by what there is: once the same come back, asking again can't mend it.
        if (missed[0] if again else max(missed)) <= enough:
            break
        beyond = beyond_estimate(one)
    assert best is not None
    return best[1]


# Private


def _frame_items(design: Design) -> list[str]:
    """The owned frames that stand; none where all is made to measure."""
    return [frame.item for frame in design.frames if frame.sizes]


def _missed(design: Design, width_m: float, height_m: float) -> tuple[float, float]:
    """How far the design at rest is from the asked width and height, as shares of them."""
    size = measured_extent(design)
    return abs(size.width / width_m - 1), abs(size.top / height_m - 1)


def _scaled(design: Design, width_m: float, height_m: float, beyond: Beyond) -> Design:
    """``scale_to`` by estimates alone, ``beyond`` added to each."""
    wide, high = max(width_m - beyond.across, 0.05), max(height_m - beyond.up, 0.05)
    above = estimated_extent(design).top - frames_top(design)
    ranked = sorted(
        (_rough_miss(design, choice, high - above), k, choice)
        for k, choice in enumerate(combinations(design))
    )
    tried = [(rough, taken(design, choice, high)) for rough, _, choice in ranked[:TRIED]]
    heights = [estimated_extent(one).top for _, one in tried]
    if min(abs(height - high) for height in heights) > TOLERANCE * height_m:
        low, most = _height_range(design, above)
        if not low <= high <= most:
            raise DesignError(
                _refusal(FaultCode.NO_FRAME_THIS_HIGH, height_m, low + beyond.up, most + beyond.up)
            )
    order = sorted(
        (_miss(height, high) + 0.3 * rough, k)
        for k, ((rough, _), height) in enumerate(zip(tried, heights, strict=True))
    )
    best: tuple[float, Design] | None = None
    for least, k in order:
        if best is not None and least >= best[0]:
            break  # no width can make up for its height
        rough, sized = tried[k]
        one, gap = spread_to(sized, wide)
        rank = _miss(one.extent.top, high) + 0.3 * rough + 0.5 * gap
        if gap <= TOLERANCE and (best is None or rank < best[0] - 1e-9):
            best = (rank, one.design)
    if best is None:
        widths = [spread(one, factor).extent.width for _, one in tried for factor in spread_range(one)]
        low, most = min(widths) + beyond.across, max(widths) + beyond.across
        raise DesignError(_refusal(FaultCode.NO_FRAME_THIS_WIDE, width_m, low, most))
    return best[1]


def _refusal(code: FaultCode, asked: float, low: float, high: float) -> Fault:
    field = "width_m" if code == FaultCode.NO_FRAME_THIS_WIDE else "height_m"
    return Fault(code=code, field=field, found=asked, low=low, high=high)


def _miss(height: float, asked: float) -> float:
    """How badly a height misses; too high weighs more than too low."""
    off = (height - asked) / asked
    return off * 1.5 if off > 0 else -off


def _rough_miss(design: Design, choice: Choice, asked_top: float) -> float:
    """How badly a choice of owned sizes misses the height and bends the frames' proportions to each other."""
    tops = [f.base_m + s.height_m for f, s in zip(design.frames, choice, strict=True) if s is not None]
    return _miss(max(tops), max(asked_top, 0.1)) + 0.2 * bend(design, choice) if tops else 0.0


def _height_range(design: Design, above: float) -> tuple[float, float]:
    """Lowest and highest overall height that the owned sizes make [m]."""
    sized = [f for f in design.frames if f.sizes]
    if not sized:
        return MEASURE[0] * design.site.height_m, 20.0
    fixed = max((f.base_m + f.height_m for f in design.frames if not f.sizes), default=0.0)
    low = max(fixed, *[f.base_m + min(s.height_m for s in f.sizes) for f in sized]) + above
    high = max(fixed, *[f.base_m + max(s.height_m for s in f.sizes) for f in sized]) + above
    return low * (1 - TOLERANCE), high * (1 + TOLERANCE)
