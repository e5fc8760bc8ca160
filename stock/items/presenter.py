"""What the page of an item shows: stock level, reservations, projection, movements."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from django.utils import timezone

from stock.buying.projection import Coming, lacks, running
from stock.buying.projection import Step as Change
from stock.buying.purchase_list import incoming_pieces, order_by_date, prices_of
from stock.care.shelf_life import PERISHING, Layer, list_arrivals, remaining_layers
from stock.care.wear import Wear, find_wear
from stock.catalogue.shelf_rules import find_rules
from stock.holds.availability import active_lines
from stock.holds.occupancy import Stay, levels, next_free
from stock.ledger.movements import balances
from stock.models import HoldLine, HoldState, Item, Movement, Purpose
from stock.shelf.stock_levels import StockLevel, stock_level
from studio.measures.times import Window
from studio.models import Studio
from studio.tenancy.access import require
from studio.tenancy.rights import Right

NEWEST_MOVEMENTS: Final = 40
A_DAY: Final = timedelta(days=1)
AHEAD: Final = timedelta(weeks=6)
"""How far the availability chart looks ahead."""


@dataclass(frozen=True, slots=True)
class Promise:
    """One active hold on the item, and what it leaves."""

    label: str
    quantity: int
    starts_at: datetime
    ends_at: datetime
    counts_again_at: datetime
    is_tentative: bool
    tentative_until: datetime | None
    hold_id: int
    is_set_aside: bool
    """Whether the pieces are in cleaning or repair, not out on a job."""
    left: int
    """For consumables, the number left after this hold; for reusables, the number available during it."""

    @property
    def short(self) -> int:
        """How many are missing after this hold."""
        return max(0, -self.left)


@dataclass(frozen=True, slots=True)
class Entry:
    """A movement, and the balance after it."""

    movement: Movement
    on_hand: int


@dataclass(frozen=True, slots=True)
class Step:
    """How many are here during a part of the chart; ``start`` and ``end`` run from 0 to 1."""

    start: float
    end: float
    here: int


@dataclass(frozen=True, slots=True)
class ItemPage:
    """Everything that the item page shows."""

    level: StockLevel
    promises: tuple[Promise, ...]
    entries: tuple[Entry, ...]
    steps: tuple[Step, ...]
    """Reusables: how many are here over the coming weeks."""
    changes: tuple[Change, ...] = ()
    """Consumables: upcoming events and deliveries, and what each leaves."""
    order_by: date | None = None
    """The last day to order for the first event that is short."""
    layers: tuple[Layer, ...] = ()
    """Latex: the pieces left of each arrival, the oldest first."""
    life_days: int | None = None
    """Latex: its shelf life."""
    wear: Wear | None = None
    """Reusables: their uses."""
    next_free: datetime | None = None
    """Reusables that are all out: when one is available for a day, with its cleaning."""


def item_page(item: Item, studio: Studio) -> ItemPage:
    """The item's page, with its newest movements. The number of queries doesn't grow with its rows."""
    require(Right.SEE_SHELF)
    now = timezone.now()
    owned = balances([item.pk])[item.pk]
    life_days = find_rules().latex_life_days if item.kind in PERISHING else None
    ahead = active_lines(now).filter(item=item).select_related("hold").order_by("busy_from", "pk")
    if item.is_reusable:
        ahead = ahead.filter(busy_until__gt=now)
    lines = list(ahead)
    movements = list(Movement.objects.filter(item=item).select_related("person")[:NEWEST_MOVEMENTS])
    changes, order_by = _projection(item, lines, owned, studio)
    return ItemPage(
        level=stock_level(item, owned, lines, now),
        promises=_promises(item, lines, owned),
        entries=_entries(movements, owned),
        steps=steps(_stays(lines), Window(now, now + AHEAD), owned) if item.is_reusable else (),
        changes=changes,
        order_by=order_by,
        layers=tuple(remaining_layers(owned, list_arrivals(item))) if life_days else (),
        life_days=life_days,
        wear=find_wear(item) if item.is_reusable else None,
        next_free=_next_free(item, lines, owned, now),
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


def _next_free(item: Item, lines: Sequence[HoldLine], owned: int, now: datetime) -> datetime | None:
    if not item.is_reusable or not owned:
        return None
    length = A_DAY + item.turnaround
    moment = next_free(_stays(lines), start=now, length=length, owned=owned, needed=1)
    return moment if moment != now else None


def _projection(
    item: Item, lines: Sequence[HoldLine], owned: int, studio: Studio
) -> tuple[tuple[Change, ...], date | None]:
    """The projected stock of a consumable, and the last day to order if it runs short."""
    if item.is_reusable:
        return (), None
    deliveries = incoming_pieces([item.pk], studio).get(item.pk, [])
    jobs = [Coming(line.busy_from, -line.quantity, line.hold.label) for line in lines]
    changes = running(owned, [*jobs, *deliveries])
    lacking = lacks(changes)
    if not lacking:
        return (tuple(changes) if deliveries else ()), None
    order_by = order_by_date(lacking[0].at, prices_of([item.pk]).get(item.pk, []), studio)
    return tuple(changes), order_by


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
                # Pieces transferred in start later than the rest; pieces transferred on end sooner.
                starts_at=line.busy_from,
                ends_at=min(line.busy_until, line.hold.ends_at),
                counts_again_at=line.busy_until,
                is_tentative=line.hold.state == HoldState.TENTATIVE,
                tentative_until=line.hold.tentative_until,
                hold_id=line.hold_id,
                is_set_aside=line.hold.purpose != Purpose.JOB,
                left=owned - away if item.is_reusable else left,
            )
        )
    return tuple(promises)


def _entries(movements: Sequence[Movement], owned: int) -> tuple[Entry, ...]:
    """The movements, newest first, each with the balance after it, worked back from the present one."""
    entries = []
    for movement in movements:
        entries.append(Entry(movement, owned))
        owned -= movement.quantity
    return tuple(entries)
