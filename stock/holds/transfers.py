"""Pieces that go straight from one hold to another: struck at the one place, built at the next, without coming home.

At the moment of handing on the one hold's stay ends for those pieces, without any time for cleaning and mending, and
the other's begins. What has a time for cleaning goes on only where whoever asks says that it may go unwashed. A piece
is handed on once: what came straight to a hold goes home from there. Both holds are firm. Nothing that a hold does
later drops this in silence: changing either hold looks at it again and refuses what can't be; letting one of them go
sends the pieces by way of the shelf again, or refuses where they aren't free for that.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from stock.holds.answers import CannotHold
from stock.holds.lines import Straight, handed, kept, part_with, quantities_of, standing_together
from stock.ledger import movements
from stock.ledger.idempotency import once
from stock.models import HandedOn, Hold
from stock.models.hold import STANDING
from studio.tenancy.access import require
from studio.tenancy.rights import Right


def hand_on(
    giver_id: int,
    taker_id: int,
    *,
    code: str,
    quantity: int,
    at: datetime,
    key: str,
    unwashed: bool = False,
) -> None:
    """Let ``quantity`` pieces in all of ``code`` go straight from one standing hold to another at ``at``.

    Between the same two holds it changes what was said before. Raises :class:`CannotHold` for what makes no sense,
    :class:`NotFree` where the pieces would be promised elsewhere at some moment, ``KeyTaken``.
    """
    require(Right.HOLD_STOCK)
    straight = Straight(giver_id, code, quantity, at, unwashed)
    asked = {
        "hand on": [giver_id, taker_id],
        "code": code,
        "quantity": quantity,
        "at": at.isoformat(),
        "unwashed": unwashed,
    }

    def deed() -> dict[str, Any]:
        found = standing_together({giver_id, taker_id})[taker_id]
        kept(found, quantities_of(found), straight=[straight])
        return {"handed on": [giver_id, taker_id]}

    once(key, asked, deed)


def undo(handed_id: int, *, key: str) -> None:
    """The pieces go home after all, and leave the house for the other job. Undone twice is undone once.

    Raises :class:`CannotHold` where they aren't free for that, or where it has happened already.
    """
    require(Right.HOLD_STOCK)

    def deed() -> dict[str, Any]:
        link = HandedOn.objects.filter(pk=handed_id).first()
        if link is not None:
            _undo(link)
        return {"undone": handed_id}

    once(key, {"undo handing on": handed_id}, deed)


def of(hold_ids: Sequence[int]) -> list[HandedOn]:
    """What goes straight on from these holds or comes straight to them, soonest first. One query, none without a
    hold."""
    require(Right.SEE_LOAD_OUT)
    return list(handed(*hold_ids)) if hold_ids else []


# --- Private ---


def _undo(link: HandedOn) -> None:
    ends = [link.giver_id, link.taker_id]
    list(Hold.objects.filter(pk__in=ends).order_by("pk").select_for_update(no_key=True))
    movements.lock([link.item_id])
    for again in handed(*ends).filter(pk=link.pk):
        for hold in (again.giver, again.taker):
            if hold.state not in STANDING:
                raise CannotHold(f"That has happened: {hold.label} is over.")
        part_with([again])
