"""Fit: the frames, out of those owned, and the scale that make a set piece of the asked size."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace

import numpy as np

from quoting.craft.design import Design, DesignError, Fault, Frame, Garland, Leg, OwnedSize
from quoting.craft.extent import Extent, estimated_extent, measured_extent

SPREAD = (0.55, 1.6)  # how far frames may be moved together or apart, as a factor on their distances
MEASURE = (0.25, 4.0)  # how far a frame made to measure may be scaled
TOLERANCE = 0.06  # how far the result may stay from the asked size, as a share of it
GOOD_ENOUGH = (
    0.02,
    0.05,
    1.0,
)  # how far the first, second, third try may miss, as a share, and still be the last
MOST_COMBINATIONS = 4096
TRIED = 6  # of all combinations of owned sizes, those looked at closely
CLOSE = 0.006  # a width estimated this near to the asked one is met
SPREAD_STEPS = 6
FARTHEST_BEYOND = 0.35  # how far balloons may reach beyond the estimate, as a share of it


def scale_to(
    design: Design, *, width_m: float, height_m: float, came_out: tuple[float, float] | None = None
) -> Design:
    """The design at the asked overall size.

    Each frame takes that of its owned sizes which together come nearest to ``height_m`` and keep the frames'
    proportions to each other; frames made to measure are scaled. Frames then move apart or together until the
    width is met. What the balloons add to the size of frames and routes is taken from ``came_out`` [m], the width
    and height that the design is known to come out at, or else measured; the result is settled, and where that misses
    by more than :data:`GOOD_ENOUGH` asked for once or twice more, corrected. Raises DesignError, naming ``width_m``
    or ``height_m`` and the range that these frames make, where they cannot make it.
    """
    faults = [
        Fault(name, f"is {value:g}; allowed is a number from 0.2 to {most}")
        for name, value, most in (("width_m", width_m, 60), ("height_m", height_m, 20))
        if not 0.2 <= value <= most
    ]
    if faults:
        raise DesignError(faults)
    beyond = _beyond(design, came_out)
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
        beyond = _beyond(one, None)
    assert best is not None
    return best[1]


# Private


def _frame_items(design: Design) -> list[str]:
    """The owned frames that stand; none where all is made to measure."""
    return [frame.item for frame in design.frames if frame.sizes]


@dataclass(frozen=True, slots=True)
class _Beyond:
    """How far the balloons at rest reach beyond the estimate, in width and height [m]."""

    across: float
    up: float


def _beyond(design: Design, came_out: tuple[float, float] | None) -> _Beyond:
    estimate = estimated_extent(design)
    width, top = came_out or _size(measured_extent(design))
    across, up = (
        float(np.clip(real - rough, -FARTHEST_BEYOND * rough, FARTHEST_BEYOND * rough))
        for real, rough in ((width, estimate.width), (top, estimate.top))
    )
    return _Beyond(across, up)


def _size(extent: Extent) -> tuple[float, float]:
    return extent.width, extent.top


def _missed(design: Design, width_m: float, height_m: float) -> tuple[float, float]:
    """How far the design at rest is from the asked width and height, as shares of them."""
    width, top = _size(measured_extent(design))
    return abs(width / width_m - 1), abs(top / height_m - 1)


def _scaled(design: Design, width_m: float, height_m: float, beyond: _Beyond) -> Design:
    """``scale_to`` by estimates alone, ``beyond`` added to each."""
    wide, high = max(width_m - beyond.across, 0.05), max(height_m - beyond.up, 0.05)
    above = estimated_extent(design).top - _frames_top(design)
    ranked = sorted(
        (_rough_miss(design, choice, high - above), k, choice)
        for k, choice in enumerate(_combinations(design))
    )
    tried = [(rough, _taken(design, choice, high)) for rough, _, choice in ranked[:TRIED]]
    heights = [estimated_extent(one).top for _, one in tried]
    if min(abs(height - high) for height in heights) > TOLERANCE * height_m:
        low, most = _height_range(design, above)
        if not low <= high <= most:
            raise DesignError([_refusal("height_m", height_m, low + beyond.up, most + beyond.up)])
    order = sorted(
        (_miss(height, high) + 0.3 * rough, k)
        for k, ((rough, _), height) in enumerate(zip(tried, heights, strict=True))
    )
    best: tuple[float, Design] | None = None
    for least, k in order:
        if best is not None and least >= best[0]:
            break  # no width can make up for its height
        rough, sized = tried[k]
        one, gap = _spread_to(sized, wide)
        rank = _miss(one.extent.top, high) + 0.3 * rough + 0.5 * gap
        if gap <= TOLERANCE and (best is None or rank < best[0] - 1e-9):
            best = (rank, one.design)
    if best is None:
        widths = [_spread(one, factor).extent.width for _, one in tried for factor in _spread_range(one)]
        raise DesignError(
            [_refusal("width_m", width_m, min(widths) + beyond.across, max(widths) + beyond.across)]
        )
    return best[1]


def _refusal(name: str, asked: float, low: float, high: float) -> Fault:
    what = "wide" if name == "width_m" else "high"
    return Fault(
        name,
        f"is {asked:.2f}; these frames make a piece {low:.2f} to {high:.2f} m {what}. "
        "Choose a size in that range, or a design with other frames",
    )


def _miss(height: float, asked: float) -> float:
    """How badly a height misses; too high weighs more than too low."""
    off = (height - asked) / asked
    return off * 1.5 if off > 0 else -off


def _rough_miss(design: Design, choice: tuple[OwnedSize | None, ...], frames_top: float) -> float:
    """How badly a choice of owned sizes misses the height and bends the frames' proportions to each other."""
    sized = [(f, s) for f, s in zip(design.frames, choice, strict=True) if s is not None]
    if not sized:
        return 0.0
    top = max(f.base_m + s.height_m for f, s in sized)
    ratios = [s.height_m / f.height_m for f, s in sized] + [s.width_m / f.width_m for f, s in sized]
    bend = max(ratios) / min(ratios) - 1
    return _miss(top, max(frames_top, 0.1)) + 0.4 * bend


