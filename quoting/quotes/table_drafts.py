"""What is drawn for a quote on the drawing table and isn't a set piece of it."""

from __future__ import annotations

from typing import Final

from django.db.models import Exists, OuterRef, Q, QuerySet

from quoting.models import Quote, SetPiece, TableDraft
from studio.tenancy.access import require
from studio.tenancy.kept_query import Given, KeptQuery
from studio.tenancy.rights import Right

MOST_LISTED: Final = 6


def find_unplaced(quote: Quote) -> list[tuple[int, str]]:
    """Id and name of what was drawn for a quote and is no piece of it yet, or no longer; the last changed first. One
    query."""
    require(Right.EDIT_QUOTES)
    return _UNPLACED.rows(quote=quote.pk)


def unplaced(quote_id: int | Given) -> QuerySet[TableDraft]:
    """Those drafts, all of them."""
    return _without_piece(quote_id).filter(Q(at__gt=0) | Q(piece_was__isnull=False))


def find_empty(quote: Quote) -> TableDraft | None:
    """A draft that was opened for a quote and has nothing drawn in it. One query."""
    return _without_piece(quote.pk).filter(at=0, piece_was=None).first()


# Private


def _without_piece(quote_id: int | Given) -> QuerySet[TableDraft]:
    """Drafts whose piece isn't there; undo of the quote brings a piece back under the id that it had."""
    is_there = SetPiece.objects.filter(pk=OuterRef("piece_was"), quote_id=quote_id)
    return TableDraft.objects.filter(~Exists(is_there), quote_id=quote_id, piece=None, thrown_at=None)


_UNPLACED: Final = KeptQuery(lambda: unplaced(Given("quote")).values_list("pk", "name")[:MOST_LISTED])
