"""Confirming an event: its stock is held, its bill and work are saved, its load-out list is made.

All of it happens in one transaction or none of it does. Reusable items (frames, covers) must be available;
consumables may be short, since they can still be bought.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from typing import Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from events.booking import event_lock, log
from events.loadout import load_list, swaps
from events.models import AGREED_STAGES, BillRow, Event, Stage, StageReached, Status, WorkRow
from events.transfers import changing as transfers
from events.transfers.choices import hint_transfers
from events.transfers.transfers import CannotTransfer
from stock.catalogue.items import KIT_PREFIX, Material, find_by_code
from stock.catalogue.kit_parts import find_kit_parts
from stock.holds import holds
from stock.models.hold import ACTIVE_STATES
from studio import tenancy
from studio.tenancy.access import require
from studio.tenancy.rights import Right, Role, may

LONGEST_KEY: Final = 80


@dataclass(frozen=True, slots=True)
class BillLine:
    """So many of what ``code`` names in the catalogue, for one ``part`` of the quote.

    ``spare`` of them are spare balloons; the others are the piece.
    """

    code: str
    label: str
    quantity: int
    part: str = ""
    group: str = ""
    spare: int = 0


@dataclass(frozen=True, slots=True)
class PlannedWork:
    """Minutes of one task."""

    task: str
    minutes: float | Decimal


@dataclass(frozen=True, slots=True)
class Shortage:
    """A consumable that is promised but must be bought first."""

    code: str
    label: str
    short: int


@dataclass(frozen=True, slots=True)
class Commitment:
    """The result of confirming."""

    event: Event
    hold_id: int | None
    """None where the bill is empty."""
    short: tuple[Shortage, ...]


class CannotCommit(ValidationError):
    """The event can't be confirmed; nothing was changed. ``messages`` has a sentence for each reason."""


def commit(
    event_id: int,
    *,
    bill: Sequence[BillLine],
    work: Sequence[PlannedWork],
    key: str,
    height_m: Decimal | None = None,
) -> Commitment:
    """Confirm the event: see the module. The same ``key`` again gives the same commitment.

    ``height_m``: of the highest piece, where it is known.
    An agreed event that comes with a new ``key`` has been agreed again: its hold, bill and
    list are changed to the new bill, in which what was swapped stays swapped. Raises :class:`CannotCommit`,
    ``Http404``.
    """
    require(Right.ANSWER_OFFER)
    _check(bill, work, key)
    with transaction.atomic():
        event = event_lock.lock_event(event_id)
        bill = _unpacked(bill)
        if event.agreed_under == key and event.is_agreed:
            return _same_again(event, bill)
        _refuse_what_cannot_be(event)
        swapped = swaps.present_items(event)
        present = _with_swaps(bill, swapped)
        answer = _held(event, present, key)
        short = _short(present, answer)
        _write_bill(event, bill, swapped, short)
        _write_work(event, work)
        event.built_height_m = height_m
        load_list.build_list(event, present)
        _confirm(event, answer, key)
    return Commitment(event, event.hold_id, short)


def keep(event_id: int, *, bill: Sequence[BillLine], key: str, until: datetime) -> Event:
    """Hold the whole bill tentatively until that moment, for instance until a deposit is in.

    Reusable items must be available. :func:`commit` confirms the hold. Raises :class:`CannotCommit`, ``Http404``.
    """
    require(Right.ANSWER_OFFER)
    _check(bill, (), key)
    with transaction.atomic():
        event = event_lock.lock_event(event_id)
        _refuse_what_cannot_be(event)
        bill = _unpacked(bill)
        answer = _held(event, bill, f"keep-{key}"[:LONGEST_KEY], until=until)
        event.hold_id = answer.hold_id if answer else None
        event_lock.save_event(event, "hold")
        log.record(event, "Agreed: stock held tentatively until the deposit is in.")
    return event


def hold_again(event: Event, *, key: str) -> None:
    """Hold the bill of an event again that was called off. Raises :class:`CannotCommit`."""
    bill = stored_bill(event, swapped=True)
    answer = _held(event, bill, key)
    short = {shortage.code: shortage.short for shortage in _short(bill, answer)}
    for row in event.bill.all():
        BillRow.objects.filter(pk=row.pk).update(short=short.get(row.present_code, 0))
    event.hold_id = answer.hold_id if answer else None


