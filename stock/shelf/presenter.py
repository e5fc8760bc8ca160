"""What the shelf page and the count sheet show: latex by size and colour, 260s, lists of other items."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from django.db.models import BooleanField, Count, ExpressionWrapper, Q, QuerySet, Window
from django.db.models.functions import RowNumber

from stock.catalogue import barcodes
from stock.catalogue.items import shelf_order
from stock.holds.availability import Shortage, shortages
from stock.models import Colour, Item, Kind
from stock.shelf.stock_levels import StockLevel, stock_levels
from studio.tenancy.access import require
from studio.tenancy.rights import Right

GROUPS: Final = (
    ("Frames", Kind.FRAME),
    ("Covers", Kind.COVER),
    ("Florals", Kind.FLORAL),
    ("Signs", Kind.SIGN),
    ("Props", Kind.PROP),
    ("Foil balloons", Kind.FOIL),
    ("Hardware", Kind.HARDWARE),
    ("Tools", Kind.TOOL),
)
"""The lists below the latex table, with the kind that each shows."""
LISTED_SHORTAGES: Final = 12
"""How many shortages the page lists."""
LISTED_ITEMS: Final = 24
"""How many items of a list the page shows before it is asked for all."""


@dataclass(frozen=True, slots=True)
class SizeRow:
    """The latex of one size, a cell for each colour; None where the studio doesn't stock it."""

    size_in: int
    cells: tuple[StockLevel | None, ...]


@dataclass(frozen=True, slots=True)
class Group:
    """One list below the latex table."""

    name: str
    kind: Kind
    levels: tuple[StockLevel, ...]
    more: int = 0
    """How many more items the list has than the page shows."""


@dataclass(frozen=True, slots=True)
class ShortJob:
    """The shortages of one hold."""

    hold_id: int
    label: str
    needed_at: datetime
    shortages: tuple[Shortage, ...]


@dataclass(frozen=True, slots=True)
class Shelf:
    """Everything that the shelf page shows."""

    colours: tuple[Colour, ...]
    sizes: tuple[SizeRow, ...]
    twisting: tuple[StockLevel | None, ...]
    """The 260s, a cell for each colour; empty where there are none."""
    groups: tuple[Group, ...]
    shortages: tuple[Shortage, ...]
    retired: tuple[Item, ...]
    sought: str = ""
    only: Kind | None = None
    has_usual_costs: bool = False
    """Whether some items have a usual cost that nobody has checked."""

    @property
    def is_empty(self) -> bool:
        """Whether no item in use matches."""
        return not self.colours and not self.groups

    @property
    def shortage_count(self) -> int:
        """How many shortages there are."""
        return len(self.shortages)

    @property
    def short_jobs(self) -> tuple[ShortJob, ...]:
        """The soonest shortages by hold, as many as the page lists."""
        jobs: dict[int, list[Shortage]] = defaultdict(list)
        for shortage in self.shortages[:LISTED_SHORTAGES]:
            jobs[shortage.hold_id].append(shortage)
        return tuple(
            ShortJob(mine[0].hold_id, mine[0].label, mine[0].needed_at, tuple(mine)) for mine in jobs.values()
        )

    @property
    def later_shortages(self) -> int:
        """How many shortages the page doesn't list."""
        return max(0, len(self.shortages) - LISTED_SHORTAGES)


def find_shelf(sought: str = "", *, only: Kind | None = None) -> Shelf:
    """The shelf now, or the items with ``sought`` in their name, code or place; long lists are cut short, unless
    ``only`` one kind is asked for. Six queries at most."""
    require(Right.SEE_SHELF)
    sifted = matching_items(sought)
    if only is not None:
        sifted = sifted.filter(kind=only)
    items, in_all = _listed_items(sifted, whole=only)
    levels = stock_levels([item for item in items if item.retired_at is None])
    latex = [level for level in levels if level.item.kind == Kind.LATEX]
    twisting = [level for level in levels if level.item.kind == Kind.TWISTING]
    colours = _colours_of(latex + twisting)
    by_kind: dict[str, list[StockLevel]] = defaultdict(list)
    for level in levels:
        by_kind[level.item.kind].append(level)
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
        has_usual_costs=Item.objects.filter(retired_at=None, cost_is_usual=True).exists(),
    )


def find_scanned_item(text: str) -> Item | None:
    """The item in use with the barcode number in ``text``; None if there is none."""
    require(Right.SEE_SHELF)
    digits = text.replace(" ", "")
    if not (digits.isascii() and digits.isdecimal()) or len(digits) not in barcodes.LENGTHS:
        return None
    return Item.objects.filter(retired_at=None, gtin__in=barcodes.same_gtins(digits)).first()


def matching_items(text: str) -> QuerySet[Item]:
    """Items that have every word in their name, code, place or color, or as their barcode number."""
    items = Item.objects.order_by("name", "pk")
    for word in text.split():
        items = items.filter(
            Q(name__icontains=word)
            | Q(code__icontains=word)
            | Q(place__icontains=word)
            | Q(gtin__in=barcodes.same_gtins(word) if word.isdecimal() else [])
            | Q(colour__name__icontains=word)
        )
    return items


# --- Private ---


def _listed_items(items: QuerySet[Item], *, whole: Kind | None) -> tuple[list[Item], dict[str, int]]:
    """The items to show: all latex, all retired items, the start of every other list or the ``whole`` of one; and the
    number in use by kind. Two queries; each colour is read once."""
    unread = ("outline", "note", "added_at")
    numbered = items.defer(*unread).annotate(
        is_retired=ExpressionWrapper(Q(retired_at__isnull=False), BooleanField())
    )
    numbered = numbered.annotate(
        place_in_list=Window(RowNumber(), partition_by=["kind", "is_retired"], order_by=["name", "pk"]),
        in_all=Window(Count("*"), partition_by=["kind", "is_retired"]),
    )
    shown = Q(place_in_list__lte=LISTED_ITEMS) | Q(kind__in=[Kind.LATEX, Kind.TWISTING]) | Q(is_retired=True)
    found = list(numbered.filter(shown | Q(kind=whole) if whole else shown))
    colours = Colour.objects.in_bulk({item.colour_id for item in found if item.colour_id})
    for item in found:
        item.colour = colours.get(item.colour_id)
    return [*found], {item.kind: item.in_all for item in found if item.retired_at is None}


def _colours_of(levels: Sequence[StockLevel]) -> list[Colour]:
    found = {level.item.colour_id: level.item.colour for level in levels if level.item.colour}
    return sorted(found.values(), key=shelf_order)


def _size_row(size_in: int, latex: Sequence[StockLevel], colours: Sequence[Colour]) -> SizeRow:
    return SizeRow(size_in, _cells([level for level in latex if level.item.size_in == size_in], colours))


def _cells(levels: Sequence[StockLevel], colours: Sequence[Colour]) -> tuple[StockLevel | None, ...]:
    by_colour = {level.item.colour_id: level for level in levels}
    return tuple(by_colour.get(colour.pk) for colour in colours)
