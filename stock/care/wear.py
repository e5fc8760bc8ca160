"""How often a thing was out, how long it should last, and what it has earned."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q, Sum
from django.utils import timezone

from stock.models import HoldLine, HoldState, Item, Movement, MovementKind, Purpose
from studio.tenancy.access import require
from studio.tenancy.rights import Right

WORN_SHARE = Decimal("0.8")
"""Share of the uses that a thing should last after which it is called worn. Our choice, no source."""


@dataclass(frozen=True, slots=True)
class Wear:
    """How much of its life a thing has behind it; a use is one piece out on one job."""

    uses: int
    pieces: int
    """How many there ever were: uses spread over all of them."""
    expected_uses: int | None
    price_per_use: Decimal | None
    unit_cost: Decimal | None

    @property
    def uses_each(self) -> Decimal:
        """Uses of one piece, on average."""
        return Decimal(self.uses) / self.pieces if self.pieces else Decimal(0)

    @property
    def is_worn(self) -> bool:
        """Whether most of what it should last is behind it."""
        return self.expected_uses is not None and self.uses_each >= self.expected_uses * WORN_SHARE

    @property
    def earned(self) -> Decimal | None:
        """What the uses so far have earned, at the price per use of now."""
        return None if self.price_per_use is None else self.uses * self.price_per_use

    @property
    def cost_per_use(self) -> Decimal | None:
        """What one use has cost so far: all the pieces, divided by their uses."""
        if self.unit_cost is None or not self.uses:
            return None
        return self.pieces * self.unit_cost / self.uses


def wear_of(item: Item) -> Wear:
    """How much the item was used on jobs that are over."""
    require(Right.SEE_SHELF)
    return wear_from(item)


# --- For the functions of this room ---


def wear_from(item: Item) -> Wear:
    """The wear of an item: uses on jobs that are over, and pieces that ever came. Two queries."""
    over = Q(hold__state=HoldState.COUNTED_BACK) | Q(
        hold__state=HoldState.HELD, hold__ends_at__lt=timezone.now()
    )
    lines = HoldLine.objects.filter(over, item=item, hold__purpose=Purpose.JOB)
    came = Movement.objects.filter(item=item, quantity__gt=0).exclude(kind=MovementKind.RETURNED)
    return Wear(
        uses=lines.aggregate(total=Sum("quantity"))["total"] or 0,
        pieces=came.aggregate(total=Sum("quantity"))["total"] or 0,
        expected_uses=item.expected_uses,
        price_per_use=item.price_per_use,
        unit_cost=item.unit_cost,
    )
