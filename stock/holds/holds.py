"""Holds: reserve stock for a window, confirmed or tentative; confirm, change, swap, release, count back.

Each function is one transaction in READ COMMITTED. It locks the hold's row, then the items' rows in id order, reads
the availability and only then writes, so a waiting request sees what the one before has reserved. Reusables are never
reserved beyond what there is; consumables may be, and the answer lists the shortage.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime, timedelta
from typing import Final

from django.utils import timezone

from stock.catalogue.items import MAX_QUANTITY, Material, sum_by_code
from stock.catalogue.kit_parts import expand_kits
from stock.holds.answers import CannotHold, HoldAnswer, NoSuchHold, NotFree, Shortfall
from stock.holds.lines import (
    TransferIn,
    end_hold,
    find_quantities,
    find_transfers,
    lock_active_hold,
    lock_active_holds,
    write_lines,
)
from stock.ledger import movements
from stock.ledger.idempotency import once
from stock.models import Hold, HoldLine, HoldState, Item, MovementKind, Purpose
from stock.models.hold import ACTIVE_STATES
from studio import tenancy
from studio.measures.times import Window
from studio.tenancy.access import require
from studio.tenancy.rights import Right, Role

__all__ = [
    "CannotHold",
    "HoldAnswer",
    "NoSuchHold",
    "NotFree",
    "Shortfall",
    "Swapped",
    "TransferIn",
    "back_in_service",
    "change",
    "confirm",
    "count_back",
    "follow_swaps",
    "hold",
    "release",
    "set_aside",
    "swap",
]

LONGEST: Final = timedelta(days=366 * 10)
"""A longer hold is a typing error."""
FINGERPRINT_UNTIL: Final = "pencilled_until"
"""The first version's name of a tentative hold's date: kept fingerprints of requests are made with it."""


@dataclass(frozen=True, slots=True)
class Swapped:
    """A quantity of one item that replaces another on a hold."""

    hold_id: int
    out: Item
    into: Item
    quantity: int
    left: int = 0
    """How many of ``out`` stay on the hold."""


_followers: list[Callable[[Swapped], None]] = []


def follow_swaps(follower: Callable[[Swapped], None]) -> None:
    """Call ``follower`` in the transaction of every swap, so that the lists of rooms above are updated; it may refuse
    with :class:`CannotHold`. Register it in the app's ``ready``."""
    if follower not in _followers:
        _followers.append(follower)


def hold(
    *,
    label: str,
    window: Window,
    needs: Sequence[Material],
    key: str,
    tentative_until: datetime | None = None,
    transfers_in: Sequence[TransferIn] = (),
) -> HoldAnswer:
    """Reserve ``needs`` for ``window``; tentatively if ``tentative_until`` is given.

    A kit is reserved as its parts. ``transfers_in`` come from other holds and must be available only from their moment.
    ``window`` runs from load-out to return; each item's cleaning time is added here. The same ``key`` again gives the
    first answer again. Raises :class:`NotFree` if a reusable isn't available for the whole window,
    :class:`CannotHold` for an invalid request, ``KeyTaken`` if the key was used for another request.
    """
    require(Right.HOLD_STOCK)
    quantities = sum_by_code(needs)
    _check_request(label, window, quantities, tentative_until)
    asked = {
        "hold": label,
        "needs": quantities,
        FINGERPRINT_UNTIL: tentative_until,
        **_span(window),
        **_transfer_request(transfers_in),
    }

    def write() -> HoldAnswer:
        made = Hold.objects.create(
            label=label,
            starts_at=window.start,
            ends_at=window.end,
            state=HoldState.TENTATIVE if tentative_until else HoldState.HELD,
            tentative_until=tentative_until,
        )
        return write_lines(made, expand_kits(quantities), transfers_in=transfers_in, is_new=True)

    return once(key, asked, HoldAnswer, write)


def confirm(hold_id: int, key: str) -> HoldAnswer:
    """Confirm a tentative hold. Raises :class:`NotFree` if it has expired and another hold took the stock."""
    require(Right.HOLD_STOCK)

    def write() -> HoldAnswer:
        found = lock_active_hold(hold_id)
        found.state, found.tentative_until = HoldState.HELD, None
        found.save(update_fields=["state", "tentative_until"])
        return write_lines(found, find_quantities(found))

    return once(key, {"confirm": hold_id}, HoldAnswer, write)


