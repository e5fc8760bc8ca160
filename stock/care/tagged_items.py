"""Tagged items: single pieces of an item with a tag, sent to repair, returned to service, taken out of use.

The item's numbers change as they do without tags: a repair is a hold, a write-off is a movement.
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
    """The change of a tagged item was refused; nothing was written."""


def list_tagged_items(item: Item) -> list[Piece]:
    """The tagged items of an item, those in use first. One query."""
    require(Right.SEE_SHELF)
    found = Piece.objects.filter(item=item).select_related("mending").order_by("tag", "pk")
    return sorted(found, key=lambda tagged: tagged.retired_at is not None)


def find_tagged_item(tagged_id: int) -> Piece:
    """One tagged item with its item; 404 for one of another studio."""
    require(Right.EDIT_SHELF)
    found = Piece.objects.filter(pk=tagged_id).select_related("item", "mending").first()
    if found is None:
        raise Http404("There is no such tagged item.")
    return found


def add_tag(item_id: int, *, tag: str, note: str = "") -> Piece:
    """Tag one piece of an item, never more than the studio owns. Raises :class:`CannotTag`."""
    require(Right.EDIT_SHELF)
    with transaction.atomic():
        items = movements.lock_items([item_id])
        if not items or not items[0].is_reusable:
            raise CannotTag("Only reusable items can have tags.")
        _refuse_used_tag(item_id, tag)
        owned = movements.balances([item_id])[item_id]
        if Piece.objects.filter(item_id=item_id, retired_at=None).count() >= owned:
            raise CannotTag(f"You own {owned} of it, and all of them have tags.")
        return Piece.objects.create(item=items[0], tag=tag, note=note)


def rename_tag(tagged_id: int, *, tag: str, note: str) -> Piece:
    """Change the tag or the note. Raises :class:`CannotTag`."""
    with transaction.atomic():
        tagged = _lock_tagged_item(tagged_id)
        _refuse_used_tag(tagged.item_id, tag, besides=tagged.pk)
        tagged.tag, tagged.note = tag, note
        tagged.save(update_fields=["tag", "note"])
    return tagged


def send_to_repair(tagged_id: int, *, until: datetime, why: str, key: str) -> Piece:
    """Send it to repair: one fewer is available until then. Raises :class:`CannotTag`, ``CannotHold``."""
    with transaction.atomic():
        tagged = _lock_tagged_item(tagged_id)
        if tagged.is_mending:
            raise CannotTag(f"{tagged.tag} is already in repair.")
        words = f"{tagged.tag}: {why}" if why else tagged.tag
        answer = holds.set_aside(tagged.item_id, 1, until=until, purpose=Purpose.MENDING, why=words, key=key)
        tagged.mending_id = answer.hold_id
        tagged.save(update_fields=["mending"])
    return tagged


def return_from_repair(tagged_id: int) -> Piece:
    """Return it to service. Raises :class:`CannotTag`."""
    with transaction.atomic():
        tagged = _lock_tagged_item(tagged_id)
        if not tagged.is_mending:
            raise CannotTag(f"{tagged.tag} isn’t in repair.")
        _release_repair(tagged)
    return tagged


def retire_tagged_item(tagged_id: int, *, kind: MovementKind, reason: str, key: str) -> Piece:
    """Take it out of use as broken or lost: the ledger has one fewer. Raises :class:`CannotTag`, ``NotThere``."""
    if kind not in WRITTEN_OFF:
        raise ValueError(f"A write-off is broken or lost, not {kind}.")
    with transaction.atomic():
        tagged = _lock_tagged_item(tagged_id)
        if tagged.is_mending:
            _release_repair(tagged)
        movements.write_off(tagged.item_id, 1, kind=kind, key=key, reason=f"{tagged.tag}: {reason}"[:200])
        tagged.retired_at = timezone.now()
        tagged.save(update_fields=["retired_at"])
    return tagged


# --- Private ---


def _lock_tagged_item(tagged_id: int) -> Piece:
    require(Right.EDIT_SHELF)
    tagged = Piece.objects.select_for_update(no_key=True).filter(pk=tagged_id).first()
    if tagged is None:
        raise Http404("There is no such tagged item.")
    if tagged.retired_at is not None:
        raise CannotTag(f"{tagged.tag} is out of use.")
    return tagged


def _release_repair(tagged: Piece) -> None:
    assert tagged.mending_id is not None
    holds.back_in_service(tagged.mending_id, key=f"back-in-service-{tagged.mending_id}")
    tagged.mending = None
    tagged.save(update_fields=["mending"])


def _refuse_used_tag(item_id: int, tag: str, *, besides: int | None = None) -> None:
    if not tag.strip():
        raise CannotTag({"tag": "Enter a tag."})
    if Piece.objects.filter(item_id=item_id, tag=tag).exclude(pk=besides or 0).exists():
        raise CannotTag({"tag": f"The tag {tag} is already used."})
