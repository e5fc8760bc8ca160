"""What is free for a window: a whole bill at once, in few queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from django.db.models import F, OuterRef, Q, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce
from django.utils import timezone

from stock.catalogue.items import Material, by_code, summed
from stock.catalogue.kit_parts import unpacked
from stock.holds.occupancy import Stay, last_return, next_free, peak
from stock.models import Balance, HoldLine, HoldState, Item
from studio.measures.times import Window
from studio.tenancy.access import require
from studio.tenancy.rights import Right


@dataclass(frozen=True, slots=True)
class Available:
    """How one need stands for a window."""

    code: str
    needed: int
    item: Item | None
    """None where the catalogue doesn't know the code; then nothing is free and all of it short."""
    owned: int = 0
    free: int = 0
    """Left beside every other hold: at the window's busiest moment for what comes back, for good for what is
    used up."""
    back_at: datetime | None = None
    """Where enough come back before the window begins: when. Where it is short: from when on there would be
    enough."""
    back_from: str = ""
    """Label of the hold that they come back from."""

    @property
    def short(self) -> int:
        """How many are missing."""
        return max(0, self.needed - self.free)

    @property
    def is_unknown(self) -> bool:
        """Whether the catalogue doesn't know the code."""
        return self.item is None

    @property
    def bags_to_buy(self) -> int | None:
        """Whole bags that cover what is short; none where the item isn't bought by the bag."""
        if self.item is None or not self.item.bag_size or self.item.is_reusable:
            return None
        return -(-self.short // self.item.bag_size)


@dataclass(frozen=True, slots=True)
class Shortage:
    """What a standing hold lacks: so many of an item under a label by a moment."""

    hold_id: int
    label: str
    item: Item
    short: int
    needed_at: datetime


def availability(needs: Sequence[Material], window: Window, *, besides: int | None = None) -> list[Available]:
    """How each of ``needs`` stands for ``window``, in order of first mention, each code once.

    ``besides`` is a hold that doesn't count, since it is the asker's own. An unknown code is reported, not
    refused; a kit is its parts. As many queries however many needs there are. Raises :class:`PermissionDenied`.
    """
    require(Right.SEE_SHELF)
    quantities = unpacked(summed(needs))
    return stand(by_code(quantities), quantities, window, besides=besides)


def stand(
    items: dict[str, Item], quantities: dict[str, int], window: Window, *, besides: int | None = None
) -> list[Available]:
    """:func:`availability` for items at hand, so that a hold asks about the very rows that it has locked."""
    now = timezone.now()
    used_up = [item.pk for item in items.values() if not item.is_reusable]
    come_back = [item.pk for item in items.values() if item.is_reusable]
    on_hand = Balance.objects.filter(item_id__in=used_up + come_back).values_list("item_id", "on_hand")
    owned = {item.pk: 0 for item in items.values()} | dict(on_hand)
    promised = dict(_promised(used_up, now=now, besides=besides))
    since = min(now, window.start)
    gone = list(_stays(come_back, since=since, now=now, besides=besides))
    away = _by_item(row[:5] for row in gone)
    mine: dict[int, int] = defaultdict(int)
    for item_id, _, _, quantity, _, hold_id in gone:
        mine[item_id] += quantity if hold_id == besides else 0
    return [
        _reusable(
            items[code],
            needed,
            owned[items[code].pk],
            away[items[code].pk],
            window,
            now,
            mine[items[code].pk],
        )
        if code in items and items[code].is_reusable
        else _consumable(items[code], needed, owned[items[code].pk], promised.get(items[code].pk, 0))
        if code in items
        else Available(code, needed, None)
        for code, needed in quantities.items()
    ]


def shortages(*, until: datetime | None = None, among: QuerySet[Item] | None = None) -> list[Shortage]:
    """What standing holds lack, soonest first: consumables given out in order of the windows, reusables at
    their peaks; of all items or ``among`` some.

    A reusable can only be short after something broke, got lost or was miscounted. Two queries, one where all is
    well.
    """
    require(Right.SEE_SHELF)
    now = timezone.now()
    on_hand = Balance.objects.filter(item=OuterRef("item_id")).values("on_hand")[:1]
    lines = counting(now) if among is None else counting(now).filter(item__in=among.order_by().values("pk"))
    promised = lines.order_by().values("item_id").annotate(promised=Sum("quantity"))
    owned = dict(
        promised.annotate(owned=Coalesce(Subquery(on_hand), 0))
        .filter(promised__gt=F("owned"))
        .values_list("item_id", "owned")
    )
    return _lacking(owned, now=now, until=until) if owned else []


# --- For the functions of this room ---


def counting(now: datetime) -> QuerySet[HoldLine]:
    """The lines of holds that keep stock: held, or pencilled with their date still to come."""
    return HoldLine.objects.filter(
        Q(hold__state=HoldState.HELD) | Q(hold__state=HoldState.PENCILLED, hold__pencilled_until__gt=now),
        standing=True,
    )


def promised_quantities(
    item_ids: Iterable[int], *, now: datetime, besides: int | None = None
) -> dict[int, int]:
    """How many of each consumable are promised, whenever they are due. One query."""
    return dict(_promised(item_ids, now=now, besides=besides))


def stays(
    item_ids: Iterable[int], *, since: datetime, now: datetime, besides: int | None = None
) -> dict[int, list[Stay]]:
    """Every stay of each reusable that isn't over by ``since``. One query."""
    return _by_item(row[:5] for row in _stays(item_ids, since=since, now=now, besides=besides))


# --- Private ---

_UNREAD: Final = (
    "hold__starts_at",
    "hold__ends_at",
    "hold__made_at",
    "hold__pencilled_until",
    "item__added_at",
    "item__note",
    "item__outline",
)
"""Columns of long lists that nobody asks a shortage for; reading a moment costs more than the rest of a row."""


def _lacking(owned: Mapping[int, int], *, now: datetime, until: datetime | None) -> list[Shortage]:
    """The shortages of items that are promised past what there is, by how many there are."""
    lines = defaultdict(list)
    standing = counting(now).filter(item_id__in=owned).select_related("hold", "item__colour").defer(*_UNREAD)
    for line in standing.order_by("busy_from", "pk"):
        lines[line.item_id].append(line)
    found = [
        shortage
        for item_id, mine in lines.items()
        for shortage in (
            _lacking_for_a_while(mine, owned[item_id], now)
            if mine[0].item.is_reusable
            else _lacking_for_good(mine, owned[item_id])
        )
        if until is None or shortage.needed_at < until
    ]
    return sorted(found, key=lambda each: (each.needed_at, each.item.code))


def _promised(item_ids: Iterable[int], *, now: datetime, besides: int | None) -> QuerySet[HoldLine, Any]:
    lines = counting(now).filter(item_id__in=list(item_ids)).exclude(hold_id=besides or 0)
    return lines.order_by().values_list("item_id").annotate(Sum("quantity"))


def _stays(
    item_ids: Iterable[int], *, since: datetime, now: datetime, besides: int | None
) -> QuerySet[HoldLine, Any]:
    """The stays; of the hold that doesn't count only those pieces that come straight to it or go straight on, since
    they are away at other times than the rest of it."""
    lines = counting(now).filter(item_id__in=list(item_ids), busy_until__gt=since)
    lines = lines.exclude(hold_id=besides or 0, handed_on__isnull=True)
    return lines.values_list("item_id", "busy_from", "busy_until", "quantity", "hold__label", "hold_id")


def _by_item(rows: Iterable[Sequence[Any]]) -> dict[int, list[Stay]]:
    found: dict[int, list[Stay]] = defaultdict(list)
    for item_id, start, end, quantity, label in rows:
        found[item_id].append(Stay(start, end, quantity, label))
    return found


def _reusable(
    item: Item, needed: int, owned: int, away: Sequence[Stay], window: Window, now: datetime, mine: int
) -> Available:
    """``mine`` are those of the ``away`` that the asker's own hold has at other times than ``window``."""
    span = Window(window.start, window.end + item.turnaround)
    free = max(0, owned - peak(away, span)) + mine
    if needed > free:
        back = next_free(away, start=window.start, length=span.length, owned=owned, needed=needed - mine)
        return Available(item.code, needed, item, owned, free, back)
    last = last_return(away, now=now, until=window.start, owned=owned, needed=max(0, needed - mine))
    if last is None:
        return Available(item.code, needed, item, owned, free)
    return Available(item.code, needed, item, owned, free, last.end, last.label)


def _consumable(item: Item, needed: int, owned: int, promised: int) -> Available:
    return Available(item.code, needed, item, owned, max(0, owned - promised))


def _lacking_for_good(lines: Sequence[HoldLine], owned: int) -> list[Shortage]:
    left = owned
    found = []
    for line in lines:
        lack = min(line.quantity, max(0, line.quantity - max(0, left)))
        left -= line.quantity
        if lack:
            found.append(Shortage(line.hold_id, line.hold.label, line.item, lack, line.busy_from))
    return found


def _lacking_for_a_while(lines: Sequence[HoldLine], owned: int, now: datetime) -> list[Shortage]:
    ahead = [line for line in lines if line.busy_until > now]
    found = []
    earlier: list[Stay] = []
    for line in ahead:
        span = Window(line.busy_from, line.busy_until)
        lack = min(line.quantity, max(0, peak(earlier, span) + line.quantity - owned))
        earlier.append(Stay(line.busy_from, line.busy_until, line.quantity))
        if lack:
            found.append(Shortage(line.hold_id, line.hold.label, line.item, lack, line.busy_from))
    return found
