"""What a price is worked out from: goods, work, way, extras, the studio's rates and terms, and what was adjusted."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final


@dataclass(frozen=True, slots=True)
class Band:
    """Delivery up to ``up_to`` miles or kilometres that no nearer band reaches, at one price."""

    up_to: Decimal
    price: Decimal


HUNDRED: Final = Decimal(100)
METRES_BY_UNIT: Final = {"mile": Decimal("1609.344"), "km": Decimal(1000)}
"""International mile (1959 yard-and-pound agreement): exact."""


@dataclass(frozen=True, slots=True)
class Tax:
    """A named tax and its rate in per cent."""

    name: str
    percent: Decimal


NO_TAX: Final = Tax("No tax", Decimal(0))


@dataclass(frozen=True, slots=True)
class Goods:
    """So many pieces of one thing, and what a piece costs the studio: ``cost`` for every ``per`` pieces."""

    code: str
    quantity: int
    cost: Decimal
    per: int = 1
    bag_of: int = 0
    """Pieces in a bag, where whole bags are charged; else 0."""
    price: Decimal | None = None
    """The studio's own price of one piece, in place of the one built from its cost."""
    tax: Tax | None = None
    care: Decimal = Decimal(0)
    """What washing, pressing or mending a piece after one use costs the studio."""


@dataclass(frozen=True, slots=True)
class Share:
    """The goods behind one line of the tape: one part of one set piece."""

    part: str
    label: str
    detail: str
    goods: tuple[Goods, ...]
    piece: int = 0
    """Which set piece of the quote, by its place."""


@dataclass(frozen=True, slots=True)
class Work:
    """Minutes of one person by phase, and how many are on site together. Washing is paid like prep."""

    prep: Decimal = Decimal(0)
    install: Decimal = Decimal(0)
    strike: Decimal = Decimal(0)
    crew: int = 1
    washing: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class Way:
    """The way to the venue: metres and minutes one way, and how often there and back."""

    distance_m: int = 0
    drive_minutes: int = 0
    trips: int = 0


@dataclass(frozen=True, slots=True)
class Extra:
    """A free line: ``quantity`` times ``unit_price``, with its own tax or the default one."""

    label: str
    quantity: Decimal
    unit_price: Decimal
    tax: Tax | None = None
    pk: int | None = None


@dataclass(frozen=True, slots=True)
class PriceRates:
    """What hours and distance cost the studio, and what it adds (per cent)."""

    prep_hour: Decimal = Decimal(0)
    install_hour: Decimal = Decimal(0)
    strike_hour: Decimal = Decimal(0)
    drive_hour: Decimal = Decimal(0)
    minimum_call_hours: Decimal = Decimal(0)
    distance_unit: str = "km"
    van_distance: Decimal = Decimal(0)
    van_hour: Decimal = Decimal(0)
    overhead_percent: Decimal = Decimal(0)
    markup_percent: Decimal = Decimal(0)
    margin_percent: Decimal | None = None
    """The margin aimed at, as a share of the price; given, it takes the mark-up's place. Below 100."""
    minimum_order: Decimal = Decimal(0)
    rounding_step: Decimal = Decimal(0)
    bands: tuple[Band, ...] | None = None
    """Delivery by distance; none: it is reckoned from distance, drive and crew."""


@dataclass(frozen=True, slots=True)
class PriceTerms:
    """The studio's currency, default tax, whether prices include tax, and the deposit asked (per cent)."""

    currency: str
    default_tax: Tax = NO_TAX
    inclusive: bool = False
    deposit_percent: Decimal = Decimal(0)
    deposit_amount: Decimal | None = None
    """Asked in place of the share, with tax; never more than the total."""


@dataclass(frozen=True, slots=True)
class ByHand:
    """A line's price set by hand, and why."""

    amount: Decimal
    reason: str


@dataclass(frozen=True, slots=True)
class Adjustments:
    """What is put on or taken off one quote. At most one of the two kinds of discount is given."""

    rush_percent: Decimal = Decimal(0)
    discount_percent: Decimal = Decimal(0)
    discount_amount: Decimal = Decimal(0)
    """With tax inside where prices have it. Where there is less to take it off, it takes off that."""
    by_hand: Mapping[str, ByHand] = field(default_factory=dict)
    """By :attr:`TapeLine.key`."""
