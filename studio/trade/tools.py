"""Tools that a crew needs on site, by the height of the piece and whether there are balloons. Common practice, no
source.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from studio.trade.sentences import to_translate
from studio.trade.working_height import WayUp, way_up


@dataclass(frozen=True, slots=True)
class Tool:
    """One tool: ``name`` in plain words, the ``words`` by which a stock list has it, and why it goes along."""

    code: str
    name: str
    why: str
    words: tuple[str, ...]


PUMP: Final = Tool(
    "pump", "Hand pump or inflator", to_translate("to replace balloons on site"), ("pump", "inflator")
)
SCISSORS: Final = Tool("scissors", "Scissors", to_translate("to trim and to take down"), ("scissors",))
TAPE: Final = Tool("tape", "Tape", to_translate("to fasten ends and cables"), ("tape",))
BY_HEIGHT: Final = {
    WayUp.STOOL: Tool(
        "step-stool",
        "Step stool",
        to_translate("too high to work on with both hands"),
        ("step-stool", "stool"),
    ),
    WayUp.LADDER: Tool("ladder", "Ladder", to_translate("too high to reach from the floor"), ("ladder",)),
}


def tools_for(height_m: Decimal | float | None, *, balloons: bool) -> tuple[Tool, ...]:
    """List the tools for a height [m].

    >>> [tool.code for tool in tools_for(2.5, balloons=True)]
    ['pump', 'scissors', 'tape', 'ladder']
    >>> [tool.code for tool in tools_for(2.0, balloons=False)]
    ['step-stool']
    """
    up = way_up(height_m)
    return (*((PUMP, SCISSORS, TAPE) if balloons else ()), *((BY_HEIGHT[up],) if up else ()))
