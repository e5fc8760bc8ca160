"""Fit: the frames, out of those owned, and the scale that make a set piece of the asked size."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace

import numpy as np

from quoting.craft.build import built, routes_of
from quoting.craft.design import Design, DesignError, Fault, Frame, Garland, Leg, OwnedSize
from quoting.craft.frames import face
from quoting.craft.garland import CLUSTER, body_diameter_m, mean_diameter_m, tied_on
from quoting.craft.packing import stack
from quoting.craft.routes import route_of

SPREAD = (0.55, 1.6)  # how far frames may be moved together or apart, as a factor on their distances
MEASURE = (0.25, 4.0)  # how far a frame made to measure may be scaled
TOLERANCE = 0.06  # how far the result may stay from the asked size, as a share of it
MOST_COMBINATIONS = 4096
TRIED = 6  # of all combinations of owned sizes, those looked at closely
CLOSE = 0.004  # a width this near to the asked one is met
REACH, ROUND_REACH = (
    0.95,
    0.30,
)  # from string to outside: shares of the mean diameter and of the biggest in quads


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
        route = route_of(garland, design.frames, ball_m=ball, mirrored=design.mirrored)
        reach = _reach(garland) * np.interp(route.thickness, [0.5, 1.0, 1.8], [0.85, 1.0, 1.15])
        tied = tied_on(garland, route) if garland.work == "organic" else None
        for x, y, r in [(route.points[:, 0], route.points[:, 1], reach)] + (
            [(tied.centres[:, 0], tied.centres[:, 1], tied.radii)] if tied and len(tied.radii) else []
        ):
            left.append(float((x - r).min()))
            right.append(float((x + r).max()))
            top.append(float((y + r).max()))
    for wall in design.walls:
        left.append(wall.x_m - wall.width_m / 2)
        right.append(wall.x_m + wall.width_m / 2)
        top.append(wall.height_m)
    for bouquet in design.bouquets:
        left.append(bouquet.x_m - 1.1 * bouquet.sized_m)
        right.append(bouquet.x_m + 1.1 * bouquet.sized_m)
        top.append(bouquet.top_m)
    return Extent(min(left), max(right), max(top))


def measured_extent(design: Design) -> Extent:
    """Overall extent with the balloons of garlands settled, fillers left out [m].

    Slower than ``estimated_extent`` by the settling. DesignError as in ``build.routes_of``.
    """
    made = built(design, routes_of(design), fill=False)
    rough = estimated_extent(replace(design, garlands=(), walls=(), bouquets=())) if design.frames else None
    if not made.columns:
        return rough or estimated_extent(design)
    x, y, r = made.columns["centres"][:, 0], made.columns["centres"][:, 1], made.columns["radius"]
    left, right, top = float((x - r).min()), float((x + r).max()), float((y + r).max())
    if rough is None:
        return Extent(left, right, top)
    return Extent(min(left, rough.left), max(right, rough.right), max(top, rough.top))


def scale_to(design: Design, *, width_m: float, height_m: float) -> Design:
    """The design at the asked overall size.

    Each frame takes that of its owned sizes which together come nearest to ``height_m`` and keep the frames'
    proportions to each other; frames made to measure are scaled. Frames then move apart or together until the
    width is met. Raises DesignError, naming ``width_m`` or ``height_m`` and the range that these frames make,
    where they cannot make it.
    """
    faults = [
        Fault(name, f"is {value:g}; allowed is a number from 0.2 to {most}")
        for name, value, most in (("width_m", width_m, 60), ("height_m", height_m, 20))
        if not 0.2 <= value <= most
    ]
    if faults:
        raise DesignError(faults)
    estimate, measured = estimated_extent(design), measured_extent(design)
    across, up = (
        float(np.clip(a / b, 0.75, 1.35))
        for a, b in ((measured.width, estimate.width), (measured.top, estimate.top))
    )
    return _scaled(design, width_m / across, height_m / up, across, up)


# Private


def _scaled(design: Design, width_m: float, height_m: float, across: float, up: float) -> Design:
    """``scale_to`` in estimated sizes; ``across`` and ``up`` turn them into measured ones for what is
    said.
    """
    above = estimated_extent(design).top - _frames_top(design)
    ranked = sorted(
        (_rough_miss(design, choice, height_m - above), k, choice)
        for k, choice in enumerate(_combinations(design))
    )
    tried = [_taken(design, choice, height_m) for _, _, choice in ranked[:TRIED]]
    heights = [estimated_extent(one).top for one in tried]
    if min(abs(height - height_m) for height in heights) > TOLERANCE * height_m:
        low, high = _height_range(design, above)
        if not low <= height_m <= high:
            raise DesignError([_refusal("height_m", height_m * up, low * up, high * up)])
    best: tuple[float, Design] | None = None
    ranges = []
    for (rough, _, _), one, height in zip(ranked, tried, heights, strict=False):
        spread, narrow, wide = _spread_to(one, width_m)
        ranges.append((narrow, wide))
        gap = max(narrow - width_m, width_m - wide, 0.0) / width_m
        rank = _miss(height, height_m) + 0.5 * gap + 0.3 * rough
        if gap <= TOLERANCE and (best is None or rank < best[0] - 1e-9):
            best = (rank, spread)
    if best is None:
        low, high = min(r[0] for r in ranges), max(r[1] for r in ranges)
        raise DesignError([_refusal("width_m", width_m * across, low * across, high * across)])
    return best[1]


def _reach(garland: Garland) -> float:
    """Distance from the string to the outermost balloons of the quads [m]."""
    if garland.work == "classic":
        return stack(CLUSTER[garland.cluster], body_diameter_m(garland)).outer_diameter / 2
    biggest = max(entry.sized_high_m for entry in garland.mix if entry.role in ("body", "round"))
    return REACH * mean_diameter_m(garland) + ROUND_REACH * biggest


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


def _spread_to(design: Design, width_m: float) -> tuple[Design, float, float]:
    """The design with its frames moved (or, made to measure, widened) to the width, and the range that
    allows.

    Width grows nearly in proportion to the factor, so that a few steps of regula falsi settle it.
    """
    free = not any(frame.sizes for frame in design.frames)
    low, high = MEASURE if free else SPREAD

    def moved(factor: float) -> Design:
        if free:
            return _stretched(design, factor, 1.0)
        frames = tuple(replace(f, x_m=f.x_m * factor) for f in design.frames)
        return _loose_parts_scaled(replace(design, frames=frames), factor, 1.0)

    narrow, wide = (estimated_extent(moved(factor)).width for factor in (low, high))
    if width_m <= narrow or width_m >= wide:
        return moved(low if width_m <= narrow else high), narrow, wide
    least, most, one = narrow, wide, design
    for _ in range(6):
        factor = low + (high - low) * (width_m - least) / (most - least)
        one = moved(factor)
        width = estimated_extent(one).width
        if abs(width - width_m) < CLOSE * width_m:
            break
        if width < width_m:
            low, least = factor, width
        else:
            high, most = factor, width
    return one, narrow, wide
