"""Tentative holds: what is reserved for clients who haven't agreed yet, and until when."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone

from stock.models import HoldLine, HoldState
from studio.measures.times import Window
from studio.tenancy.access import require
from studio.tenancy.rights import Right


@dataclass(frozen=True, slots=True)
class TentativeLine:
    """A quantity of an item on a tentative hold, until it expires."""

    hold_id: int
    label: str
    code: str
    name: str
    quantity: int
    until: datetime


def find_conflicts(codes: Iterable[str], window: Window) -> list[TentativeLine]:
    """The tentative holds on these codes that overlap ``window``, the first to expire first. One query."""
    require(Right.SEE_SHELF)
    lines = HoldLine.objects.filter(
        item__code__in=set(codes),
        hold__state=HoldState.TENTATIVE,
        hold__tentative_until__gt=timezone.now(),
        standing=True,
        busy_from__lt=window.end,
        busy_until__gt=window.start,
    ).select_related("hold", "item")
    found = []
    for line in lines.order_by("hold__tentative_until", "pk"):
        until = line.hold.tentative_until
        assert until is not None
        found.append(
            TentativeLine(line.hold_id, line.hold.label, line.item.code, line.item.name, line.quantity, until)
        )
    return found
