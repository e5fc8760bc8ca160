"""What the studio can put on the table, and how many of it are free on the day of the draft's event."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from quoting.craft.design.records import Design, PaletteColour
from quoting.craft.sheets.stored import StoredLine
from quoting.craft.table.shelf import Shelf, ShelfColour, ShelfCover, ShelfFloral, ShelfPrint, ShelfSign
from quoting.craft.table.things import all_things
from quoting.drawing_table.shelf_things import find_foils, find_props
from quoting.models import Quote, TableDraft
from quoting.prints import images
from quoting.quotes import stock_view
from quoting.set_pieces import kits
from quoting.set_pieces.alter import Owned
from stock.ledger import movements
from stock.models import Item, Kind
from studio.tenancy.access import require
from studio.tenancy.rights import Right

COUNTED: Final = (Kind.FRAME, Kind.COVER, Kind.SIGN, Kind.FLORAL, Kind.PROP, Kind.FOIL)
FIRST_COLOURS: Final = 4
FIRST_SHARES: Final = (0.4, 0.3, 0.2, 0.1)
NO_COLOURS: Final = (PaletteColour(colour="white", name="White", hex="#F4EFE6", share=1.0),)
"""Where the studio keeps no latex yet."""

# How a floral is drawn, from words of its name: a guess, no source.
LOOK_WORDS: Final[Mapping[str, tuple[str, ...]]] = {
    "bloom": ("rose", "flower", "bloom", "peony", "dahlia", "hydrangea", "orchid"),
    "plume": ("pampas", "plume", "grass", "feather"),
}
LOOK_HEX: Final = {"leaf": "#6B8A5E", "bloom": "#C98B8B", "plume": "#D9C7A7"}


@dataclass(frozen=True, slots=True)
class TableShelf:
    """``shelf`` is what acts can take; ``free`` how many of each item there are for the draft, by item code."""

    shelf: Shelf
    free: Mapping[str, int]
    is_dated: bool
    """Whether ``free`` is of an event's day, beside the other pieces of its quote; else all that the studio owns."""
    taken: Mapping[str, int] = field(default_factory=dict)
    """How many of each item the draft itself takes."""

    def left(self, item: str) -> int:
        """How many of an item can still be taken."""
        return max(0, self.free.get(item, 0) - self.taken.get(item, 0))

    def count_words(self, *items: str) -> str:
        """``1 free`` of what is left on the day, ``2 owned`` without a day; nothing for what isn't counted."""
        counted = [item for item in items if item in self.free]
        if not counted:
            return ""
        if self.is_dated:
            return f"{sum(map(self.left, counted))} free"
        return f"{sum(self.free[item] for item in counted)} owned"

    def covers_of(self, frame: str) -> list[str]:
        """Codes of the covers made for a frame, by its item, of which one is left; sorted by their names."""
        made = [code for code in self.shelf.covers if code.startswith(cover_stem(frame)) and self.left(code)]
        return sorted(made, key=lambda code: self.shelf.covers[code].label)


def cover_stem(frame: str) -> str:
    """How the codes of the covers begin that are made for a frame, by its item.

    >>> cover_stem("frame-arch-5ft")
    'cover-arch-5ft-'
    """
    return f"cover-{frame.removeprefix('frame-')}-"


def read_shelf(draft: TableDraft | None = None) -> TableShelf:
    """Everything to build from. The number of queries doesn't grow with the shelf."""
    require(Right.SEE_SHELF)
    owned = stock_view.owned()
    items = list(Item.objects.select_related("colour").filter(retired_at=None, kind__in=COUNTED))
    quote = draft.quote if draft else None
    if draft is None or quote is None:
        balances = movements.balances(item.pk for item in items)
        free = {item.code: balances[item.pk] for item in items}
    else:
        by_code, one_each = {item.code: item for item in items}, {item.code: 1 for item in items}
        window, own = quote.event.hold_window(), stock_view.own_holds(quote)
        found = stock_view.on_the_day(one_each, by_code, window, besides=own)
        others = _other_pieces_take(draft, quote)
        free = {each.code: max(0, each.free - others[each.code]) for each in found}
    return TableShelf(_shelf(owned, items), free, quote is not None)


def take(shelf: TableShelf, design: Design, bill: Iterable[StoredLine]) -> TableShelf:
    """The shelf with what a design takes of it: by its bill, or where it has none by its things."""
    taken: Counter[str] = Counter()
    for line in bill:
        taken[line.code] += line.quantity
    return replace(shelf, taken=taken or _items_of(design))


def first_palette(shelf: Shelf) -> tuple[PaletteColour, ...]:
    """A palette to begin with: the first colours of the shelf, the first one the most."""
    first = list(shelf.colours.items())[:FIRST_COLOURS]
    if not first:
        return NO_COLOURS
    shares = FIRST_SHARES[: len(first)]
    return tuple(
        PaletteColour(colour=code, name=colour.name, hex=colour.hex, share=round(share / sum(shares), 4))
        for (code, colour), share in zip(first, shares, strict=True)
    )


# Private


def _other_pieces_take(draft: TableDraft, quote: Quote) -> Counter[str]:
    """What the quote's other pieces need, by code. One query, and one more where a kit is on a bill."""
    pieces = quote.pieces.defer("picture", "design")
    others = [piece for piece in pieces if piece.pk != draft.piece_id]
    kits.unpack(others)
    taken: Counter[str] = Counter()
    for piece in others:
        for line in piece.takeoff.bill:
            taken[line.code] += line.quantity
    return taken


def _items_of(design: Design) -> Counter[str]:
    covers = [frame.cover.item for frame in design.frames if frame.cover and not frame.cover_print]
    return Counter([*(getattr(thing, "item", "") for thing in all_things(design)), *covers])


def _shelf(owned: Owned, items: Sequence[Item]) -> Shelf:
    return Shelf(
        frames={shape: tuple(sizes) for shape, sizes in owned.frames.items()},
        covers={
            code: ShelfCover(label=label, colour=colour, hex=hex_value)
            for code, (label, colour, hex_value) in owned.covers.items()
        },
        signs={code: _sign(label) for code, label in owned.signs.items()},
        colours={
            code: ShelfColour(name=name, hex=hex_value) for code, (name, hex_value) in owned.colours.items()
        },
        florals={
            item.code: _floral(item)
            for item in items
            if item.kind == Kind.FLORAL and not item.code.startswith("greenery-")
        },
        props=find_props(items),
        prints={
            image.digest: ShelfPrint(label=image.name, aspect=image.aspect) for image in images.on_the_shelf()
        },
        foils=find_foils(items),
    )


def _sign(label: str) -> ShelfSign:
    is_lit = "light" in label.lower()
    return ShelfSign(label=label, lit=is_lit, hex="#B8481F" if is_lit else "#1D2528")


def _floral(item: Item) -> ShelfFloral:
    words = item.name.lower()
    look = next((look for look, known in LOOK_WORDS.items() if any(word in words for word in known)), "leaf")
    hex_value = item.colour.hex if item.colour else "#F4EFE6" if "white" in words else LOOK_HEX[look]
    kind = "pick" if item.code.startswith("pick-") else "spray"
    return ShelfFloral(label=item.name, hex=hex_value, kind=kind, look=look)
