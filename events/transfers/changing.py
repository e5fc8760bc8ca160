"""Transferring items from another event: choosing, undoing, and holding requested transfers with the stock."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

from django.db import transaction
from django.http import Http404

from events.booking import event_lock, log, stages
from events.contacts import drives
from events.models import Event, Stage, TransferRequest
from events.transfers.transfers import (
    CannotTransfer,
    EventTransfers,
    check_in_time,
    is_held,
    refuse_too_late,
)
from stock.holds import transfers as held_transfers
from stock.holds.answers import CannotHold
from stock.holds.holds import TransferIn
from stock.models import AgreedTransfer, HoldLine, Item, Nature
from studio.tenancy.access import require
from studio.tenancy.rights import Right


def set_transfer(event_id: int, *, giver_id: int, code: str, quantity: int, unwashed: bool = False) -> Event:
    """Have ``quantity`` of ``code`` in all transferred from another event; choosing again changes the quantity.

    It is held at once for an event that holds its stock, else saved as a request. Raises :class:`CannotTransfer`,
    naming the field, and ``Http404``.
    """
    require(Right.EDIT_EVENTS)
    with transaction.atomic():
        event = event_lock.lock_event(event_id)
        giver = Event.objects.select_related("venue", "hold").filter(pk=giver_id).first()
        if giver is None:
            raise Http404
        _refuse_impossible(event, giver)
        if is_held(event):
            _hold_transfer(event, giver, code=code, quantity=quantity, unwashed=unwashed)
        else:
            _save_request(event, giver, code=code, quantity=quantity, unwashed=unwashed)
        event_lock.save_event(event)
    return event


def undo_transfer(event_id: int, transfer_id: int) -> Event:
    """Have the items return to the studio first. Undoing twice is once. Raises :class:`CannotTransfer`,
    ``Http404``."""
    require(Right.EDIT_EVENTS)
    with transaction.atomic():
        event = event_lock.lock_event(event_id)
        link = (
            AgreedTransfer.objects.select_related("item")
            .filter(pk=transfer_id, taker_id=event.hold_id)
            .first()
        )
        if link is None:
            return event
        if event.stage != Stage.AGREED:
            raise CannotTransfer("The van is loaded already: this transfer can’t be undone.")
        giver = Event.objects.filter(hold_id=link.giver_id).first()
        key = f"event-{event.pk}-by-way-of-home-{link.pk}-{event.version}"
        try:
            held_transfers.undo_transfer(link.pk, key=key)
        except CannotHold as refusal:
            raise CannotTransfer(refusal.messages) from refusal
        _record_undone(event, giver, f"{link.quantity} × {link.item.name}")
        event_lock.save_event(event)
    return event


def cancel_request(event_id: int, request_id: int) -> Event:
    """Withdraw a requested transfer. Raises ``Http404``."""
    require(Right.EDIT_EVENTS)
    with transaction.atomic():
        event = event_lock.lock_event(event_id)
        event.transfer_requests.filter(pk=request_id).delete()
    return event


def transfers_to_hold(event: Event, quantities: Mapping[str, int]) -> list[TransferIn]:
    """The requested transfers of what is in the event's bill, to be held with its stock.

    Two queries, one where nothing was requested. Raises :class:`CannotTransfer`.
    """
    requests = list(event.transfer_requests.select_related("giver__venue", "giver__hold"))
    if not requests:
        return []
    venues = [each.venue for each in (event, *(request.giver for request in requests)) if each.venue]
    ways = drives.drives_between(venues)
    return [
        _to_hold(event, request, min(request.quantity, quantities[request.code]), ways)
        for request in requests
        if quantities.get(request.code)
    ]


def confirm_requests(event: Event, held: Sequence[TransferIn]) -> None:
    """Replace the event's requests by the transfers that were just held with its stock."""
    if not held:
        return
    event.transfer_requests.all().delete()
    check_in_time(event)
    quantities = {(each.giver_id, each.code): each.quantity for each in held}
    holds = {each.giver_id for each in held}
    givers = {giver.hold_id: giver for giver in Event.objects.filter(hold_id__in=holds)}
    names = dict(Item.objects.filter(code__in=[code for _, code in quantities]).values_list("code", "name"))
    for each in held:
        _refuse_moved_meanwhile(givers[each.giver_id], each.at)
    for (hold_id, code), quantity in quantities.items():
        _record_set(event, givers[hold_id], f"{quantity} × {names[code]}")


