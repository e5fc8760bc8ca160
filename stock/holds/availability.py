"""Availability for a window: a whole bill of materials in a few queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final, NamedTuple, TypeAlias

from django.db.models import FilteredRelation, Max, Q, QuerySet, Sum
from django.db.models.functions import Coalesce
from django.utils import timezone

from stock.catalogue.items import Material, find_by_code, sum_by_code
from stock.catalogue.kit_parts import expand_kits
from stock.holds.occupancy import Stay, last_return, next_free, peak
from stock.ledger.movements import balances
from stock.models import HoldLine, HoldState, Item, Nature
from studio.measures.times import Window
from studio.tenancy.access import require
from studio.tenancy.kept_query import Given, GivenMany, KeptQuery
from studio.tenancy.rights import Right

Besides: TypeAlias = "int | Collection[int] | None"
"""Holds that don't count: one, several or none."""


@dataclass(frozen=True, slots=True)
class Available:
    """The availability of one needed code for a window."""

    code: str
    needed: int
    item: Item | None
    """None for an unknown code; then nothing is available and all of it is short."""
    owned: int = 0
    free: int = 0
    """Left beside all other holds: for reusables at the busiest moment of the window, for consumables for good."""
    back_at: datetime | None = None
    """When enough come back before the window starts; if it is short, when enough would be available."""
    back_from: str = ""
    """The label of the hold that they come back from."""

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
        """The bags that cover the shortage; None if the item isn't bought by the bag."""
        if self.item is None or not self.item.bag_size or self.item.is_reusable:
            return None
        return -(-self.short // self.item.bag_size)


@dataclass(frozen=True, slots=True)
class Shortage:
    """A shortage of an active hold: a quantity of an item that is missing by a moment."""

    hold_id: int
    label: str
    item: Item
    short: int
    needed_at: datetime
    held: int
    """How many of the item the hold has, what it lacks of them included."""


def availability(needs: Sequence[Material], window: Window, *, besides: Besides = None) -> list[Available]:
    """The availability of each of ``needs`` for ``window``, in order of first mention, each code once.

    ``besides`` are the caller's own holds, which don't count. Unknown codes are reported, not refused; a kit counts as
    its parts. The number of queries doesn't grow with the needs. Raises :class:`PermissionDenied`.
    """
    require(Right.SEE_SHELF)
    quantities = expand_kits(sum_by_code(needs))
    return check_items(find_by_code(quantities), quantities, window, besides=besides)


def check_items(
    items: dict[str, Item], quantities: dict[str, int], window: Window, *, besides: Besides = None
) -> list[Available]:
    """:func:`availability` for given items, so that a hold checks the very rows that it has locked."""
    now, own = timezone.now(), _ids(besides)
    consumables = [item.pk for item in items.values() if not item.is_reusable]
    reusables = [item.pk for item in items.values() if item.is_reusable]
    owned = balances(consumables + reusables)
    promised = promised_quantities(consumables, now=now, besides=besides)
    rows = (
        list(_stays(reusables, since=min(now, window.start), now=now, besides=besides)) if reusables else []
    )
    away = _by_item(rows)
    mine: dict[int, int] = defaultdict(int)
    for item_id, _, _, quantity, _, hold_id in rows:
        mine[item_id] += quantity if hold_id in own else 0

    def check(code: str, needed: int) -> Available:
        item = items.get(code)
        if item is None:
            return Available(code, needed, None)
        if item.is_reusable:
            return _reusable(item, needed, owned[item.pk], away[item.pk], window, now, mine[item.pk])
        return _consumable(item, needed, owned[item.pk], promised.get(item.pk, 0))

    return [check(code, needed) for code, needed in quantities.items()]


def shortages(*, until: datetime | None = None, among: QuerySet[Item] | None = None) -> list[Shortage]:
    """The shortages of active holds, soonest first: consumables in order of the windows, reusables at their peaks;
    of all items or ``among`` some.

    A reusable can only be short after a loss, a breakage or a wrong count. Two queries, one if nothing is short.
    """
    of_items = Q() if among is None else Q(item_id__in=among.order_by().values("pk"))
    return _find_shortages(of_items, until=until)


def shortages_of(hold_id: int) -> list[Shortage]:
    """What one hold lacks now, whatever it was given when it was made. Two queries at most."""
    held = HoldLine.objects.filter(hold_id=hold_id, standing=True).values("item_id")
    return _find_shortages(Q(item_id__in=held), hold_id=hold_id)


def as_held(found: Sequence[Available], hold_ids: Collection[int]) -> list[Available]:
    """How needs stand where the caller has these holds: whoever leaves first has what there is, so later holds take
    nothing from them. No query where nothing is short, else one and up to two for each hold.
    """
    if not hold_ids or not any(each.short for each in found):
        return list(found)
    lines = HoldLine.objects.filter(hold_id__in=hold_ids, standing=True).order_by().values_list("item_id")
    kept: dict[int, int] = dict(lines.annotate(Sum("quantity")))
    for hold_id in hold_ids:
        for shortage in shortages_of(hold_id):
            kept[shortage.item.pk] -= shortage.short
    return [
        replace(each, free=max(each.free, kept.get(each.item.pk, 0))) if each.item else each for each in found
    ]


def find_held(codes: Iterable[str], hold_id: int | None) -> list[tuple[Item, int]]:
    """The items under ``codes``, each with how many of it one hold has on its lines. One query."""
    require(Right.SEE_SHELF)
    on_hold = FilteredRelation("hold_lines", condition=Q(hold_lines__hold_id=hold_id or 0))
    items = Item.objects.filter(code__in=set(codes)).annotate(on_hold=on_hold)
    found = items.annotate(held=Coalesce(Sum("on_hold__quantity"), 0)).order_by("kind", "name")
    return [(item, item.held) for item in found]


# --- For the functions of this room ---


def active_lines(now: datetime | Given) -> QuerySet[HoldLine]:
    """The lines of holds that reserve stock: confirmed, or tentative and not expired."""
    return HoldLine.objects.filter(
        Q(hold__state=HoldState.HELD) | Q(hold__state=HoldState.TENTATIVE, hold__tentative_until__gt=now),
        standing=True,
    )


def promised_quantities(item_ids: Iterable[int], *, now: datetime, besides: Besides = None) -> dict[int, int]:
    """How many of each consumable are reserved, whenever they are due. One query."""
    return dict(_PROMISED.rows(items=list(item_ids), besides=list(_ids(besides)), now=now))


def stays(
    item_ids: Iterable[int], *, since: datetime, now: datetime, besides: Besides = None
) -> dict[int, list[Stay]]:
    """Every stay of each reusable that isn't over by ``since``. One query."""
    return _by_item(_stays(item_ids, since=since, now=now, besides=besides))


# --- Private ---


def _promised() -> QuerySet[HoldLine, tuple[int, int]]:
    """Each item with how many of it active holds reserve, but for those ``besides`` which that is asked."""
    lines = active_lines(Given("now")).filter(item_id__in=GivenMany("items", "bigint"))
    counted = lines.exclude(hold_id__in=GivenMany("besides", "bigint")).order_by()
    return counted.values_list("item_id").annotate(Sum("quantity"))


_PROMISED: Final = KeptQuery(_promised)


def _ids(besides: Besides) -> frozenset[int]:
    """The holds that don't count, by primary key."""
    if besides is None:
        return frozenset()
    return frozenset([besides]) if isinstance(besides, int) else frozenset(besides)


class _Line(NamedTuple):
    """A line of an active hold, as far as shortages need it."""

    item_id: int
    hold_id: int
    label: str
    quantity: int
    busy_from: datetime
    busy_until: datetime
    nature: str
    owned: int | None
    """How many of the item there are; None before its first movement."""


_Lack: TypeAlias = tuple[_Line, int]
"""A line, and how many of it are missing."""


def _find_shortages(among: Q, *, until: datetime | None = None, hold_id: int | None = None) -> list[Shortage]:
    """The shortages on the lines ``among`` all, before ``until``, of one hold or of all."""
    require(Right.SEE_SHELF)
    now = timezone.now()
    lacks = [
        (line, short, sum(other.quantity for other in lines if other.hold_id == line.hold_id))
        for lines in _overpromised_lines(among, now).values()
        for line, short in _find_lacks(lines, now)
        if (until is None or line.busy_from < until) and hold_id in (None, line.hold_id)
    ]
    if not lacks:
        return []
    # Items once each, and lines without them: a popular item is on many lines.
    items = Item.objects.select_related("colour").defer("added_at", "note")
    known = items.in_bulk({line.item_id for line, _, _ in lacks})
    found = [
        Shortage(line.hold_id, line.label, known[line.item_id], short, line.busy_from, held)
        for line, short, held in lacks
    ]
    return sorted(found, key=lambda each: (each.needed_at, each.item.code))


def _overpromised_lines(among: Q, now: datetime) -> dict[int, list[_Line]]:
    """All lines of every item ``among`` some that is reserved beyond what there is, earliest first. One query."""
    # An item has one balance at most, so that the join doubles no line. What was tentative and expired is no promise,
    # but finds at most items too many here.
    owned = Coalesce(Max("item__balances__on_hand"), 0)
    reserved = HoldLine.objects.filter(among, standing=True)
    promised = reserved.order_by().values("item_id").annotate(promised=Sum("quantity"))
    standing = active_lines(now).filter(item_id__in=promised.filter(promised__gt=owned).values("item_id"))
    lines: dict[int, list[_Line]] = defaultdict(list)
    for row in standing.order_by("busy_from", "pk").values_list(
        *("item_id", "hold_id", "hold__label", "quantity", "busy_from", "busy_until"),
        *("item__nature", "item__balances__on_hand"),
    ):
        lines[row[0]].append(_Line._make(row))
    return lines


def _find_lacks(lines: Sequence[_Line], now: datetime) -> Iterable[_Lack]:
    """What the lines of one item lack."""
    owned = lines[0].owned or 0
    if lines[0].nature == Nature.REUSABLE:
        return _lacking_for_a_while(lines, owned, now)
    return _lacking_for_good(lines, owned)


def _stays(
    item_ids: Iterable[int], *, since: datetime, now: datetime, besides: Besides
) -> QuerySet[HoldLine, tuple[int, datetime, datetime, int, str, int]]:
    """The stays; of the holds that don't count only their transfers, which are away at other times than the rest."""
    lines = active_lines(now).filter(item_id__in=list(item_ids), busy_until__gt=since)
    lines = lines.exclude(hold_id__in=_ids(besides), handed_on__isnull=True)
    return lines.values_list("item_id", "busy_from", "busy_until", "quantity", "hold__label", "hold_id")


def _by_item(rows: Iterable[tuple[int, datetime, datetime, int, str, int]]) -> dict[int, list[Stay]]:
    found: dict[int, list[Stay]] = defaultdict(list)
    for item_id, start, end, quantity, label, _hold in rows:
        found[item_id].append(Stay(start, end, quantity, label))
    return found


def _reusable(
    item: Item, needed: int, owned: int, away: Sequence[Stay], window: Window, now: datetime, mine: int
) -> Available:
    """``mine`` is how many of the ``away`` pieces the caller's own hold has at other times than ``window``."""
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


def _lacking_for_good(lines: Sequence[_Line], owned: int) -> Iterable[_Lack]:
    left = owned
    for line in lines:
        lack = min(line.quantity, max(0, line.quantity - max(0, left)))
        left -= line.quantity
        if lack:
            yield line, lack


def _lacking_for_a_while(lines: Sequence[_Line], owned: int, now: datetime) -> Iterable[_Lack]:
    earlier: list[Stay] = []
    for line in (line for line in lines if line.busy_until > now):
        span = Window(line.busy_from, line.busy_until)
        lack = min(line.quantity, max(0, peak(earlier, span) + line.quantity - owned))
        earlier.append(Stay(line.busy_from, line.busy_until, line.quantity))
        if lack:
            yield line, lack