def change(
    hold_id: int,
    *,
    key: str,
    needs: Sequence[Material] | None = None,
    window: Window | None = None,
    tentative_until: datetime | None = None,
    transfers_in: Sequence[TransferIn] = (),
    leaves_at: datetime | None = None,
    firm: bool = False,
) -> HoldAnswer:
    """Change a hold's quantities, window or tentative date, confirm it (``firm``) or add ``transfers_in``; all or
    nothing. Transfers from this hold to others leave it at ``leaves_at``.

    What isn't given stays as it is. Raises as :func:`hold` does; the hold is then unchanged.
    """
    require(Right.HOLD_STOCK)
    wanted = sum_by_code(needs) if needs is not None else None
    asked = {
        "change": hold_id,
        "needs": wanted,
        FINGERPRINT_UNTIL: tentative_until,
        **(_span(window) if window else {}),
        **_transfer_request(transfers_in),
        **({"leaves": leaves_at} if leaves_at else {}),
        **({"firm": True} if firm else {}),
    }

    def write() -> HoldAnswer:
        found = lock_active_holds({hold_id, *(each.giver_id for each in transfers_in)})[hold_id]
        if firm:
            found.state, found.tentative_until = HoldState.HELD, None
        if window:
            found.starts_at, found.ends_at = window.start, window.end
        if tentative_until and found.state == HoldState.TENTATIVE:
            found.tentative_until = tentative_until
        quantities = find_quantities(found) if wanted is None else expand_kits(wanted)
        _check_request(found.label, _window(found), quantities, tentative_until)
        answer = write_lines(found, quantities, transfers_in=transfers_in, leaves_at=leaves_at)
        # Saved only now: while availability was checked, an expired tentative hold must not count.
        found.save()
        return answer

    return once(key, asked, HoldAnswer, write)


def swap(hold_id: int, *, out: str, into: str, key: str, quantity: int | None = None) -> HoldAnswer:
    """Replace ``out``, all of it or ``quantity``, by as many of ``into``. Raises as :func:`change` does."""
    require(Right.HOLD_STOCK)

    def write() -> HoldAnswer:
        found = lock_active_hold(hold_id)
        quantities = find_quantities(found)
        if out == into or out not in quantities:
            raise CannotHold(f"There is no {out} on this hold.")
        items = {item.code: item for item in Item.objects.filter(code__in=[out, into])}
        if into not in items:
            raise CannotHold(f"There is no item {into}.")
        held = quantities.pop(out)
        wanted = held if quantity is None else min(quantity, held)
        if held > wanted:
            quantities[out] = held - wanted
        quantities[into] = quantities.get(into, 0) + wanted
        answer = write_lines(found, quantities, only=[out, into])
        for follower in _followers:
            follower(Swapped(hold_id, items[out], items[into], wanted, held - wanted))
        return answer

    asked: dict[str, object] = {"swap": hold_id, "out": out, "into": into}
    return once(key, asked if quantity is None else {**asked, "quantity": quantity}, HoldAnswer, write)


def release(hold_id: int, key: str) -> None:
    """Release the hold. Releasing it again changes nothing."""
    require(Right.HOLD_STOCK)

    def write() -> dict[str, int]:
        found = Hold.objects.select_for_update(no_key=True).filter(pk=hold_id).first()
        if found is None:
            raise NoSuchHold("There is no such hold.")
        if found.state in ACTIVE_STATES:
            end_hold(found, HoldState.RELEASED)
        return {"released": hold_id}

    once(key, {"release": hold_id}, dict[str, int], write)


def set_aside(
    item_id: int, quantity: int, *, until: datetime, purpose: Purpose, why: str = "", key: str
) -> HoldAnswer:
    """Take pieces out of service for cleaning or repair until a moment.

    It is never refused for lack of stock: holds that are short because of it appear among the shortages.
    :func:`back_in_service` ends it early. Raises :class:`CannotHold` for an invalid request.
    """
    require(Right.EDIT_SHELF)
    asked = {"set aside": item_id, "quantity": quantity, "until": until, "purpose": purpose, "why": why}

    def write() -> HoldAnswer:
        items = movements.lock_items([item_id])
        if not items or not items[0].is_reusable:
            raise CannotHold("Only reusable items can be cleaned or repaired.")
        owned = movements.balances([item_id])[item_id]
        if not 1 <= quantity <= owned:
            raise CannotHold(f"You own {owned} of it.")
        now = timezone.now()
        if not now < until <= now + LONGEST:
            raise CannotHold("Enter a future date for its return.")
        label = f"{purpose.label}: {why}" if why else purpose.label
        made = Hold.objects.create(
            label=label[:160], starts_at=now, ends_at=until, state=HoldState.HELD, purpose=purpose
        )
        HoldLine.objects.create(hold=made, item=items[0], quantity=quantity, busy_from=now, busy_until=until)
        kept = (Material(items[0].code, quantity),)
        return HoldAnswer(made.pk, HoldState.HELD, kept, short=(), unknown=())

    return once(key, asked, HoldAnswer, write)


def back_in_service(hold_id: int, key: str) -> None:
    """Return what was in cleaning or repair to service now."""
    require(Right.EDIT_SHELF)

    def write() -> dict[str, int]:
        found = lock_active_hold(hold_id)
        if found.purpose == Purpose.JOB:
            raise NoSuchHold("This is out on an event, not in cleaning or repair.")
        end_hold(found, HoldState.RELEASED)
        return {"back": hold_id}

    once(key, {"back in service": hold_id}, dict[str, int], write)