def _height_range(design: Design, above: float) -> tuple[float, float]:
    """Lowest and highest overall height that the owned sizes make [m]."""
    sized = [f for f in design.frames if f.sizes]
    if not sized:
        return MEASURE[0] * design.site.height_m, 20.0
    fixed = max((f.base_m + f.height_m for f in design.frames if not f.sizes), default=0.0)
    low = max(fixed, *[f.base_m + min(s.height_m for s in f.sizes) for f in sized]) + above
    high = max(fixed, *[f.base_m + max(s.height_m for s in f.sizes) for f in sized]) + above
    return low * (1 - TOLERANCE), high * (1 + TOLERANCE)


def _combinations(design: Design) -> list[tuple[OwnedSize | None, ...]]:
    options: list[tuple[OwnedSize | None, ...]] = [frame.sizes or (None,) for frame in design.frames]
    total = int(np.prod([len(option) for option in options])) if options else 1
    if total > MOST_COMBINATIONS:
        longest = max(len(option) for option in options)
        return [tuple(option[min(k, len(option) - 1)] for option in options) for k in range(longest)]
    return list(itertools.product(*options))


def _taken(design: Design, choice: tuple[OwnedSize | None, ...], height_m: float) -> Design:
    """The design with owned sizes taken; whatever is made to measure is scaled to the height."""
    sized = _with_frames(design, tuple(_resized(f, s) for f, s in zip(design.frames, choice, strict=True)))
    if any(size is not None for size in choice):
        return sized
    for _ in range(3):
        extent = estimated_extent(sized)
        above = extent.top - _frames_top(sized)
        factor = (height_m - above) / max(extent.top - above, 1e-6)
        sized = _stretched(sized, 1.0, float(np.clip(factor, *MEASURE)))
    return sized


def _frames_top(design: Design) -> float:
    tops = [frame.base_m + frame.height_m for frame in design.frames]
    tops += [
        y for garland in design.garlands for leg in garland.route for _, y in leg.points if not design.frames
    ]
    return max(tops, default=0.0)


def _resized(frame: Frame, size: OwnedSize | None) -> Frame:
    if size is None:
        return frame
    cover = frame.cover
    if cover and size.cover_item and size.cover_item != cover.item:
        cover = replace(cover, item=size.cover_item, label=cover.label.replace(frame.label, size.label))
    return replace(
        frame,
        item=size.item,
        label=size.label,
        width_m=size.width_m,
        height_m=size.height_m,
        weight_kg=size.weight_kg,
        cover=cover,
    )


