"""The shelf as it stands now: rounds by size and colour, 260s, and lists of everything else."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from django.db.models import BooleanField, Count, ExpressionWrapper, Min, Q, QuerySet, Sum, Window
from django.db.models.functions import RowNumber
from django.utils import timezone

from stock.catalogue import barcodes
from stock.catalogue.items import shelf_order
from stock.holds.availability import Shortage, counting, shortages
from stock.ledger.movements import balances
from stock.models import Colour, HoldLine, Item, Kind
from studio.tenancy.access import require
from studio.tenancy.rights import Right

GROUPS: Final = (
    ("Frames", Kind.FRAME),
    ("Covers", Kind.COVER),
    ("Florals", Kind.FLORAL),
    ("Signs", Kind.SIGN),
    ("Hardware", Kind.HARDWARE),
    ("Tools", Kind.TOOL),
)
"""The lists below the rounds, and what each holds."""
SPELLED_OUT: Final = 12
"""Shortages that the page spells out."""
LISTED: Final = 24
"""Things of a list below the rounds that the page shows before it is asked for all of them."""


@dataclass(frozen=True, slots=True)
class Stand:
    """How one item stands now."""

    item: Item
    owned: int
    promised: int
    """Kept by holds, whenever they are due."""
    out: int = 0
    """Away or being cleaned at this moment (what comes back only)."""
    back_at: datetime | None = None
    """When the first of those that are out count again."""

    @property
    def free(self) -> int:
        """On the shelf and promised to nobody: for good for what is used up, at this moment for what comes
        back."""
        return max(0, self.owned - (self.out if self.item.is_reusable else self.promised))

    @property
    def here(self) -> int:
        """In its place at this moment, promised or not."""
        return max(0, self.owned - self.out)

    @property
    def missing(self) -> int:
        """Promised past what there is, for what is used up."""
        return 0 if self.item.is_reusable else max(0, self.promised - self.owned)

    @property
    def held(self) -> int:
        """What the bite in a round stands for: the part of what is there that is promised."""
        return min(self.owned, self.promised)


@dataclass(frozen=True, slots=True)
class SizeRow:
    """The rounds of one size, a cell for each colour; none where the studio doesn't keep it."""

    size_in: int
    cells: tuple[Stand | None, ...]


@dataclass(frozen=True, slots=True)
class Group:
    """One list below the rounds."""

    name: str
    kind: Kind
    stands: tuple[Stand, ...]
    more: int = 0
    """How many further ones the page leaves out until it is asked for the whole list."""


@dataclass(frozen=True, slots=True)
class ShortJob:
    """What one hold lacks."""

    hold_id: int
    label: str
    needed_at: datetime
    shortages: tuple[Shortage, ...]


@dataclass(frozen=True, slots=True)
class Shelf:
    """Everything that the shelf page draws."""

    colours: tuple[Colour, ...]
    sizes: tuple[SizeRow, ...]
    twisting: tuple[Stand | None, ...]
    """The 260s, a cell for each colour; empty where there are none."""
    groups: tuple[Group, ...]
    shortages: tuple[Shortage, ...]
    retired: tuple[Item, ...]
    sought: str = ""
    only: Kind | None = None

    @property
    def is_empty(self) -> bool:
        """Whether the studio has nothing in use, or nothing that was sought."""
        return not self.colours and not self.groups

    @property
    def shortage_count(self) -> int:
        """How many promises lack something."""
        return len(self.shortages)

    @property
    def short_jobs(self) -> tuple[ShortJob, ...]:
        """The soonest shortages by what they are for, as many as the page spells out."""
        jobs: dict[int, list[Shortage]] = defaultdict(list)
        for shortage in self.shortages[:SPELLED_OUT]:
            jobs[shortage.hold_id].append(shortage)
        return tuple(
            ShortJob(mine[0].hold_id, mine[0].label, mine[0].needed_at, tuple(mine)) for mine in jobs.values()
        )

    @property
    def later_shortages(self) -> int:
        """How many more there are."""
        return max(0, len(self.shortages) - SPELLED_OUT)


def shelf(sought: str = "", *, only: Kind | None = None) -> Shelf:
    """The shelf now, all of it or what has ``sought`` in its name, code or place; long lists are cut short, unless
    ``only`` one kind is asked for. Six queries at most."""
    require(Right.SEE_SHELF)
    sifted = _sought(sought)
    if only is not None:
        sifted = sifted.filter(kind=only)
    items, in_all = _listed(sifted, whole=only)
    stands = stands_of([item for item in items if item.retired_at is None])
    latex = [stand for stand in stands if stand.item.kind == Kind.LATEX]
    twisting = [stand for stand in stands if stand.item.kind == Kind.TWISTING]
    colours = _colours_of(latex + twisting)
    by_kind: dict[str, list[Stand]] = defaultdict(list)
    for stand in stands:
        by_kind[stand.item.kind].append(stand)
    return Shelf(
        colours=tuple(colours),
        sizes=tuple(_size_row(size, latex, colours) for size in sorted({s.item.size_in or 0 for s in latex})),
        twisting=_cells(twisting, colours) if twisting else (),
        groups=tuple(
            Group(name, kind, tuple(mine), in_all[kind] - len(mine))
            for name, kind in GROUPS
            if (mine := by_kind[kind])
        ),
        shortages=tuple(shortages(among=sifted if sought or only else None)),
        retired=tuple(item for item in items if item.retired_at is not None),
        sought=sought,
        only=only,
    )


