"""The stock room's tables."""

from stock.models.answer import KeptAnswer
from stock.models.colour import Colour, Finish
from stock.models.hold import Hold, HoldLine, HoldState
from stock.models.item import Item, Kind, Nature
from stock.models.ledger import Balance, Movement, MovementKind

__all__ = [
    "Balance",
    "Colour",
    "Finish",
    "Hold",
    "HoldLine",
    "HoldState",
    "Item",
    "KeptAnswer",
    "Kind",
    "Movement",
    "MovementKind",
    "Nature",
]
