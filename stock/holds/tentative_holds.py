"""Pencils that stand in the way: what is kept for somebody who has not agreed yet, and until when."""

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
class Pencil:
    """So many of an item that are kept in pencil under a label until a date, when they give way."""

    hold_id: int
    label: str
    code: str
    name: str
    quantity: int
    until: datetime


def in_the_way(codes: Iterable[str], window: Window) -> list[Pencil]:
    """The pencils on these codes that overlap ``window``, those that give way first at the head. One query."""
    require(Right.SEE_SHELF)
    lines = HoldLine.objects.filter(
        item__code__in=set(codes),
        hold__state=HoldState.PENCILLED,
        hold__pencilled_until__gt=timezone.now(),
        standing=True,
        busy_from__lt=window.end,
        busy_until__gt=window.start,
    ).select_related("hold", "item")
    found = []
    for line in lines.order_by("hold__pencilled_until", "pk"):
        until = line.hold.pencilled_until
        assert until is not None
        found.append(
            Pencil(line.hold_id, line.hold.label, line.item.code, line.item.name, line.quantity, until)
        )
    return found
