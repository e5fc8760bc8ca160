"""Tools and safety items taken to every event by rule (common practice, no source; local codes decide)."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from events.models import Event
from stock.models import Item
from studio.trade.sentences import to_translate
from studio.trade.tools import BY_HEIGHT, PUMP, SCISSORS, TAPE, Tool, tools_for

PREFIX: Final = "along-"
"""Prefix of the code of an item that the shelf doesn't have."""


@dataclass(frozen=True, slots=True)
class KitItem:
    """One item to take: the shelf's own where it has one, else by its plain name."""

    code: str
    label: str
    why: str
    shelf_place: str = ""


FIRST_AID: Final = Tool("first-aid", "First-aid box", to_translate("always"), ("first-aid",))
EXTINGUISHER: Final = Tool(
    "extinguisher", "Fire extinguisher", to_translate("required by the venue"), ("extinguisher",)
)
SPARE_LABEL: Final = "Spare "
"""How the labels of lines of spare balloons begin."""
TO_HIRE_OR_BUY: Final = to_translate("to hire or buy")
OUR_WORDS: Final = frozenset(
    {
        TO_HIRE_OR_BUY,
        *(tool.why for tool in (FIRST_AID, EXTINGUISHER, PUMP, SCISSORS, TAPE, *BY_HEIGHT.values())),
    }
)
"""What the details of a load-out line say in words of ours."""


def choose_kit(event: Event, tools: Iterable[Item], *, balloons: bool) -> list[KitItem]:
    """The kit for the event; ``tools`` are those on the shelf."""
    on_shelf = sorted(tools, key=lambda item: item.pk)
    wanted = [FIRST_AID, *tools_for(event.working_height_m, balloons=balloons)]
    if event.venue and "extinguisher" in event.venue.fire_rules.lower():
        wanted.append(EXTINGUISHER)
    return [_kit_item(tool, on_shelf) for tool in wanted]


# --- Private ---


def _kit_item(tool: Tool, on_shelf: Sequence[Item]) -> KitItem:
    """The shelf has it by the first of its words: a hand pump before an inflator, which needs power."""
    for word in tool.words:
        for item in on_shelf:
            if _is_named(item, word):
                return KitItem(item.code, item.name, tool.why, item.place)
    return KitItem(f"{PREFIX}{tool.code}", tool.name, tool.why)


def _is_named(item: Item, word: str) -> bool:
    return word in item.code or word.replace("-", " ") in item.name.lower().replace("-", " ")
