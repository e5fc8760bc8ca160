"""What is drawn for a quote on the drawing table and isn't a set piece of it."""

from __future__ import annotations

from typing import Final

from django.db.models import Exists, OuterRef, Q, QuerySet

from quoting.models import Quote, SetPiece, TableDraft
from studio.tenancy.access import require
from studio.tenancy.rights import Right

MOST_LISTED: Final = 6


def find_unplaced(quote: Quote) -> list[TableDraft]:
    """What was drawn for a quote and is no piece of it yet, or no longer; the last changed first. One query."""
    require(Right.EDIT_QUOTES)
    drawn = Q(at__gt=0) | Q(piece_was__isnull=False)
    return list(_without_piece(quote).filter(drawn)[:MOST_LISTED])


def find_empty(quote: Quote) -> TableDraft | None:
    """A draft that was opened for a quote and has nothing drawn in it. One query."""
    return _without_piece(quote).filter(at=0, piece_was=None).first()


# Private


def _without_piece(quote: Quote) -> QuerySet[TableDraft]:
    """Drafts whose piece isn't there; undo of the quote brings a piece back under the id that it had."""
    is_there = SetPiece.objects.filter(pk=OuterRef("piece_was"), quote=quote)
    return TableDraft.objects.filter(~Exists(is_there), quote=quote, piece=None, thrown_at=None)
