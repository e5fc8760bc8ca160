"""What the design on the table comes to: balloons, hours, what the shelf has of it, margin and price."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from decimal import Decimal

from quoting.craft.sheets.stored import StoredTakeoff
from quoting.models import Quote, SetPiece, TableDraft
from quoting.pricing.tape import Tape
from quoting.quotes import sheet, stock_view
from quoting.quotes.sheet import Sheet
from stock.holds.availability import Available
from stock.ledger import movements
from stock.models import Item
from studio.models import Studio


@dataclass(frozen=True, slots=True)
class Figures:
    """``needs``: each code of the bill and how the shelf stands for all that the quote needs of it; ``tape``: the price
    with what is beside it."""

    takeoff: StoredTakeoff
    needs: tuple[Available, ...]
    labels: Mapping[str, str]
    tape: Tape
    is_dated: bool
    """Whether ``needs`` are of an event's day; else of all that the studio owns."""
    has_way: bool = False
    """Whether the price has the way to the venue in it."""


def figures_of(draft: TableDraft, takeoff: StoredTakeoff, studio: Studio) -> Figures:
    """The figures of a draft whose design was taken off. The number of queries doesn't grow with the design."""
    piece = SetPiece(pk=draft.piece_id, name=draft.name, takeoff=takeoff, design={"palette": []})
    read = _in_quote(draft, piece, studio) if draft.quote else sheet.sheet_of_piece(piece, studio)
    labels = {line.code: line.label for line in piece.takeoff.bill}
    found = _on_the_day(draft.quote, read, labels) if draft.quote else _owned(read.items, read.needs)
    has_way = draft.quote is not None and read.has_way
    return Figures(piece.takeoff, tuple(found), labels, read.whole_tape, draft.quote is not None, has_way)


def prep_hours(takeoff: StoredTakeoff) -> Decimal:
    """Hours of one person in the studio, to a tenth."""
    minutes = sum(task.minutes for task in takeoff.tasks if task.phase == "prep")
    return Decimal(str(round(minutes / 60, 1)))


# Private


def _in_quote(draft: TableDraft, piece: SetPiece, studio: Studio) -> Sheet:
    """The quote's sheet with the design in the place of the piece that it changes, or after the others."""
    assert draft.quote is not None
    read = sheet.read_sheet(draft.quote, studio, pictures=False)
    pieces = [piece if each.pk == draft.piece_id else each for each in read.pieces]
    if piece not in pieces:
        pieces.append(piece)
    for each in read.pieces:
        if each.pk == draft.piece_id:
            piece.by_hand = each.by_hand
            piece.choice, piece.florals_choice, piece.sign_choice = (
                each.choice, each.florals_choice, each.sign_choice,
            )  # fmt: skip
    return sheet.with_pieces(read, pieces)


def _on_the_day(quote: Quote, read: Sheet, codes: Collection[str]) -> list[Available]:
    """How the shelf stands on the day for all pieces of the quote together, of what this one needs."""
    window, held = quote.event.hold_window(), stock_view.own_holds(quote)
    needed = {code: quantity for code, quantity in read.needs.items() if code in codes}
    return stock_view.on_the_day(needed, read.items, window, besides=held)


def _owned(items: Mapping[str, Item], counted: Mapping[str, int]) -> list[Available]:
    """How the shelf stands without a day: against everything that the studio owns. One query."""
    known = {code: items[code] for code in counted if code in items}
    owned = movements.balances(item.pk for item in known.values())

    def stands(code: str, needed: int) -> Available:
        item = known.get(code)
        have = owned[item.pk] if item else 0
        return Available(code, needed, item, have, have)

    return [stands(code, needed) for code, needed in counted.items()]
