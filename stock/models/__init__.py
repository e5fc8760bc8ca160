"""The stock room's tables."""

from stock.models.agreed_transfer import AgreedTransfer
from stock.models.alert import Alert, AlertChoice, AlertKind
from stock.models.answer import KeptAnswer
from stock.models.colour import Colour, Finish
from stock.models.hold import Hold, HoldLine, HoldState, Purpose
from stock.models.item import HirePer, Item, Kind, Nature
from stock.models.kit import Kit, KitPart
from stock.models.ledger import Balance, Movement, MovementKind
from stock.models.order import OrderLine, OrderState, PurchaseOrder
from stock.models.photo import ItemPhoto
from stock.models.piece import Piece
from stock.models.rules import ShelfRules
from stock.models.supplier import Supplier, SupplierPrice

__all__ = [
    "AgreedTransfer",
    "Alert",
    "AlertChoice",
    "AlertKind",
    "Balance",
    "Colour",
    "Finish",
    "HirePer",
    "Hold",
    "HoldLine",
    "HoldState",
    "Item",
    "ItemPhoto",
    "KeptAnswer",
    "Kind",
    "Kit",
    "KitPart",
    "Movement",
    "MovementKind",
    "Nature",
    "OrderLine",
    "OrderState",
    "Piece",
    "PurchaseOrder",
    "Purpose",
    "ShelfRules",
    "Supplier",
    "SupplierPrice",
]