def record_called_off(event: Event, transfers: EventTransfers) -> None:
    """Record at the other events that the items of their transfers return to the studio, or come from it."""
    for each in transfers.incoming:
        log.record(each.other, f"{event.title} is called off: {each.words} returns to the studio.")
    for each in transfers.outgoing:
        log.record(each.other, f"{event.title} is called off: {each.words} comes from the studio.")


# --- Private ---


def _refuse_impossible(event: Event, giver: Event) -> None:
    if event.stage in stages.HAS_LEFT:
        raise CannotTransfer("The van is loaded already.")
    if event.pk == giver.pk:
        raise CannotTransfer({"which": "That is the same event."})
    if not giver.is_agreed or not is_held(giver) or giver.stage == Stage.COUNTED_BACK:
        raise CannotTransfer(
            {"which": f"{giver.title} isn’t agreed, or is over: nothing can be transferred from it."}
        )
    ways = drives.drives_between(each.venue for each in (event, giver) if each.venue)
    refuse_too_late("Anything", giver, event, ways, field="which")


def _to_hold(event: Event, request: TransferRequest, quantity: int, ways: drives.Drives) -> TransferIn:
    giver = request.giver
    if not giver.is_agreed or not is_held(giver) or giver.hold_id is None:
        raise CannotTransfer(f"{request} was requested from {giver.title}, which holds no stock any more.")
    refuse_too_late(f"{quantity} × {request.label}", giver, event, ways)
    return TransferIn(giver.hold_id, request.code, quantity, giver.out_by, request.unwashed)


def _hold_transfer(event: Event, giver: Event, *, code: str, quantity: int, unwashed: bool) -> None:
    assert giver.hold_id is not None
    assert event.hold_id is not None
    item = Item.objects.filter(code=code).first()
    if item is None:
        raise CannotTransfer({"which": f"There is no item {code}."})
    _refuse_uncleaned(item, unwashed=unwashed)
    at = giver.out_by
    try:
        held_transfers.make_transfer(
            giver.hold_id,
            event.hold_id,
            code=code,
            quantity=quantity,
            at=at,
            unwashed=unwashed,
            key=f"event-{event.pk}-straight-{event.version}",
        )
    except CannotHold as refusal:
        raise CannotTransfer({"quantity": refusal.messages}) from refusal
    _refuse_moved_meanwhile(giver, at)
    check_in_time(event)
    _record_set(event, giver, f"{quantity} × {item.name}")


def _save_request(event: Event, giver: Event, *, code: str, quantity: int, unwashed: bool) -> None:
    item = Item.objects.filter(code=code, nature=Nature.REUSABLE).first()
    if item is None:
        raise CannotTransfer({"which": "Only reusable items can be transferred from another event."})
    _refuse_uncleaned(item, unwashed=unwashed)
    lines = HoldLine.objects.filter(hold=giver.hold, item=item, handed_on=None)
    most = sum(lines.values_list("quantity", flat=True))
    if not 1 <= quantity <= most:
        raise CannotTransfer({"quantity": f"{giver.title} can transfer {most} × {item.name}."})
    facts = {"label": item.name, "quantity": quantity, "unwashed": unwashed}
    TransferRequest.objects.update_or_create(event=event, giver=giver, code=code, defaults=facts)


def _refuse_uncleaned(item: Item, *, unwashed: bool) -> None:
    if item.turnaround and not unwashed:
        raise CannotTransfer(
            {"unwashed": f"{item.name} isn’t cleaned between the two events. Confirm that this is all right."}
        )


def _refuse_moved_meanwhile(giver: Event, at: datetime) -> None:
    """Refuse where somebody moved the other event while this change waited for its stock."""
    now_at = Event.objects.filter(pk=giver.pk).values_list("out_by", flat=True).first()
    if now_at != at:
        raise CannotTransfer(f"{giver.title} was just moved to another time. Check it, then try again.")


def _record_set(event: Event, giver: Event, what: str) -> None:
    log.record(event, f"{what} comes directly from {giver.title}.")
    log.record(giver, f"{what} goes directly on to {event.title}.")


def _record_undone(event: Event, giver: Event | None, what: str) -> None:
    log.record(event, f"{what} returns to the studio first.")
    if giver is not None:
        log.record(giver, f"{what} returns to the studio before it goes to {event.title}.")
