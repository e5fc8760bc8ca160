"""Which of the owned sizes a piece of another size takes: by the height first, then as far as they spread."""

from __future__ import annotations

from dataclasses import dataclass

from quoting.craft.change.extent import estimated_extent
from quoting.craft.change.scaling import (
    Choice,
    bend,
    frames_top,
    orderly_choices,
    spread,
    spread_range,
    spread_to,
    taken,
)
from quoting.craft.design.records import Design
from quoting.craft.settle.laying import routes_of

# Settings of the search.
LOOKED_AT = 6  # of all combinations of owned sizes, those looked at closely
TOLERANCE = 0.02
"""How far a piece may come out from the asked size, as a share of it."""


@dataclass(frozen=True, slots=True)
class Reach:
    """The least and the largest width that a choice of frames can be spread to, as estimated [m]."""

    low_m: float
    most_m: float

    def holds(self, wide_m: float) -> bool:
        return self.low_m * (1 - TOLERANCE) <= wide_m <= self.most_m * (1 + TOLERANCE)


def reach_of(sized: Design) -> Reach:
    """Estimate how narrow and how wide the frames of a design can be spread."""
    widths = [spread(sized, factor).extent.width for factor in spread_range(sized)]
    return Reach(min(widths), max(widths))


def frames_for(chosen: Design, *, wide_m: float, high_m: float) -> Choice:
    """Choose the owned sizes that come nearest to the height; where these can't be spread to the width, bigger ones
    that go on from there, or smaller ones where it is narrower.

    Which frames go on from which depends on the height alone, so that no wider piece is a smaller one. ``wide_m`` and
    ``high_m`` are as estimates count, without what the balloons add at rest.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> [size.label for size in frames_for(design, wide_m=2.9, high_m=2.5)]
    ['Arch frame 7 ft', 'Arch frame 6 ft']
    """
    ranked = _nearest_in_height(chosen, high_m)
    at = ranked.pop(0)
    while not (reach := reach_of(taken(chosen, at, high_m))).holds(wide_m):
        onward = [
            other for other in ranked if _goes_on(chosen, at, other, high_m, wider=wide_m > reach.most_m)
        ]
        if not onward:
            break
        at = onward[0]
        ranked.remove(at)
    return at


def heights_of(chosen: Design) -> dict[float, Choice]:
    """List the heights [m] that the owned sizes make, as estimated, lowest first, each with its best choice; none where
    all is made to measure."""
    above = estimated_extent(chosen).top - frames_top(chosen)
    found: dict[float, Choice] = {}
    for choice in sorted(orderly_choices(chosen), key=lambda one: bend(chosen, one)):
        if any(choice):
            found.setdefault(round(_top(chosen, choice) + above, 3), choice)
    return dict(sorted(found.items()))


# Private


def _nearest_in_height(chosen: Design, high_m: float) -> list[Choice]:
    above = estimated_extent(chosen).top - frames_top(chosen)
    choices = orderly_choices(chosen)
    order = sorted(range(len(choices)), key=lambda k: (_rough_miss(chosen, choices[k], high_m - above), k))
    return [choices[k] for k in order[:LOOKED_AT]]


def _rough_miss(design: Design, choice: Choice, asked_top: float) -> float:
    """How badly a choice of owned sizes misses the height and bends the frames' proportions to each other."""
    if not any(choice):
        return 0.0
    return abs(_top(design, choice) / max(asked_top, 0.1) - 1) + 0.05 * bend(design, choice)


def _top(design: Design, choice: Choice) -> float:
    sized = zip(design.frames, choice, strict=True)
    return max(frame.base_m + size.height_m for frame, size in sized if size is not None)


def _goes_on(chosen: Design, at: Choice, other: Choice, high_m: float, *, wider: bool) -> bool:
    """Whether other frames make a bigger piece than these can where it is wider, or a smaller one where narrower."""
    here, there = (taken(chosen, choice, high_m) for choice in (at, other))
    joint = reach_of(here).most_m if wider else reach_of(here).low_m
    if not (reach_of(there).most_m > joint if wider else reach_of(there).low_m < joint):
        return False
    end = spread(here, spread_range(here)[1 if wider else 0]).design
    onward = spread_to(there, joint)[0].design
    bigger, smaller = (onward, end) if wider else (end, onward)
    return _area(bigger) >= _area(smaller) and _string(bigger) >= _string(smaller)


def _area(piece: Design) -> float:
    return sum(frame.width_m * frame.height_m for frame in piece.frames)


def _string(piece: Design) -> float:
    return sum(route.length_m for route in routes_of(piece))