def stored_bill(event: Event, *, swapped: bool = False) -> list[BillLine]:
    """The bill that the event was agreed with; with what was ``swapped`` in since, if asked for."""
    rows = list(event.bill.order_by("pk"))
    lines = _as_agreed(rows)
    if not swapped:
        return lines
    return [
        replace(line, code=row.present_code, label=row.present_label)
        for line, row in zip(lines, rows, strict=True)
    ]


# --- Private ---


def _check(bill: Sequence[BillLine], work: Sequence[PlannedWork], key: str) -> None:
    faults = []
    if not key or len(key) > LONGEST_KEY:
        faults.append(f"An agreement needs a key of 1 to {LONGEST_KEY} characters.")
    faults += [f"{line.label}: {line.quantity} is no quantity." for line in bill if line.quantity < 1]
    faults += [
        f"{line.label}: {line.spare} of {line.quantity} can't be spare."
        for line in bill
        if line.quantity >= 1 and not 0 <= line.spare < line.quantity
    ]
    faults += [f"{line.task}: {line.minutes} is no time." for line in work if line.minutes < 0]
    if faults:
        raise CannotCommit(faults)


def _unpacked(bill: Sequence[BillLine]) -> list[BillLine]:
    """The bill with every kit replaced by its parts, so that the van's list names what is carried. Without kits no
    query, else two."""
    kits = find_kit_parts(line.code for line in bill if line.code.startswith(KIT_PREFIX))
    if not kits:
        return list(bill)
    items = find_by_code(code for parts in kits.values() for code in parts)
    lines: list[BillLine] = []
    for line in bill:
        if line.code not in kits:
            lines.append(line)
            continue
        for code, each in kits[line.code].items():
            lines.append(
                replace(
                    line,
                    code=code,
                    label=items[code].name,
                    quantity=each * line.quantity,
                    spare=each * line.spare,
                )
            )
    return lines


def _same_again(event: Event, bill: Sequence[BillLine]) -> Commitment:
    rows = list(event.bill.order_by("pk"))
    if _as_agreed(rows) != list(bill):
        raise CannotCommit("This was agreed already, with another bill.")
    return Commitment(event, event.hold_id, _stored_short(rows))


def _as_agreed(rows: Iterable[BillRow]) -> list[BillLine]:
    return [BillLine(row.code, row.label, row.quantity, row.part, row.group, row.spare) for row in rows]


def _stored_short(rows: Sequence[BillRow]) -> tuple[Shortage, ...]:
    found = {row.code: Shortage(row.code, row.label, row.short) for row in rows if row.short}
    return tuple(found.values())


def _refuse_what_cannot_be(event: Event) -> None:
    if event.is_off:
        raise CannotCommit("This event was called off. Restore it first.")
    if tenancy.current().role != Role.SYSTEM and event.out_by <= timezone.now():
        raise CannotCommit("This event is over already.")


def _held(
    event: Event, bill: Sequence[BillLine], key: str, *, until: datetime | None = None
) -> holds.HoldAnswer | None:
    """Hold the whole bill for the event's window, changing the present hold; tentatively where ``until`` is given.

    Transfers that were asked for are promised with it, unless the hold is tentative.
    """
    try:
        transfers_in = [] if until else transfers.transfers_to_hold(event, _quantities(bill))
        answer = _asked_for(event, bill, key, until=until, transfers_in=transfers_in)
        if transfers_in and answer:
            event.hold_id = answer.hold_id
            with _may_hold():
                transfers.confirm_requests(event, transfers_in)
    except CannotTransfer as refusal:
        raise CannotCommit(refusal.messages) from refusal
    return answer


