"""One item at a glance: how it stands, what is ahead of it, what moved it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from django.utils import timezone

from stock.buying.projection import Coming, lacks, running
from stock.buying.projection import Step as Change
from stock.buying.purchase_list import incoming_pieces, order_by_date, prices_of
from stock.care.shelf_life import PERISHING, Arrival, Layer, arrivals_of, layers
from stock.care.wear import Wear, wear_from
from stock.holds.availability import counting
from stock.holds.occupancy import Stay, levels, next_free
from stock.models import Balance, HoldLine, HoldState, Item, Movement, Purpose, ShelfRules
from stock.shelf.presenter import Stand, stand_of
from studio.measures.times import Window
from studio.models import Studio
from studio.tenancy.access import require
from studio.tenancy.rights import Right

NEWEST_MOVEMENTS: Final = 40
A_DAY: Final = timedelta(days=1)
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
    hold_id: int
    is_set_aside: bool
    """In the wash or being mended, not out on a job."""
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
    changes: tuple[Change, ...] = ()
    """What is used up: every job and delivery to come, and what it leaves."""
    order_by: date | None = None
    """The last day to order so that the first job that lacks some has it."""
    layers: tuple[Layer, ...] = ()
    """Latex: what is left of each arrival, the oldest first."""
    life_days: int | None = None
    """Latex: how long it keeps."""
    wear: Wear | None = None
    """What comes back: its uses."""
    next_free: datetime | None = None
    """What comes back and is all away: from when on one is free for a day, with its wash."""


def item_page(item: Item, studio: Studio) -> ItemPage:
    """The item's page, with its newest movements. Six queries at most."""
    require(Right.SEE_SHELF)
    now = timezone.now()
    owned, wear, life_days, left = _standing(item)
    ahead = counting(now).filter(item=item).select_related("hold").order_by("busy_from", "pk")
    if item.is_reusable:
        ahead = ahead.filter(busy_until__gt=now)
    lines = list(ahead)
    movements = list(Movement.objects.filter(item=item).select_related("person")[:NEWEST_MOVEMENTS])
    changes, order_by = _projection(item, lines, owned, studio)
    return ItemPage(
        stand=stand_of(item, owned, lines, now),
        promises=_promises(item, lines, owned),
        entries=_entries(movements, owned),
        steps=steps(_stays(lines), Window(now, now + AHEAD), owned) if item.is_reusable else (),
        changes=changes,
        order_by=order_by,
        layers=left,
        life_days=life_days,
        wear=wear,
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


def _standing(item: Item) -> tuple[int, Wear | None, int | None, tuple[Layer, ...]]:
    """How many there are, and their wear or their age."""
    owned = Balance.objects.filter(item=item).values_list("on_hand", flat=True).first() or 0
    if item.is_reusable:
        return owned, wear_from(item), None, ()
    if item.kind not in PERISHING:
        return owned, None, None, ()
    own_rules = ShelfRules.objects.first() or ShelfRules()
    arrivals = (Arrival(at, pieces, batch) for at, pieces, batch in arrivals_of(item))
    return owned, None, own_rules.latex_life_days, tuple(layers(owned, arrivals))


def _next_free(item: Item, lines: Sequence[HoldLine], owned: int, now: datetime) -> datetime | None:
    if not item.is_reusable or not owned:
        return None
    length = A_DAY + item.turnaround
    moment = next_free(_stays(lines), start=now, length=length, owned=owned, needed=1)
    return moment if moment != now else None


def _projection(
    item: Item, lines: Sequence[HoldLine], owned: int, studio: Studio
) -> tuple[tuple[Change, ...], date | None]:
    """What jobs and deliveries leave of something that is used up; by when to order where it lacks."""
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
                # What comes straight from another job begins later than the rest, what goes straight on ends sooner.
                starts_at=line.busy_from,
                ends_at=min(line.busy_until, line.hold.ends_at),
                counts_again_at=line.busy_until,
                is_pencilled=line.hold.state == HoldState.PENCILLED,
                pencilled_until=line.hold.pencilled_until,
                hold_id=line.hold_id,
                is_set_aside=line.hold.purpose != Purpose.JOB,
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
