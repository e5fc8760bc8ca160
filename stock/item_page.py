"""One item at a glance: how it stands, what is ahead of it, what moved it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from django.utils import timezone

from stock.availability import counting
from stock.ledger import balances
from stock.models import HoldLine, HoldState, Item, Movement
from stock.shelf import Stand, stand_of
from stock.stays import Stay, levels
from studio.access import Right, require
from studio.times import Window

NEWEST_MOVEMENTS: Final = 40
AHEAD: Final = timedelta(weeks=6)
"""How far the drawing of comings and goings looks."""


@dataclass(frozen=True, slots=True)
class Promise:
    """One standing hold on the item, and what it leaves."""

    label: str
    quantity: int
    starts_at: datetime
    ends_at: datetime
    counts_again_at: datetime
    is_pencilled: bool
    pencilled_until: datetime | None
    left: int
    """For what is used up, what is left after this one; for what comes back, what is free while it is
    away."""

    @property
    def short(self) -> int:
        """How many are missing after this one."""
        return max(0, -self.left)


@dataclass(frozen=True, slots=True)
class Entry:
    """A movement, and how many there were after it."""

    movement: Movement
    on_hand: int


@dataclass(frozen=True, slots=True)
class Step:
    """How many are here from a share of the drawing's span on: ``start`` and ``end`` from 0 to 1."""

    start: float
    end: float
    here: int


@dataclass(frozen=True, slots=True)
class ItemPage:
    """Everything that the item page shows."""

    stand: Stand
    promises: tuple[Promise, ...]
    entries: tuple[Entry, ...]
    steps: tuple[Step, ...]
    """What comes back: how many are here over the coming weeks."""


def item_page(item: Item) -> ItemPage:
    """The item's page, with its newest movements. Three queries."""
    require(Right.SEE_SHELF)
    now = timezone.now()
    owned = balances([item.pk])[item.pk]
    ahead = counting(now).filter(item=item).select_related("hold").order_by("busy_from", "pk")
    if item.is_reusable:
        ahead = ahead.filter(busy_until__gt=now)
    lines = list(ahead)
    movements = list(Movement.objects.filter(item=item).select_related("person")[:NEWEST_MOVEMENTS])
    return ItemPage(
        stand=stand_of(item, owned, lines, now),
        promises=_promises(item, lines, owned),
        entries=_entries(movements, owned),
        steps=steps(_stays(lines), Window(now, now + AHEAD), owned) if item.is_reusable else (),
    )


def steps(stays: Sequence[Stay], window: Window, owned: int) -> tuple[Step, ...]:
    """How many are here at every moment of ``window``, as steps."""
    changes = levels(stays, window)
    ends = [moment for moment, _ in changes[1:]] + [window.end]
    return tuple(
        Step(_share(moment, window), _share(end, window), max(0, owned - out))
        for (moment, out), end in zip(changes, ends, strict=True)
    )


# --- Private ---


def _share(moment: datetime, window: Window) -> float:
    return (moment - window.start) / window.length


def _stays(lines: Sequence[HoldLine]) -> list[Stay]:
    return [Stay(line.busy_from, line.busy_until, line.quantity) for line in lines]


def _promises(item: Item, lines: Sequence[HoldLine], owned: int) -> tuple[Promise, ...]:
    stays = _stays(lines)
    promises = []
    left = owned
    for line in lines:
        left -= line.quantity
        away = max(level for _, level in levels(stays, Window(line.busy_from, line.busy_until)))
        promises.append(
            Promise(
                label=line.hold.label,
                quantity=line.quantity,
                starts_at=line.hold.starts_at,
                ends_at=line.hold.ends_at,
                counts_again_at=line.busy_until,
                is_pencilled=line.hold.state == HoldState.PENCILLED,
                pencilled_until=line.hold.pencilled_until,
                left=owned - away if item.is_reusable else left,
            )
        )
    return tuple(promises)


def _entries(movements: Sequence[Movement], owned: int) -> tuple[Entry, ...]:
    """Newest first, so that the number of now leads back to what it was after each."""
    entries = []
    for movement in movements:
        entries.append(Entry(movement, owned))
        owned -= movement.quantity
    return tuple(entries)
