"""Transfers: pieces go directly from one hold to another, without coming back to the studio.

At the moment of the transfer the pieces' stay on one hold ends, without any cleaning time, and the other stay starts.
An item with a cleaning time is transferred only if the caller accepts that it goes unwashed. A piece is transferred at
most once, and both holds are confirmed. No later change drops a transfer in silence: changing either hold checks it
again and refuses what isn't possible; releasing one hold undoes it, or refuses if the pieces aren't available then.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from django.db.models import Q

from stock.holds.answers import CannotHold
from stock.holds.lines import (
    TransferIn,
    find_quantities,
    find_transfers,
    lock_active_holds,
    undo_transfers,
    write_lines,
)
from stock.ledger import movements
from stock.ledger.idempotency import once
from stock.models import AgreedTransfer, Hold
from stock.models.hold import ACTIVE_STATES
from studio.tenancy.access import require
from studio.tenancy.rights import Right


def make_transfer(
    giver_id: int,
    taker_id: int,
    *,
    code: str,
    quantity: int,
    at: datetime,
    key: str,
    unwashed: bool = False,
) -> None:
    """Transfer a total ``quantity`` of ``code`` from one active hold to another at ``at``.

    Between the same two holds it replaces the earlier transfer. Raises :class:`CannotHold` for an invalid request,
    :class:`NotFree` if the pieces are reserved elsewhere at some moment, ``KeyTaken``.
    """
    require(Right.HOLD_STOCK)
    transfer = TransferIn(giver_id, code, quantity, at, unwashed)
    asked = {
        "hand on": [giver_id, taker_id],
        "code": code,
        "quantity": quantity,
        "at": at.isoformat(),
        "unwashed": unwashed,
    }

    def write() -> dict[str, list[int]]:
        found = lock_active_holds({giver_id, taker_id})[taker_id]
        write_lines(found, find_quantities(found), transfers_in=[transfer], only=[code])
        return {"handed on": [giver_id, taker_id]}

    once(key, asked, dict[str, list[int]], write)


def undo_transfer(transfer_id: int, *, key: str) -> None:
    """Undo a transfer: the pieces return to the studio in between. Undoing it again changes nothing.

    Raises :class:`CannotHold` if the pieces aren't available for that, or if the transfer has happened.
    """
    require(Right.HOLD_STOCK)

    def write() -> dict[str, int]:
        link = AgreedTransfer.objects.filter(pk=transfer_id).first()
        if link is not None:
            _undo_link(link)
        return {"undone": transfer_id}

    once(key, {"undo handing on": transfer_id}, dict[str, int], write)


def list_transfers(hold_ids: Sequence[int]) -> list[AgreedTransfer]:
    """The transfers from or to these holds with the items' names, soonest first. One query, none without a hold."""
    require(Right.SEE_LOAD_OUT)
    if not hold_ids:
        return []
    links = AgreedTransfer.objects.filter(Q(giver_id__in=hold_ids) | Q(taker_id__in=hold_ids)).select_related(
        "item"
    )
    return list(links.only("giver_id", "taker_id", "quantity", "at", "item__code", "item__name"))


# --- Private ---


def _undo_link(link: AgreedTransfer) -> None:
    ends = [link.giver_id, link.taker_id]
    list(Hold.objects.filter(pk__in=ends).order_by("pk").select_for_update(no_key=True))
    movements.lock_items([link.item_id])
    for again in find_transfers(*ends).filter(pk=link.pk):
        for hold in (again.giver, again.taker):
            if hold.state not in ACTIVE_STATES:
                raise CannotHold(f"The transfer has happened: {hold.label} is over.")
        undo_transfers([again])