def _with_frames(design: Design, frames: tuple[Frame, ...]) -> Design:
    """The design over other sizes of its frames: offsets, loose points and sign follow in proportion."""
    if not frames:
        return design
    across = sum(f.width_m for f in frames) / sum(f.width_m for f in design.frames)
    up = max(f.base_m + f.height_m for f in frames) / max(f.base_m + f.height_m for f in design.frames)
    placed = tuple(replace(f, x_m=f.x_m * across) for f in frames)
    return _loose_parts_scaled(replace(design, frames=placed), across, up)


def _stretched(design: Design, across: float, up: float) -> Design:
    """Everything made to measure scaled in width and height."""
    frames = tuple(
        f
        if f.sizes
        else replace(
            f,
            width_m=f.width_m * across,
            height_m=f.height_m * up,
            base_m=f.base_m * up,
            points=tuple((x * across, y * up) for x, y in f.points),
        )
        for f in design.frames
    )
    frames = tuple(replace(f, x_m=f.x_m * across) for f in frames)
    return _loose_parts_scaled(replace(design, frames=frames), across, up)


def _loose_parts_scaled(design: Design, across: float, up: float) -> Design:
    garlands = tuple(_scaled_garland(garland, across, up) for garland in design.garlands)
    sign = design.sign
    if sign:
        sign = replace(sign, x_m=sign.x_m * across, y_m=sign.y_m * up)
    walls = tuple(
        replace(wall, width_m=wall.width_m * across, height_m=wall.height_m * up, x_m=wall.x_m * across)
        for wall in design.walls
    )
    bouquets = tuple(
        replace(bouquet, x_m=bouquet.x_m * across, top_m=bouquet.top_m * up) for bouquet in design.bouquets
    )
    return replace(design, garlands=garlands, sign=sign, walls=walls, bouquets=bouquets)


def _scaled_garland(garland: Garland, across: float, up: float) -> Garland:
    def scaled(leg: Leg) -> Leg:
        return replace(
            leg,
            length_m=leg.length_m * across,
            sag_m=leg.sag_m * up,
            points=tuple((x * across, y * up) for x, y in leg.points),
        )

    return replace(garland, route=tuple(scaled(leg) for leg in garland.route))


@dataclass(frozen=True, slots=True)
class _Spread:
    """A design with its frames moved, or, made to measure, widened by a factor; its estimated extent."""

    design: Design
    factor: float
    extent: Extent


def _spread_range(design: Design) -> tuple[float, float]:
    return SPREAD if any(frame.sizes for frame in design.frames) else MEASURE


def _spread(design: Design, factor: float) -> _Spread:
    if any(frame.sizes for frame in design.frames):
        frames = tuple(replace(f, x_m=f.x_m * factor) for f in design.frames)
        moved = _loose_parts_scaled(replace(design, frames=frames), factor, 1.0)
    else:
        moved = _stretched(design, factor, 1.0)
    return _Spread(moved, factor, estimated_extent(moved))


def _spread_to(design: Design, width_m: float) -> tuple[_Spread, float]:
    """The design with its frames moved or widened until its width comes nearest to ``width_m``, and by which share
    of it the farthest these frames go stays away, 0 where the width lies within what they make.

    Width grows nearly in proportion to the factor, so that a few steps of regula falsi settle it. Walls grow by
    whole columns, so the nearest of all that were tried is taken.
    """
    low, high = _spread_range(design)
    best = one = _spread(design, 1.0)
    ends: dict[bool, _Spread] = {}  # the last that were too narrow (False) and too wide (True)
    for step in range(SPREAD_STEPS):
        if abs(one.extent.width - width_m) < CLOSE * width_m:
            return one, 0.0
        ends[one.extent.width > width_m] = one
        if len(ends) == 2:
            share = (width_m - ends[False].extent.width) / (
                ends[True].extent.width - ends[False].extent.width
            )
            factor = ends[False].factor + share * (ends[True].factor - ends[False].factor)
        elif step == 0:
            factor = min(max((width_m / one.extent.width) ** 1.5, low), high)
        else:
            factor = high if one.extent.width < width_m else low
        if factor == one.factor:
            break  # as far as it goes
        one = _spread(design, factor)
        if abs(one.extent.width - width_m) < abs(best.extent.width - width_m):
            best = one
    return best, 0.0 if len(ends) == 2 else abs(best.extent.width / width_m - 1)
