"""One change of a sketch: seen as it stands, kept for undo, priced anew, or refused with nothing overwritten."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Final

from django.core.exceptions import ValidationError
from django.db import transaction

from quoting.models import Quote, SetPiece, SketchVersion
from quoting.quotes import sheet, snapshots
from quoting.set_pieces.faults import CannotSketch
from studio import tenancy
from studio.money import amounts
from studio.tenancy.access import require
from studio.tenancy.rights import Right

Which = int | Quote
"""A quote by its number, or as :func:`quoting.quotes.sheet.find` read it to be changed."""
BELOW_NOTHING: Final = "unit_price"
"""Field of the fault that a total below nothing is, unless who changed it knows better."""
UNDO_STEPS: Final = 100
"""Earlier sketches kept of one quote at least; older ones are let go, some at a time."""
LET_GO_EVERY: Final = 20


class StaleSketch(ValidationError):
    """Somebody changed the sketch since it was read; ``quote`` is how it stands now."""

    def __init__(self, quote: Quote, seen: int) -> None:
        who = f"{quote.changed_by} changed" if quote.changed_by else "Somebody changed"
        super().__init__(
            f"{who} this quote meanwhile: it stands at sketch {quote.version}, you saw sketch {seen}. "
            "Nothing of theirs was overwritten. Your change is not made yet; look, and make it again."
        )
        self.quote = quote


class ClosedSketch(ValidationError):
    """What was agreed is not sketched over."""


def changed(which: Which, version: int, change: Callable[[Quote], str], *, in_place: bool = False) -> Quote:
    """Make one change that can be undone: lock, keep what was, change, price anew.

    ``change`` says in words what it did. ``in_place``: it alters the quote's pieces or the quote itself, no row comes
    or goes.
    """
    require(Right.EDIT_QUOTES)
    with transaction.atomic():
        quote = locked(which, version)
        sheet.load(quote, quote.studio, pictures=False)
        earlier = snapshots.taken(quote)
        what = change(quote)[:160]
        SketchVersion.objects.create(
            quote=quote,
            number=quote.version,
            what=what,
            snapshot=earlier,
            made_by_id=tenancy.current().person_id,
        )
        if quote.version % LET_GO_EVERY == 0:
            quote.sketches.filter(number__lte=quote.version - UNDO_STEPS).delete()
        if not in_place:
            sheet.forget(quote)
        step(quote)
        quote.can_undo, quote.last_change = True, what
    return quote


def reprice(quote: Quote) -> None:
    """Price the quote anew and save it; a total below nothing is refused."""
    tape = sheet.altered(sheet.load(quote, quote.studio, pictures=False)).whole_tape
    taken_off = -sum((line.amount for line in tape.lines if line.part == "discount"), Decimal(0))
    if tape.total < 0 or tape.net < 0 or taken_off < amounts.rounded(quote.discount_amount, tape.currency):
        raise CannotSketch(
            {BELOW_NOTHING: ["That takes off more than there is: the total would fall below nothing."]}
        )
    quote.priced_net, quote.priced_total = tape.net, tape.total
    quote.save()


def piece_as_seen(quote: Quote, piece: SetPiece, version: int) -> SetPiece | None:
    """The piece as it stood at an earlier version (not saved), to tell what somebody changed about that one."""
    earlier = quote.sketches.filter(number=version).first()
    return snapshots.piece_then(quote, earlier.snapshot, piece.pk) if earlier else None


def locked(which: Which, version: int) -> Quote:
    """The quote, to be changed. Raises :class:`StaleSketch` and :class:`ClosedSketch`."""
    if isinstance(which, Quote) and which.is_locked:
        quote = which
    else:
        quote = sheet.find(which.pk if isinstance(which, Quote) else which, to_change=True)
    if quote.version != version:
        raise StaleSketch(quote, version)
    if not quote.is_open:
        raise ClosedSketch("This quote was agreed. Start another one for what changed since.")
    return quote


def step(quote: Quote) -> None:
    """Count the change, sign it, price anew, save."""
    quote.version += 1
    quote.changed_by_id = tenancy.current().person_id
    reprice(quote)
