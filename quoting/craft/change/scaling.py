"""A design at other proportions: frames in other sizes, moved together or apart, or made to measure."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, Final

import numpy as np

from quoting.craft.change.extent import Extent, estimated_extent
from quoting.craft.change.following import with_things_following
from quoting.craft.design.records import USUAL_FULLNESS, Cover, Design, Frame, Garland, Leg, OwnedSize
from quoting.craft.design.schema import FARTHEST, held
from quoting.craft.design.toppers import seated

# Settings of the search.
SPREAD = (0.55, 1.8)  # how far frames may be moved together or apart, as a factor on their distances
MEASURE = (0.25, 4.0)  # how far a frame made to measure may be scaled
MOST_COMBINATIONS = 4096
CLOSE = 0.006  # a width estimated this near to the asked one is met
SPREAD_STEPS = 6
KEPT = 256
"""Scaled designs that are kept: another fullness or width of a piece asks for mostly the same ones."""
UNFILLED: Final[dict[str, Any]] = {
    "fullness": USUAL_FULLNESS,
    "fillers": None,
    "strung": None,
    "fullest": None,
}
"""What is said of how full a garland is, as if nothing were said."""

Points = tuple[tuple[float, float], ...]
Choice = tuple[OwnedSize | None, ...]
"""One size for each frame of a design; None for what is made to measure."""


@dataclass(frozen=True, slots=True)
class Spread:
    """A design with its frames moved, or, made to measure, widened by a factor; its estimated extent."""

    design: Design
    factor: float
    extent: Extent


def combinations(design: Design) -> list[Choice]:
    """List every way of taking one owned size for each frame. Above MOST_COMBINATIONS all frames grow or shrink
    together.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> len(combinations(design)), [len(frame.sizes) for frame in design.frames]
    (16, [4, 4])
    """
    options: list[Choice] = [frame.sizes or (None,) for frame in design.frames]
    total = int(np.prod([len(option) for option in options])) if options else 1
    if total > MOST_COMBINATIONS:
        longest = max(len(option) for option in options)
        return [tuple(option[min(k, len(option) - 1)] for option in options) for k in range(longest)]
    return list(itertools.product(*options))


def bend(design: Design, choice: Choice) -> float:
    """Measure how far a choice of sizes is from the frames' proportions to each other and, at half the weight, from
    each frame's own. It is 0 where all scale alike.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> [round(bend(design, choice), 2) for choice in combinations(design)][:3]
    [0.33, 0.76, 1.18]
    """
    pairs = [(f, s) for f, s in zip(design.frames, choice, strict=True) if s is not None]
    if not pairs:
        return 0.0
    up, across = [s.height_m / f.height_m for f, s in pairs], [s.width_m / f.width_m for f, s in pairs]
    shape = max(max(u / a, a / u) for u, a in zip(up, across, strict=True)) - 1
    return max(up) / min(up) + max(across) / min(across) - 2 + shape / 2


def keeps_stagger(design: Design, choice: Choice) -> bool:
    """Say whether frames of unlike size stay unlike, in the same order, and those of like size stay alike.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> sum(keeps_stagger(design, choice) for choice in combinations(design))
    6
    """
    pairs = [(f, s) for f, s in zip(design.frames, choice, strict=True) if s is not None]
    for (one, its_size), (other, other_size) in itertools.combinations(pairs, 2):
        if one.shape != other.shape:
            continue
        before, after = one.height_m - other.height_m, its_size.height_m - other_size.height_m
        if _sign(before) != _sign(after):
            return False
    return True


def orderly_choices(design: Design) -> list[Choice]:
    """List the combinations that keep the stagger; only the frames as they are where the studio owns none such.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> len(orderly_choices(design))
    6
    """
    return [choice for choice in combinations(design) if keeps_stagger(design, choice)] or [
        as_they_are(design)
    ]


def as_they_are(design: Design) -> Choice:
    """Give the sizes that the frames have now, owned or not."""
    return tuple(
        OwnedSize(item=f.item, label=f.label, width_m=f.width_m, height_m=f.height_m, weight_kg=f.weight_kg)
        for f in design.frames
    )


def taken(design: Design, choice: Choice, height_m: float) -> Design:
    """Take the chosen sizes; scale whatever is made to measure to the height [m]."""
    return _filled_as(design, _taken(_unfilled(design), choice, height_m))


def frames_top(design: Design) -> float:
    """Give the height of the highest frame [m], or without frames of the highest point of a route.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> frames_top(design)
    2.13
    """
    tops = [frame.base_m + frame.height_m for frame in design.frames]
    tops += [
        y for garland in design.garlands for leg in garland.route for _, y in leg.points if not design.frames
    ]
    return max(tops, default=0.0)


def spread_range(design: Design) -> tuple[float, float]:
    """Give the least and the largest factor by which the design may be spread.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> spread_range(load_design(STARTERS / "table-garland.json"))
    (0.55, 1.8)
    """
    return SPREAD if any(frame.sizes for frame in design.frames) else MEASURE


def spread(design: Design, factor: float) -> Spread:
    """Move the frames apart by a factor; a design made to measure becomes that much wider.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> [round(frame.x_m, 2) for frame in spread(design, 1.2).design.frames]
    [0.5, -0.5]
    """
    found = _spread(_unfilled(design), factor)
    return replace(found, design=_filled_as(design, found.design))


def spread_to(design: Design, width_m: float) -> tuple[Spread, float]:
    """Move or widen the frames until the width comes nearest to ``width_m``. The second value is the share of it that
    stays missing at the end of what these frames make; 0 where they make it.

    Width grows nearly in proportion to the factor, so that a few steps of regula falsi settle it. Walls grow by
    whole columns, so the nearest of all that were tried is taken.
    """
    low, high = spread_range(design)
    best = one = spread(design, 1.0)
    ends: dict[bool, Spread] = {}  # the last that were too narrow (False) and too wide (True)
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
        one = spread(design, factor)
        if abs(one.extent.width - width_m) < abs(best.extent.width - width_m):
            best = one
    return best, 0.0 if len(ends) == 2 else abs(best.extent.width / width_m - 1)


def forget() -> None:
    """Drop the scaled designs that are kept, so that a measurement of the work measures the work."""
    _spread.cache_clear()
    _taken.cache_clear()


# Private


@lru_cache(maxsize=KEPT)
def _taken(design: Design, choice: Choice, height_m: float) -> Design:
    sized = _with_frames(design, tuple(_resized(f, s) for f, s in zip(design.frames, choice, strict=True)))
    if any(size is not None for size in choice):
        return sized
    for _ in range(3):
        extent = estimated_extent(sized)
        above = extent.top - frames_top(sized)
        factor = (height_m - above) / max(extent.top - above, 1e-6)
        sized = _stretched(sized, 1.0, float(np.clip(factor, *MEASURE)))
    return sized


@lru_cache(maxsize=KEPT)
def _spread(design: Design, factor: float) -> Spread:
    if any(frame.sizes for frame in design.frames):
        frames = tuple(held(f, x_m=f.x_m * factor) for f in design.frames)
        moved = _followed(design, frames, factor, 1.0)
    else:
        moved = _stretched(design, factor, 1.0)
    return Spread(moved, factor, estimated_extent(moved))


def _unfilled(design: Design) -> Design:
    """The design without what is said of its fillers, which moves neither frame nor string."""
    return replace(design, garlands=tuple(replace(one, **UNFILLED) for one in design.garlands))


def _filled_as(design: Design, scaled: Design) -> Design:
    """The scaled design with the same said of its fillers as of another."""
    pairs = zip(scaled.garlands, design.garlands, strict=True)
    garlands = tuple(replace(one, **{name: getattr(own, name) for name in UNFILLED}) for one, own in pairs)
    return replace(scaled, garlands=garlands)


def _sign(length_m: float) -> int:
    """-1, 0 or 1: which of two is longer, where a millimetre counts as alike."""
    return (length_m > 0.001) - (length_m < -0.001)


def _resized(frame: Frame, size: OwnedSize | None) -> Frame:
    if size is None:
        return frame
    cover = frame.cover
    if cover and size.item != frame.item:
        cover = replace(
            cover, item=size.cover_item or _cover_code(frame, size), label=_cover_label(cover, size)
        )
    return replace(
        frame,
        item=size.item,
        label=size.label,
        width_m=size.width_m,
        height_m=size.height_m,
        weight_kg=size.weight_kg,
        points=_points_in(frame, size.width_m, size.height_m),
        cover=cover,
    )


def _cover_code(frame: Frame, size: OwnedSize) -> str:
    """The code of the same cover for another size of its frame, by the names of both."""
    assert frame.cover is not None
    stem = frame.item.removeprefix("frame-")
    if stem in frame.cover.item:
        return frame.cover.item.replace(stem, size.item.removeprefix("frame-"))
    return f"{frame.cover.item}-{size.item}"[:60].rstrip("-")


def _cover_label(cover: Cover, size: OwnedSize) -> str:
    kind = f", {cover.colour}" if cover.colour else ""
    return f"Cover for {size.label[:1].lower()}{size.label[1:]}{kind}"[:80]


def _with_frames(design: Design, frames: tuple[Frame, ...]) -> Design:
    """The design over other sizes of its frames: offsets and loose points follow in proportion."""
    if not frames:
        return design
    across = sum(f.width_m for f in frames) / sum(f.width_m for f in design.frames)
    up = max(f.base_m + f.height_m for f in frames) / max(f.base_m + f.height_m for f in design.frames)
    return _followed(design, tuple(held(f, x_m=f.x_m * across) for f in frames), across, up)


def _stretched(design: Design, across: float, up: float) -> Design:
    """Everything made to measure scaled in width and height."""
    frames = (f if f.sizes else _made_to_measure(f, across, up) for f in design.frames)
    return _followed(design, tuple(held(f, x_m=f.x_m * across) for f in frames), across, up)


def _made_to_measure(frame: Frame, across: float, up: float) -> Frame:
    sized = held(
        frame, width_m=frame.width_m * across, height_m=frame.height_m * up, base_m=frame.base_m * up
    )
    return replace(sized, points=_points_in(frame, sized.width_m, sized.height_m))


def _points_in(frame: Frame, width_m: float, height_m: float) -> Points:
    """The points of a free outline in another width and height [m]."""
    return tuple((x * width_m / frame.width_m, y * height_m / frame.height_m) for x, y in frame.points)


def _followed(design: Design, frames: tuple[Frame, ...], across: float, up: float) -> Design:
    """The design over other frames, with everything else scaled or following; places stay within the format's."""
    walls = (
        held(wall, width_m=wall.width_m * across, height_m=wall.height_m * up, x_m=wall.x_m * across)
        for wall in design.walls
    )
    scaled = replace(
        design,
        frames=frames,
        garlands=tuple(_scaled_garland(garland, across, up) for garland in design.garlands),
        walls=tuple(walls),
        bouquets=tuple(held(one, x_m=one.x_m * across, top_m=one.top_m * up) for one in design.bouquets),
    )
    return seated(with_things_following(design, scaled, across, up))


def _scaled_garland(garland: Garland, across: float, up: float) -> Garland:
    def scaled(leg: Leg) -> Leg:
        points = tuple((_near(x * across), _near(y * up)) for x, y in leg.points)
        return replace(held(leg, length_m=leg.length_m * across, sag_m=leg.sag_m * up), points=points)

    return replace(garland, route=tuple(scaled(leg) for leg in garland.route))


def _near(place_m: float) -> float:
    return min(max(place_m, -FARTHEST), FARTHEST)