def _asked_for(
    event: Event,
    bill: Sequence[BillLine],
    key: str,
    *,
    until: datetime | None,
    transfers_in: Sequence[holds.TransferIn],
) -> holds.HoldAnswer | None:
    needs = [Material(line.code, line.quantity) for line in bill]
    stands = event.hold if event.hold and event.hold.state in ACTIVE_STATES else None
    try:
        with _may_hold():
            if not needs:
                if stands:
                    holds.release(stands.pk, key=f"event-{event.pk}-empty-{key}")
                return None
            if stands is None:
                return holds.hold(
                    label=event.title,
                    window=event.hold_window(),
                    needs=needs,
                    key=f"event-{event.pk}-{key}",
                    tentative_until=until,
                    transfers_in=transfers_in,
                )
            answer = holds.change(
                stands.pk,
                needs=needs,
                window=event.hold_window(),
                key=f"event-{event.pk}-change-{key}",
                tentative_until=until,
                transfers_in=transfers_in,
                firm=bool(transfers_in),
            )
            if until is None:
                holds.confirm(stands.pk, key=f"event-{event.pk}-confirm-{key}")
            return answer
    except holds.NotFree as refusal:
        ways_out = hint_transfers(event, [lack.code for lack in refusal.shortfalls])
        raise CannotCommit([*refusal.messages, *ways_out]) from refusal
    except holds.CannotHold as refusal:
        raise CannotCommit(refusal.messages) from refusal


def _quantities(bill: Sequence[BillLine]) -> dict[str, int]:
    found: dict[str, int] = {}
    for line in bill:
        found[line.code] = found.get(line.code, 0) + line.quantity
    return found


def _may_hold() -> AbstractContextManager[object]:
    """Where a client agrees, the studio itself holds the stock, as its offer promised."""
    tenant = tenancy.current()
    if may(tenant.role, Right.HOLD_STOCK):
        return transaction.atomic()
    return tenancy.entered(tenant.studio_id, slug=tenant.slug, role=Role.SYSTEM, person_id=tenant.person_id)


def _short(bill: Sequence[BillLine], answer: holds.HoldAnswer | None) -> tuple[Shortage, ...]:
    if answer is None:
        return ()
    labels = {line.code: line.label for line in bill}
    wanted = _quantities(bill)
    held_short = [Shortage(lack.code, labels[lack.code], lack.short) for lack in answer.short]
    unknown = [Shortage(code, labels[code], wanted[code]) for code in answer.unknown]
    return tuple(held_short + unknown)


def _with_swaps(bill: Sequence[BillLine], swapped: Mapping[str, tuple[str, str]]) -> list[BillLine]:
    """The bill with what stands for its lines since something was swapped."""
    lines = []
    for line in bill:
        code, label = swapped.get(line.code, (line.code, line.label))
        lines.append(replace(line, code=code, label=label))
    return lines


def _write_bill(
    event: Event,
    bill: Sequence[BillLine],
    swapped: Mapping[str, tuple[str, str]],
    short: Sequence[Shortage],
) -> None:
    nothing = ("", "")
    lacking = {shortage.code: shortage.short for shortage in short}
    event.bill.all().delete()
    BillRow.objects.bulk_create(
        BillRow(
            event=event,
            code=line.code,
            label=line.label,
            quantity=line.quantity,
            part=line.part,
            group=line.group,
            spare=line.spare,
            short=lacking.get(swapped.get(line.code, nothing)[0] or line.code, 0),
            now_code=swapped.get(line.code, nothing)[0],
            now_label=swapped.get(line.code, nothing)[1],
        )
        for line in bill
    )


def _write_work(event: Event, work: Sequence[PlannedWork]) -> None:
    minutes: dict[str, Decimal] = {}
    for planned in work:
        minutes[planned.task] = minutes.get(planned.task, Decimal(0)) + Decimal(str(planned.minutes))
    event.work.all().delete()
    WorkRow.objects.bulk_create(
        WorkRow(event=event, task=task, minutes=spent.quantize(Decimal("0.01")))
        for task, spent in minutes.items()
    )


def _confirm(event: Event, answer: holds.HoldAnswer | None, key: str) -> None:
    anew = event.stage in AGREED_STAGES
    event.status, event.agreed_under = Status.CONFIRMED, key
    event.hold_id = answer.hold_id if answer else None
    if not anew:
        event.stage = Stage.AGREED
        StageReached.objects.create(
            event=event, stage=Stage.AGREED, reached_at=timezone.now(), person_id=tenancy.current().person_id
        )
    event_lock.save_event(event, "status", "agreed_under", "hold", "stage", "built_height_m")
    log.record(event, "Agreed anew: stock held for the new bill." if anew else "Agreed: stock held.")
