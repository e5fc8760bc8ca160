"""Wear of reusable items: uses, expected life, earnings and cost per use."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q, Sum
from django.utils import timezone

from stock.models import HoldLine, HoldState, Item, Movement, MovementKind, Purpose
from studio.tenancy.access import require
from studio.tenancy.rights import Right

WORN_SHARE = Decimal("0.8")
"""Share of the expected uses after which an item counts as worn. Our choice, no source."""


@dataclass(frozen=True, slots=True)
class Wear:
    """The wear of an item; one use is one piece out on one job."""

    uses: int
    pieces: int
    """All pieces that were ever owned; the uses are spread over them."""
    expected_uses: int | None
    price_per_use: Decimal | None
    unit_cost: Decimal | None

    @property
    def uses_each(self) -> Decimal:
        """Uses of one piece, on average."""
        return Decimal(self.uses) / self.pieces if self.pieces else Decimal(0)

    @property
    def is_worn(self) -> bool:
        """Whether most of its expected uses are behind it."""
        return self.expected_uses is not None and self.uses_each >= self.expected_uses * WORN_SHARE

    @property
    def earned(self) -> Decimal | None:
        """Earnings of the uses so far, at the present price per use."""
        return None if self.price_per_use is None else self.uses * self.price_per_use

    @property
    def cost_per_use(self) -> Decimal | None:
        """Cost of one use so far: the cost of all pieces, divided by their uses."""
        if self.unit_cost is None or not self.uses:
            return None
        return self.pieces * self.unit_cost / self.uses


def find_wear(item: Item) -> Wear:
    """The wear of an item from its uses on jobs that are over. Two queries."""
    require(Right.SEE_SHELF)
    is_over = Q(hold__state=HoldState.COUNTED_BACK) | Q(
        hold__state=HoldState.HELD, hold__ends_at__lt=timezone.now()
    )
    lines = HoldLine.objects.filter(is_over, item=item, hold__purpose=Purpose.JOB)
    came_in = Movement.objects.filter(Q(quantity__gt=0) | Q(kind=MovementKind.CORRECTED), item=item).exclude(
        kind=MovementKind.RETURNED
    )
    return Wear(
        uses=lines.aggregate(total=Sum("quantity"))["total"] or 0,
        pieces=came_in.aggregate(total=Sum("quantity"))["total"] or 0,
        expected_uses=item.expected_uses,
        price_per_use=item.price_per_use,
        unit_cost=item.unit_cost,
    )