def scanned(text: str) -> Item | None:
    """The item in use under the bars that somebody scanned or typed; none where the text is no such number."""
    require(Right.SEE_SHELF)
    digits = text.replace(" ", "")
    if not (digits.isascii() and digits.isdecimal()) or len(digits) not in barcodes.LENGTHS:
        return None
    return Item.objects.filter(retired_at=None, gtin__in=barcodes.same(digits)).first()


def stands_of(items: Sequence[Item]) -> list[Stand]:
    """How ``items`` stand now. Two queries, however many."""
    now = timezone.now()
    ids = [item.pk for item in items]
    owned = balances(ids)
    away = Q(busy_from__lte=now, busy_until__gt=now)
    lines = {
        row["item_id"]: row
        for row in counting(now)
        .filter(item_id__in=ids)
        .order_by()
        .values("item_id")
        .annotate(
            promised=Sum("quantity"), out=Sum("quantity", filter=away), back_at=Min("busy_until", filter=away)
        )
    }
    return [_stand(item, owned[item.pk], lines.get(item.pk, {})) for item in items]


def stand_of(item: Item, owned: int, lines: Sequence[HoldLine], now: datetime) -> Stand:
    """How one item stands, from the lines that hold it."""
    away = [line for line in lines if line.busy_from <= now < line.busy_until]
    known = {
        "promised": sum(line.quantity for line in lines),
        "out": sum(line.quantity for line in away),
        "back_at": min((line.busy_until for line in away), default=None),
    }
    return _stand(item, owned, known)


@dataclass(frozen=True, slots=True)
class CountSheet:
    """The shelf on paper, place by place, with room for what is counted."""

    places: tuple[tuple[str, tuple[Stand, ...]], ...]


def count_sheet() -> CountSheet:
    """Everything in use by its place, as one walks along the shelf."""
    require(Right.SEE_SHELF)
    items = list(Item.objects.filter(retired_at=None).order_by("place", "kind", "size_in", "name"))
    places: dict[str, list[Stand]] = defaultdict(list)
    for stand in stands_of(items):
        places[stand.item.place].append(stand)
    return CountSheet(tuple((place, tuple(stands)) for place, stands in places.items()))


# --- Private ---


def _sought(text: str) -> QuerySet[Item]:
    items = Item.objects.order_by("name", "pk")
    for word in text.split():
        items = items.filter(
            Q(name__icontains=word)
            | Q(code__icontains=word)
            | Q(place__icontains=word)
            | Q(gtin__in=barcodes.same(word) if word.isdecimal() else [])
            | Q(colour__name__icontains=word)
        )
    return items


def _listed(items: QuerySet[Item], *, whole: Kind | None) -> tuple[list[Item], dict[str, int]]:
    """The items to show: all rounds and 260s, what is out of use, the beginning of every other list or the ``whole``
    of one; and how many in use there are of each kind. Two queries; a colour is read once."""
    unread = ("outline", "note", "added_at")
    numbered = items.defer(*unread).annotate(
        is_retired=ExpressionWrapper(Q(retired_at__isnull=False), BooleanField())
    )
    numbered = numbered.annotate(
        place_in_list=Window(RowNumber(), partition_by=["kind", "is_retired"], order_by=["name", "pk"]),
        in_all=Window(Count("*"), partition_by=["kind", "is_retired"]),
    )
    shown = Q(place_in_list__lte=LISTED) | Q(kind__in=[Kind.LATEX, Kind.TWISTING]) | Q(is_retired=True)
    found = list(numbered.filter(shown | Q(kind=whole) if whole else shown))
    colours = Colour.objects.in_bulk({item.colour_id for item in found if item.colour_id})
    for item in found:
        item.colour = colours.get(item.colour_id)
    return [*found], {item.kind: item.in_all for item in found if item.retired_at is None}


def _stand(item: Item, owned: int, known: Mapping[str, Any]) -> Stand:
    promised = known.get("promised") or 0
    if not item.is_reusable:
        return Stand(item, owned, promised)
    return Stand(item, owned, promised, known.get("out") or 0, known.get("back_at"))


def _colours_of(stands: Sequence[Stand]) -> list[Colour]:
    found = {stand.item.colour_id: stand.item.colour for stand in stands if stand.item.colour}
    return sorted(found.values(), key=shelf_order)


def _size_row(size_in: int, latex: Sequence[Stand], colours: Sequence[Colour]) -> SizeRow:
    return SizeRow(size_in, _cells([stand for stand in latex if stand.item.size_in == size_in], colours))


def _cells(stands: Sequence[Stand], colours: Sequence[Colour]) -> tuple[Stand | None, ...]:
    by_colour = {stand.item.colour_id: stand for stand in stands}
    return tuple(by_colour.get(colour.pk) for colour in colours)
