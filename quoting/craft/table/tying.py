"""Acts on tie points: one added, moved or taken out by hand, and all of them worked out again."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Final

from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.records import MOST_TIES, Design, Garland
from quoting.craft.design.schema import a_number, a_text, a_whole
from quoting.craft.rigging.tie_points import NOTHING, OWN_LINE, WALL_CLIP, TiePoint, tie_points
from quoting.craft.settle.laying import route_in
from quoting.craft.table.acted import Acted, Said, SaidCode
from quoting.craft.table.shelf import Shelf
from quoting.craft.table.things import find_garland, ref_of, with_thing

GARLAND = "reference of a garland, garland:id"
AT = "where along the garland, 0 to 1"
INDEX = "number of the tie, from the garland's beginning"
DIGITS: Final = 4
"""Digits of a place along a garland (setting)."""
SAME_M: Final = 0.02
"""Nearer than this along the garland two ties are one (setting)."""
HELD_BY: Final[Mapping[str, SaidCode]] = {
    OWN_LINE: SaidCode.TIED_TO_CEILING,
    WALL_CLIP: SaidCode.TIED_TO_WALL,
    NOTHING: SaidCode.TIED_TO_NOTHING,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class AddTie:
    """Tie a garland at one more place; the ties that were worked out stay where they are, by hand from now on."""

    thing: str = a_text(GARLAND)
    at: float = a_number(0, 1, AT)

    def on(self, design: Design, _shelf: Shelf) -> Acted:
        garland = find_garland(design, self.thing)
        return _tied(design, garland, ties_now(design, garland), self.at, SaidCode.TIE_ADDED)


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveTie:
    """Move a tie along the garland."""

    thing: str = a_text(GARLAND)
    index: int = a_whole(0, MOST_TIES, INDEX)
    at: float = a_number(0, 1, AT)

    def on(self, design: Design, _shelf: Shelf) -> Acted:
        garland = find_garland(design, self.thing)
        others = _without(ties_now(design, garland), self.index)
        return _tied(design, garland, others, self.at, SaidCode.TIE_MOVED)


@dataclass(frozen=True, slots=True, kw_only=True)
class RemoveTie:
    """Take a tie out."""

    thing: str = a_text(GARLAND)
    index: int = a_whole(0, MOST_TIES, INDEX)

    def on(self, design: Design, _shelf: Shelf) -> Acted:
        garland = find_garland(design, self.thing)
        left = _without(ties_now(design, garland), self.index)
        if not left:
            raise DesignError(Fault(code=FaultCode.LAST_TIE, field="index"))
        said = Said(SaidCode.TIE_REMOVED, garland.label)
        return Acted(with_thing(design, replace(garland, ties=left)), ref_of(garland), (said,))


@dataclass(frozen=True, slots=True, kw_only=True)
class TiesWorkedOut:
    """Let the ties of a garland be worked out again."""

    thing: str = a_text(GARLAND)

    def on(self, design: Design, _shelf: Shelf) -> Acted:
        garland = find_garland(design, self.thing)
        said = Said(SaidCode.TIES_WORKED_OUT, garland.label)
        return Acted(with_thing(design, replace(garland, ties=())), ref_of(garland), (said,))


def ties_now(design: Design, garland: Garland) -> tuple[float, ...]:
    """The ties of a garland as fractions of its length: by hand, else as they are worked out."""
    if garland.ties:
        return garland.ties
    index = design.garlands.index(garland)
    route = route_in(design, index)
    worked = (tie.station_m / route.length_m for tie in tie_points(design, index, route))
    return _in_order(worked)


# Private


def _without(ties: tuple[float, ...], index: int) -> tuple[float, ...]:
    if index >= len(ties):
        code, high = FaultCode.NO_SUCH_TIE, float(len(ties) - 1)
        raise DesignError(Fault(code=code, field="index", found=index, high=high))
    return (*ties[:index], *ties[index + 1 :])


def _in_order(ties: Iterable[float]) -> tuple[float, ...]:
    return tuple(sorted({round(tie, DIGITS) for tie in ties}))


def _tied(design: Design, garland: Garland, others: tuple[float, ...], at: float, code: SaidCode) -> Acted:
    """The garland tied at a place and at the others, but for one that is nearly there, and what holds it."""
    index = design.garlands.index(garland)
    length_m = route_in(design, index).length_m
    apart = [tie for tie in others if abs(tie - at) * length_m > SAME_M]
    if len(apart) >= MOST_TIES:
        raise DesignError(Fault(code=FaultCode.TOO_MANY_THINGS, field="at", high=MOST_TIES, what="tie"))
    after = with_thing(design, replace(garland, ties=_in_order([*apart, at])))
    here = min(
        tie_points(after, index, route_in(after, index)), key=lambda tie: abs(tie.station_m - at * length_m)
    )
    said = Said(code, garland.label, figures={"at": at, "x_m": here.x, "y_m": here.y})
    return Acted(after, ref_of(garland), (said, _held_by(after, garland, here)))


def _held_by(design: Design, garland: Garland, tie: TiePoint) -> Said:
    if tie.frame:
        label = next(frame.label for frame in design.frames if frame.id == tie.frame)
        return Said(SaidCode.TIED_TO_FRAME, garland.label, label)
    return Said(HELD_BY[tie.holder], garland.label)
