"""Stock levels: how many of an item there are now, out, reserved and available."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Min, Q, Sum
from django.utils import timezone

from stock.holds.availability import active_lines
from stock.ledger.movements import balances
from stock.models import HoldLine, Item


@dataclass(frozen=True, slots=True)
class StockLevel:
    """The stock level of one item now."""

    item: Item
    owned: int
    promised: int
    """Reserved by holds, whenever they are due."""
    out: int = 0
    """Out or being cleaned at this moment (reusable items only)."""
    back_at: datetime | None = None
    """When the first of those is available again."""

    @property
    def free(self) -> int:
        """Available: for consumables, not reserved by any hold; for reusables, not out at this moment."""
        return max(0, self.owned - (self.out if self.item.is_reusable else self.promised))

    @property
    def missing(self) -> int:
        """Consumables reserved beyond what there is."""
        return 0 if self.item.is_reusable else max(0, self.promised - self.owned)

    @property
    def held(self) -> int:
        """The missing slice of the drawing: the reserved part of what there is."""
        return min(self.owned, self.promised)


def stock_levels(items: Sequence[Item]) -> list[StockLevel]:
    """The stock levels of ``items``. Two queries, however many."""
    now = timezone.now()
    ids = [item.pk for item in items]
    owned = balances(ids)
    is_out = Q(busy_from__lte=now, busy_until__gt=now)
    lines = active_lines(now).filter(item_id__in=ids).order_by().values("item_id")
    sums = lines.annotate(
        promised=Sum("quantity"),
        out=Sum("quantity", filter=is_out),
        back_at=Min("busy_until", filter=is_out),
    )
    held = {row["item_id"]: (row["promised"], row["out"] or 0, row["back_at"]) for row in sums}
    return [_level(item, owned[item.pk], *held.get(item.pk, (0, 0, None))) for item in items]


def stock_level(item: Item, owned: int, lines: Sequence[HoldLine], now: datetime) -> StockLevel:
    """The stock level of one item, from the lines that hold it."""
    out = [line for line in lines if line.busy_from <= now < line.busy_until]
    promised = sum(line.quantity for line in lines)
    back_at = min((line.busy_until for line in out), default=None)
    return _level(item, owned, promised, sum(line.quantity for line in out), back_at)


def _level(item: Item, owned: int, promised: int, out: int, back_at: datetime | None) -> StockLevel:
    if not item.is_reusable:
        return StockLevel(item, owned, promised)
    return StockLevel(item, owned, promised, out, back_at)
