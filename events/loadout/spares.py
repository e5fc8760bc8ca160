"""Spare balloons: the spares of a bill as lines of their own, uninflated and within reach.

The balloons of the piece are inflated; the spares of a size are taken along in case one pops. To the shelf they are
the same item: hold, ledger and cost take a line and its spares together
(:attr:`events.models.LoadOutLine.item_code`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Final

from events.loadout.line_states import LineState
from events.loadout.standard_kit import SPARE_LABEL
from events.models import Event, LoadOutLine, LoadPlace
from events.models.loading import SPARE
from stock.models import Item, Kind
from studio.trade.latex import round_name

FIRST_POSITION: Final = 20
"""Spares are loaded after everything else, by size."""
OF_NO_SIZE: Final = 99


def spare_code(code: str) -> str:
    """The code of the line with the spares of that item."""
    return f"{SPARE}{code}"


def spare_line(event: Event, code: str, label: str, quantity: int, item: Item | None) -> LoadOutLine:
    """The line with the spares of an item, not saved yet; ``label`` is the item's own."""
    return LoadOutLine(
        event=event,
        code=spare_code(code),
        spare_of=code,
        label=_label(label, item)[:160],
        quantity=quantity,
        place=LoadPlace.AT_HAND,
        position=FIRST_POSITION + ((item and item.size_in) or OF_NO_SIZE),
        shelf_place=item.place if item else "",
        dropped=False,
    )


def share_out(states: Iterable[LineState]) -> list[LineState]:
    """Divide what concerns an item and its spares together between their two lines.

    More loaded than the piece needs means spares: a list may have been ticked before spares had a line of their own,
    or by a phone that didn't know of it yet. What is short is short of the spares first.
    """
    found = list(states)
    place_of = {state.line.code: place for place, state in enumerate(found)}
    for place, spare in enumerate(found):
        own = place_of.get(spare.line.spare_of)
        if own is not None:
            found[own], found[place] = _divided(found[own], spare)
    return found


def group_by_item(states: Sequence[LineState]) -> list[list[LineState]]:
    """The lines by item, each with its spares, in the order of loading."""
    found: dict[str, list[LineState]] = {}
    for state in states:
        found.setdefault(state.line.item_code, []).append(state)
    return list(found.values())


# --- Private ---


def _label(label: str, item: Item | None) -> str:
    if item is None or item.kind != Kind.LATEX or item.colour is None or item.size_in is None:
        return f"{SPARE_LABEL}{label}"
    return f"{SPARE_LABEL}{round_name(item.size_in, item.colour.name.lower())}"


def _divided(own: LineState, spare: LineState) -> tuple[LineState, LineState]:
    more = min(max(0, own.count - own.line.quantity), spare.line.quantity)
    if more and spare.at is None:
        spare = replace(spare, count=more, by=own.by, at=own.at)
    lacks = min(own.short, spare.line.quantity)
    return replace(own, count=own.count - more, short=own.short - lacks), replace(spare, short=lacks)
