"""Spare balloons: the loss allowance of a bill as lines of their own, that stay flat and within reach.

What the piece needs is blown up; the spares of a size go along in case one pops. They are the same balloons to the
shelf: hold, ledger and cost take a line and its spares together, by :attr:`events.models.LoadOutLine.item_code`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any, Final

from events.loadout.line_states import LineState
from events.models import LoadPlace
from events.models.loading import SPARE
from stock.models import Item, Kind

FIRST_POSITION: Final = 20
"""Spares are loaded after everything else, by size."""
OF_NO_SIZE: Final = 99


def code_of(code: str) -> str:
    """The code of the line with the spares of that item."""
    return f"{SPARE}{code}"


def facts(code: str, label: str, quantity: int, item: Item | None) -> dict[str, Any]:
    """What the line with the spares of a thing says; ``label`` is what the thing itself is called."""
    return {
        "code": code_of(code),
        "spare_of": code,
        "label": _label(label, item)[:160],
        "quantity": quantity,
        "place": LoadPlace.AT_HAND,
        "position": FIRST_POSITION + ((item and item.size_in) or OF_NO_SIZE),
        "shelf_place": item.place if item else "",
    }


def shared_out(states: Iterable[LineState]) -> list[LineState]:
    """The lines with what concerns a thing and its spares as a whole divided between the two.

    Who loaded more than the piece needs has loaded spares: a list may have been ticked before its spares were told
    apart, or by a phone that didn't know of it yet. What was missing when it was agreed is missing from the spares
    first.
    """
    found = list(states)
    place_of = {state.line.code: place for place, state in enumerate(found)}
    for place, spare in enumerate(found):
        own = place_of.get(spare.line.spare_of)
        if own is not None:
            found[own], found[place] = _divided(found[own], spare)
    return found


def together(states: Sequence[LineState]) -> list[list[LineState]]:
    """The lines by what the shelf calls them: a thing and its spares in one, in the order of loading."""
    found: dict[str, list[LineState]] = {}
    for state in states:
        found.setdefault(state.line.item_code, []).append(state)
    return list(found.values())


# --- Private ---


def _label(label: str, item: Item | None) -> str:
    if item is None or item.kind != Kind.LATEX or item.colour is None:
        return f"Spare {label}"
    return f"Spare {item.size_in} in, {item.colour.name.lower()}"


def _divided(own: LineState, spare: LineState) -> tuple[LineState, LineState]:
    more = min(max(0, own.count - own.line.quantity), spare.line.quantity)
    if more and spare.at is None:
        spare = replace(spare, count=more, by=own.by, at=own.at)
    lacks = min(own.short, spare.line.quantity)
    return replace(own, count=own.count - more, short=own.short - lacks), replace(spare, short=lacks)