def count_back(
    hold_id: int,
    *,
    used: Sequence[Material],
    broken: Sequence[Material] = (),
    lost: Sequence[Material] = (),
    mend: Sequence[Material] = (),
    mended_by: datetime | None = None,
    key: str,
) -> None:
    """End a hold after the strike: record what was used, broken or lost, and release the rest. Pieces to repair are
    set aside until ``mended_by``.

    If more was used than the ledger had, the difference is counted in first, so that nothing that really happened is
    refused. Unknown codes raise ``UnknownCode``, and nothing is written.
    """
    require(Right.TICK_LOAD_OUT)
    gone = [
        (MovementKind.USED, sum_by_code(used)),
        (MovementKind.BROKEN, sum_by_code(broken)),
        (MovementKind.LOST, sum_by_code(lost)),
    ]
    mending = sum_by_code(mend)
    asked = {"count back": hold_id, **{str(kind): quantities for kind, quantities in gone}}
    if mending:
        asked["mend"] = mending

    def write() -> dict[str, int]:
        found = lock_active_hold(hold_id)
        codes = {code for _, quantities in gone for code in quantities} | set(mending)
        # Transfers are rewritten below, so their items are locked together with the others, in id order.
        items = movements.lock_by_code(
            {*codes, *find_transfers(hold_id).values_list("item__code", flat=True)}
        )
        missing = codes - set(items)
        if missing:
            raise movements.UnknownCode(f"There is no item {', '.join(sorted(missing))}.")
        lines = [
            (items[code], kind, -quantity)
            for kind, quantities in gone
            for code, quantity in quantities.items()
            if quantity > 0
        ]
        movements.write_movements(
            _counted_in(lines), label=found.label, reason="counted in: more than recorded"
        )
        movements.write_movements(lines, label=found.label)
        end_hold(found, HoldState.COUNTED_BACK)
        if mending:
            assert mended_by is not None
            _set_aside_for_repair(
                {items[code]: number for code, number in mending.items()}, mended_by, found.label
            )
        return {"counted back": hold_id}

    once(key, asked, dict[str, int], write)


# --- Private ---


def _set_aside_for_repair(quantities: Mapping[Item, int], until: datetime, why: str) -> None:
    """Set pieces aside for repair, with one hold for each item, so that each can be ended by itself."""
    now = timezone.now()
    for item, quantity in quantities.items():
        made = Hold.objects.create(
            label=f"{Purpose.MENDING.label}: {why}"[:160],
            starts_at=now,
            ends_at=until,
            state=HoldState.HELD,
            purpose=Purpose.MENDING,
        )
        HoldLine.objects.create(hold=made, item=item, quantity=quantity, busy_from=now, busy_until=until)


def _check_request(
    label: str, window: Window, quantities: Mapping[str, int], tentative_until: datetime | None
) -> None:
    """Refuse an invalid request with all its errors."""
    now = timezone.now()
    faults = []
    if not label.strip():
        faults.append("Enter what the hold is for.")
    if not quantities:
        faults.append("A hold needs at least one item.")
    if wrong := [code for code, quantity in quantities.items() if not 1 <= quantity <= MAX_QUANTITY]:
        faults.append(f"Quantities must be whole numbers of at least 1: {', '.join(wrong)}.")
    # The studio's own records of past seasons are loaded by its commands, and only by them.
    if window.end <= now and tenancy.current().role != Role.SYSTEM:
        faults.append("The end is in the past.")
    if window.length > LONGEST:
        faults.append("A hold lasts ten years at most.")
    if tentative_until and tentative_until <= now:
        faults.append("A tentative hold needs a future date.")
    if faults:
        raise CannotHold(faults)


def _counted_in(lines: Iterable[tuple[Item, MovementKind, int]]) -> list[tuple[Item, MovementKind, int]]:
    """Count movements that raise the ledger to what is about to leave it."""
    leaving: dict[Item, int] = {}
    for item, _, quantity in lines:
        leaving[item] = leaving.get(item, 0) - quantity
    there = movements.balances(item.pk for item in leaving)
    return [
        (item, MovementKind.COUNTED, quantity - there[item.pk])
        for item, quantity in leaving.items()
        if quantity > there[item.pk]
    ]


def _window(found: Hold) -> Window:
    return Window(found.starts_at, found.ends_at)


def _transfer_request(transfers_in: Sequence[TransferIn]) -> dict[str, object]:
    return {"straight": [asdict(each) for each in transfers_in]} if transfers_in else {}


def _span(window: Window) -> dict[str, str]:
    return {"start": window.start.isoformat(), "end": window.end.isoformat()}
