"""Tie points of a garland on the page: their marks in the picture, their list, and the forms that change them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from quoting.craft.design.faults import DesignError
from quoting.craft.design.records import Design, Garland
from quoting.craft.rigging.tie_points import NOTHING, TiePoint, tie_points
from quoting.craft.settle.laying import route_in
from quoting.craft.table.things import Thing, ref_of
from quoting.drawing_table.forms import ActForm
from quoting.drawing_table.panel import FormGroup, Forms
from quoting.set_pieces import measures

BY_RULE = "Worked out from its length, weight and turns. Change one and they are yours."
BY_HAND = "Put by hand."


@dataclass(frozen=True, slots=True)
class TieRow:
    """A tie of a garland: its number as the build sheet has it, its place along [m], and in words."""

    number: int
    station_m: float
    words: str
    is_held: bool


def tie_rows(design: Design, ties: Sequence[TiePoint], units: str) -> list[TieRow]:
    """The ties of one garland in words, in their order."""
    labels = {frame.id: frame.label for frame in design.frames}
    return [
        TieRow(
            number,
            tie.station_m,
            _words(number, tie, labels.get(tie.frame, ""), units),
            tie.holder != NOTHING,
        )
        for number, tie in enumerate(ties, 1)
    ]


def tie_group(design: Design, thing: Thing, make: Forms) -> FormGroup | None:
    """The ties of a garland with their forms; None for everything else, and where it can't be laid."""
    if not isinstance(thing, Garland):
        return None
    index = design.garlands.index(thing)
    try:
        route = route_in(design, index)
    except DesignError:
        return None
    rows = tie_rows(design, tie_points(design, index, route), make.units)
    return FormGroup(
        "ties", "Tie points", tuple(_forms(thing, rows, route.length_m, make)), tuple(row.words for row in rows),
        buttons=(("ties-worked-out", "As worked out"),) if thing.ties else (), note=BY_HAND if thing.ties else BY_RULE,
    )  # fmt: skip


# Private


def _words(number: int, tie: TiePoint, frame: str, units: str) -> str:
    on = f" on {frame[:1].lower()}{frame[1:]}" if frame else ""
    held = "nothing near to tie to" if tie.holder == NOTHING else f"{tie.holder}{on}"
    return f"No. {number} at {measures.place(tie.station_m, units)}: {held}"


def _forms(garland: Garland, rows: Sequence[TieRow], length_m: float, make: Forms) -> Iterator[ActForm]:
    ref, numbers = ref_of(garland), [(str(row.number - 1), f"No. {row.number}") for row in rows]
    yield make.make("add-tie", {"station_m": length_m / 2}, thing=ref, verb="Add", key="add-tie")
    if rows:
        names = {"index": 0, "station_m": rows[0].station_m}
        yield make.make("move-tie", names, thing=ref, verb="Move", choices={"index": numbers})
        yield make.make("remove-tie", {"index": 0}, thing=ref, verb="Remove", choices={"index": numbers})
