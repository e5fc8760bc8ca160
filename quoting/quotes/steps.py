"""One change of a sketch: seen as it stands, kept for undo, priced anew, or refused with nothing overwritten."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import Final

from django.core.exceptions import ValidationError
from django.db import transaction

from quoting.models import Quote, SetPiece, SketchVersion
from quoting.quotes import sheet, snapshots
from quoting.quotes.sheet import Sheet
from quoting.set_pieces.faults import CannotSketch
from studio import tenancy
from studio.models import entered_studio
from studio.money import amounts
from studio.tenancy.access import require
from studio.tenancy.rights import Right
from studio.tenancy.written_together import Altered, write_together

Which = int | Sheet
"""A quote by its id, or its sheet as :func:`quoting.quotes.sheet.lock_sheet` read it."""
BELOW_ZERO: Final = "unit_price"
"""Field of the fault that a total below zero is, unless the change names a better one."""
UNDO_STEPS: Final = 100
"""Earlier sketches kept of one quote at least; older ones are let go, some at a time."""
LET_GO_EVERY: Final = 20
QUOTE_FIELDS: Final = tuple(
    field.name
    for field in Quote._meta.concrete_fields
    if field.name not in ("id", "studio", "event", "made_at")
)
"""What a change may write of the quote itself."""


class StaleSketch(ValidationError):
    """Somebody changed the sketch since it was read; ``quote`` is how it stands now."""

    def __init__(self, quote: Quote, seen: int) -> None:
        who = f"{quote.changed_by} changed" if quote.changed_by else "Somebody changed"
        super().__init__(
            f"{who} this quote in the meantime: it is at version {quote.version}, you saw version {seen}. "
            "Your change is not made yet. Check the quote, then make it again."
        )
        self.quote = quote


class ClosedSketch(ValidationError):
    """What was agreed is not sketched over."""


def change_quote(
    which: Which, version: int, change: Callable[[Sheet], str], *, in_place: bool = False
) -> Quote:
    """Make one change that can be undone: lock, keep what was, change, price anew.

    ``change`` says in words what it did. ``in_place``: it alters the quote itself, or pieces of it and notes
    that by :meth:`Sheet.note_altered`; it saves nothing, and no row comes or goes.
    """
    return change_sheet(which, version, change, in_place=in_place).quote


def change_sheet(
    which: Which, version: int, change: Callable[[Sheet], str], *, in_place: bool = False
) -> Sheet:
    """Make one change as :func:`change_quote` does; gives the sheet as it then stands, already priced.

    Made in place, it is written in one statement when nothing can be refused any more.
    """
    require(Right.EDIT_QUOTES)
    if in_place:
        return _change_in_place(which, version, change)
    with transaction.atomic():
        read = open_sheet(which, version)
        step = _step_from(read)
        step.what = change(read)[:160]
        step.save()
        _let_go(read.quote)
        return count_change(replace(reread(read), has_earlier=True))


def reprice(read: Sheet) -> Sheet:
    """Price the quote anew and save it; a total below zero is refused. Gives the sheet with that price."""
    priced = _priced_anew(read)
    priced.quote.save()
    return priced


def piece_as_seen(quote: Quote, piece: SetPiece, version: int) -> SetPiece | None:
    """The piece as it stood at an earlier version (not saved), to tell what somebody changed about that one."""
    earlier = quote.sketches.filter(number=version).first()
    return snapshots.piece_then(quote, earlier.snapshot, piece.pk) if earlier else None


def open_sheet(which: Which, version: int) -> Sheet:
    """The quote's sheet, to be changed. Raises :class:`StaleSketch` and :class:`ClosedSketch`."""
    read = which if isinstance(which, Sheet) else sheet.lock_sheet(which, entered_studio())
    assert read.is_locked, "read with lock_sheet, so that nobody else changes it in between"
    if read.quote.version != version:
        raise StaleSketch(read.quote, version)
    refuse_closed(read.quote)
    return read


def refuse_closed(quote: Quote) -> None:
    """Raise :class:`ClosedSketch` for a quote that was agreed."""
    if not quote.is_open:
        if quote.is_left_out:
            raise ClosedSketch("This version is left out. Put it back first.")
        raise ClosedSketch("This quote was agreed. Start a new one for changes.")


def reread(read: Sheet) -> Sheet:
    """The sheet after rows came or went."""
    fresh = sheet.read_sheet(read.quote, read.studio, pictures=False)
    return replace(fresh, is_locked=read.is_locked)


def count_change(read: Sheet) -> Sheet:
    """Count the change, sign it, price anew, save."""
    _sign(read.quote)
    return reprice(read)


def can_undo(read: Sheet) -> bool:
    """Whether there is an earlier sketch to go back to. One query, unless a step was just made."""
    return read.has_earlier or read.quote.sketches.exists()


# Private


def _change_in_place(which: Which, version: int, change: Callable[[Sheet], str]) -> Sheet:
    read = open_sheet(which, version)
    step = _step_from(read)
    step.what = change(read)[:160]
    priced = _priced_anew(replace(read, has_earlier=True))
    _sign(priced.quote)
    pieces = [Altered(piece, fields) for piece, fields in read.altered]
    write_together([Altered(priced.quote, QUOTE_FIELDS), *pieces], [step])
    read.altered.clear()
    _let_go(priced.quote)
    return priced


def _step_from(read: Sheet) -> SketchVersion:
    """How the quote stands now, to be kept once what follows is known to hold."""
    return SketchVersion(
        quote=read.quote,
        number=read.quote.version,
        snapshot=snapshots.take(read.quote, read.pieces, read.free_lines),
        made_by_id=tenancy.current().person_id,
    )


def _let_go(quote: Quote) -> None:
    """Let old sketches go, from time to time."""
    if quote.version % LET_GO_EVERY == 0:
        quote.sketches.filter(number__lte=quote.version - UNDO_STEPS).delete()


def _sign(quote: Quote) -> None:
    quote.version += 1
    quote.changed_by_id = tenancy.current().person_id


def _priced_anew(read: Sheet) -> Sheet:
    priced = sheet.refresh(read)
    quote, tape = priced.quote, priced.whole_tape
    taken_off = -sum((line.amount for line in tape.lines if line.part == "discount"), Decimal(0))
    if tape.total < 0 or tape.net < 0 or taken_off < amounts.rounded(quote.discount_amount, tape.currency):
        raise CannotSketch(
            {BELOW_ZERO: ["That takes off more than there is: the total would fall below zero."]}
        )
    quote.priced_net, quote.priced_total = tape.net, tape.total
    return priced
