"""Pieces told apart by their tags: named, sent to mending, brought back, taken out of use.

The item's numbers follow by the same deeds that they follow without tags: a hold for mending, a movement for what is
gone.
"""

from __future__ import annotations

from datetime import datetime
from typing import Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import Http404
from django.utils import timezone

from stock.holds import holds
from stock.ledger import movements
from stock.models import Item, MovementKind, Piece, Purpose
from studio.tenancy.access import require
from studio.tenancy.rights import Right

WRITTEN_OFF: Final = (MovementKind.BROKEN, MovementKind.LOST)


class CannotTag(ValidationError):
    """The piece can't be so; nothing was written."""


def of(item: Item) -> list[Piece]:
    """The item's pieces, those in use first. One query."""
    require(Right.SEE_SHELF)
    found = Piece.objects.filter(item=item).select_related("mending").order_by("tag", "pk")
    return sorted(found, key=lambda piece: piece.retired_at is not None)


def find(piece_id: int) -> Piece:
    """One piece with its item; 404 for one that this studio hasn't."""
    require(Right.EDIT_SHELF)
    found = Piece.objects.filter(pk=piece_id).select_related("item", "mending").first()
    if found is None:
        raise Http404("There is no such piece.")
    return found


def add(item_id: int, *, tag: str, note: str = "") -> Piece:
    """Name one piece; never more than there are. Raises :class:`CannotTag`."""
    require(Right.EDIT_SHELF)
    with transaction.atomic():
        items = movements.lock([item_id])
        if not items or not items[0].is_reusable:
            raise CannotTag("Only what comes back is told apart.")
        _free_tag(item_id, tag)
        owned = movements.balances([item_id])[item_id]
        if Piece.objects.filter(item_id=item_id, retired_at=None).count() >= owned:
            raise CannotTag(f"There are {owned} of it, and each has its tag already.")
        return Piece.objects.create(item=items[0], tag=tag, note=note)


def rename(piece_id: int, *, tag: str, note: str) -> Piece:
    """Another tag, or something else to know about it. Raises :class:`CannotTag`."""
    with transaction.atomic():
        piece = _locked(piece_id)
        _free_tag(piece.item_id, tag, besides=piece.pk)
        piece.tag, piece.note = tag, note
        piece.save(update_fields=["tag", "note"])
    return piece


def repair(piece_id: int, *, until: datetime, why: str, key: str) -> Piece:
    """Send it to mending: one fewer is serviceable until then. Raises :class:`CannotTag`, ``CannotHold``."""
    with transaction.atomic():
        piece = _locked(piece_id)
        if piece.is_mending:
            raise CannotTag(f"{piece.tag} is being mended already.")
        words = f"{piece.tag}: {why}" if why else piece.tag
        answer = holds.set_aside(piece.item_id, 1, until=until, purpose=Purpose.MENDING, why=words, key=key)
        piece.mending_id = answer.hold_id
        piece.save(update_fields=["mending"])
    return piece


def end_repair(piece_id: int) -> Piece:
    """It is mended and counts again. Raises :class:`CannotTag`."""
    with transaction.atomic():
        piece = _locked(piece_id)
        if not piece.is_mending:
            raise CannotTag(f"{piece.tag} isn’t being mended.")
        _release_repair(piece)
    return piece


def retire(piece_id: int, *, kind: MovementKind, reason: str, key: str) -> Piece:
    """It is broken for good or lost: the ledger has one fewer. Raises :class:`CannotTag`, ``NotThere``."""
    if kind not in WRITTEN_OFF:
        raise ValueError(f"A piece is broken or lost, not {kind}.")
    with transaction.atomic():
        piece = _locked(piece_id)
        if piece.is_mending:
            _release_repair(piece)
        movements.write_off(piece.item_id, 1, kind=kind, key=key, reason=f"{piece.tag}: {reason}"[:200])
        piece.retired_at = timezone.now()
        piece.save(update_fields=["retired_at"])
    return piece


# --- Private ---


def _locked(piece_id: int) -> Piece:
    require(Right.EDIT_SHELF)
    piece = Piece.objects.select_for_update(no_key=True).filter(pk=piece_id).first()
    if piece is None:
        raise Http404("There is no such piece.")
    if piece.retired_at is not None:
        raise CannotTag(f"{piece.tag} is out of use.")
    return piece


def _release_repair(piece: Piece) -> None:
    assert piece.mending_id is not None
    holds.back_in_service(piece.mending_id, key=f"back-in-service-{piece.mending_id}")
    piece.mending = None
    piece.save(update_fields=["mending"])


def _free_tag(item_id: int, tag: str, *, besides: int | None = None) -> None:
    if not tag.strip():
        raise CannotTag({"tag": "Say what is written on it."})
    if Piece.objects.filter(item_id=item_id, tag=tag).exclude(pk=besides or 0).exists():
        raise CannotTag({"tag": f"{tag} is there already."})
