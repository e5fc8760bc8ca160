"""Fit: the frames, out of those owned, and the scale that make a set piece of the asked size."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace

import numpy as np

from quoting.craft.design import Design, DesignError, Fault, Frame, Garland, Leg, OwnedSize
from quoting.craft.frames import face
from quoting.craft.garland import body_diameter_m
from quoting.craft.routes import route_of

SPREAD = (0.55, 1.6)  # how far frames may be moved together or apart, as a factor on their distances
MEASURE = (0.25, 4.0)  # how far a frame made to measure may be scaled
TOLERANCE = 0.06  # how far the result may stay from the asked size, as a share of it
MOST_COMBINATIONS = 4096
REACH = 1.02  # from string to outside of the quads, in mean diameters of the body balloons


@dataclass(frozen=True, slots=True)
class Extent:
    """Overall size estimated from frames and routes, before any balloon is placed [m]."""

    left: float
    right: float
    top: float

    @property
    def width(self) -> float:
        return self.right - self.left


def estimated_extent(design: Design) -> Extent:
    """Overall extent of a design from its frames and the reach of its garlands [m]."""
    left, right, top = [], [], []
    for frame in design.frames:
        points = face(frame)
        left.append(float(points[:, 0].min()))
        right.append(float(points[:, 0].max()))
        top.append(float(points[:, 1].max()))
    for garland in design.garlands:
        ball = body_diameter_m(garland)
        route = route_of(garland, design.frames, ball_m=ball)
        reach = REACH * ball * np.interp(route.thickness, [0.5, 1.0, 1.8], [0.85, 1.0, 1.15])
        left.append(float((route.points[:, 0] - reach).min()))
        right.append(float((route.points[:, 0] + reach).max()))
        top.append(float((route.points[:, 1] + reach).max()))
    return Extent(min(left), max(right), max(top))


def scale_to(design: Design, *, width_m: float, height_m: float) -> Design:
    """The design at the asked overall size.

    Each frame takes that of its owned sizes which together come nearest to ``height_m``; frames made to measure
    are scaled. Frames then move apart or together until the width is met. Raises DesignError, naming
    ``width_m`` or ``height_m`` and the range that these frames make, where they cannot make it.
    """
    faults = [
        Fault(name, f"is {value:g}; allowed is a number from 0.2 to {most}")
        for name, value, most in (("width_m", width_m, 60), ("height_m", height_m, 20))
        if not 0.2 <= value <= most
    ]
    if faults:
        raise DesignError(faults)
    tried = [(choice, _taken(design, choice, height_m)) for choice in _combinations(design)]
    heights = [estimated_extent(one).top for _, one in tried]
    low, high = min(heights), max(heights)
    if not low * (1 - TOLERANCE) <= height_m <= high * (1 + TOLERANCE):
        raise DesignError([_refusal("height_m", height_m, low, high)])
    best: tuple[tuple[float, float], Design] | None = None
    ranges = []
    for (_, one), height in zip(tried, heights, strict=True):
        miss = _miss(height, height_m)
        spread, (narrow, wide) = _spread_to(one, width_m)
        ranges.append((narrow, wide))
        gap = max(narrow - width_m, width_m - wide, 0.0) / width_m
        if gap <= TOLERANCE:
            rank = (round(miss + gap, 6), round(abs(estimated_extent(spread).width - width_m), 6))
            if best is None or rank < best[0]:
                best = (rank, spread)
    if best is None or best[0][0] > 0.5:
        raise DesignError([_refusal("width_m", width_m, min(r[0] for r in ranges), max(r[1] for r in ranges))])
    return best[1]


# Private


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
    return off * 2.0 if off > 0 else -off


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
    tops += [y for garland in design.garlands for leg in garland.route for _, y in leg.points if not design.frames]
    return max(tops, default=0.0)


def _resized(frame: Frame, size: OwnedSize | None) -> Frame:
    if size is None:
        return frame
    cover = frame.cover
    if cover and size.cover_item and size.cover_item != cover.item:
        cover = replace(cover, item=size.cover_item, label=cover.label.replace(frame.label, size.label))
    return replace(
        frame, item=size.item, label=size.label, width_m=size.width_m, height_m=size.height_m,
        weight_kg=size.weight_kg, cover=cover,
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
        f if f.sizes else replace(f, width_m=f.width_m * across, height_m=f.height_m * up, base_m=f.base_m * up,
                                  points=tuple((x * across, y * up) for x, y in f.points))
        for f in design.frames
    )
    frames = tuple(replace(f, x_m=f.x_m * across) for f in frames)
    return _loose_parts_scaled(replace(design, frames=frames), across, up)


def _loose_parts_scaled(design: Design, across: float, up: float) -> Design:
    garlands = tuple(_scaled_garland(garland, across, up) for garland in design.garlands)
    sign = design.sign
    if sign:
        sign = replace(sign, x_m=sign.x_m * across, y_m=sign.y_m * up)
    return replace(design, garlands=garlands, sign=sign)


def _scaled_garland(garland: Garland, across: float, up: float) -> Garland:
    def scaled(leg: Leg) -> Leg:
        return replace(
            leg, length_m=leg.length_m * across, sag_m=leg.sag_m * up,
            points=tuple((x * across, y * up) for x, y in leg.points),
        )

    return replace(garland, route=tuple(scaled(leg) for leg in garland.route))


def _spread_to(design: Design, width_m: float) -> tuple[Design, tuple[float, float]]:
    """The design with its frames moved (or, made to measure, widened) to the width, and the range that allows."""
    free = not any(frame.sizes for frame in design.frames)
    limits = MEASURE if free else SPREAD

    def moved(factor: float) -> Design:
        if free:
            return _stretched(design, factor, 1.0)
        frames = tuple(replace(f, x_m=f.x_m * factor) for f in design.frames)
        return _loose_parts_scaled(replace(design, frames=frames), factor, 1.0)

    narrow, wide = (estimated_extent(moved(factor)).width for factor in limits)
    low, high = limits
    if width_m <= narrow or width_m >= wide:
        return moved(low if width_m <= narrow else high), (narrow, wide)
    for _ in range(24):
        middle = (low + high) / 2
        if estimated_extent(moved(middle)).width < width_m:
            low = middle
        else:
            high = middle
    return moved((low + high) / 2), (narrow, wide)
