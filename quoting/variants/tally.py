"""What a version has, counted out of its take-offs, and how two versions differ in it."""

from __future__ import annotations

import enum
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

import msgspec

from quoting.craft.sheets.stored import StoredTakeoff

COUNTED: Final = ("balloons", "pieces", "frames", "covers", "foils", "props")
"""What is told by how many more or fewer there are."""
PARTS: Final = ("florals", "sign", "letterings")
"""What is told by being there or not."""


class Tally(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """How many of each: balloons as placed, set pieces, frames, covers; pieces of the other parts."""

    balloons: int = 0
    pieces: int = 0
    frames: int = 0
    covers: int = 0
    florals: int = 0
    sign: int = 0
    foils: int = 0
    props: int = 0
    letterings: int = 0


class Change(enum.StrEnum):
    """How a version differs from another one in one thing."""

    MORE = "more"
    FEWER = "fewer"
    ADDED = "added"
    LEFT_OUT = "left out"


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that differs: by how many, and how many there are then."""

    what: str
    change: Change
    by: int
    now: int


def tally_of(takeoffs: Iterable[StoredTakeoff]) -> Tally:
    """Count what these set pieces have; a piece with nothing in it, as an option left out, counts as none.

    >>> tally_of([]).balloons
    0
    """
    found = [takeoff for takeoff in takeoffs if takeoff.bill]
    return Tally(
        balloons=sum(each.balloons for each in found),
        pieces=len(found),
        frames=sum(len(each.frames) for each in found),
        covers=sum(each.covers for each in found),
        **{part: _in_bills(found, part) for part in ("florals", "sign", "foils", "props", "letterings")},
    )


def differences(before: Tally, after: Tally) -> list[Difference]:
    """How ``after`` differs from ``before``, in a fixed order; nothing where both have the same.

    >>> [(one.what, one.change.value, one.by) for one in differences(
    ...     Tally(balloons=200, frames=1), Tally(balloons=248, frames=2, florals=6))]
    [('balloons', 'more', 48), ('florals', 'added', 6), ('frames', 'more', 1)]
    """
    order = ("balloons", "florals", "pieces", "frames", "covers", "sign", "foils", "props", "letterings")
    return [one for what in order for one in _difference(what, getattr(before, what), getattr(after, what))]


# Private


def _in_bills(takeoffs: Iterable[StoredTakeoff], part: str) -> int:
    return sum(line.quantity for each in takeoffs for line in each.bill if line.part == part)


def _difference(what: str, before: int, after: int) -> Iterator[Difference]:
    if before == after:
        return
    if what in PARTS and not before:
        yield Difference(what, Change.ADDED, after, after)
    elif what in PARTS and not after:
        yield Difference(what, Change.LEFT_OUT, before, after)
    else:
        yield Difference(what, Change.MORE if after > before else Change.FEWER, abs(after - before), after)
