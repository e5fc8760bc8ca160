"""Holds: keep stock for a window, firmly or in pencil; confirm, change, release, count back.

Each function is one transaction in READ COMMITTED. The hold's row is locked first, then the items' rows in
id order, then what is free is read and only then written: whoever waits reads what the one before has
promised. What comes back is never promised past what there is; what is used up may be promised short, and
says so.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime, timedelta
from typing import Any, Final

from django.utils import timezone

from stock.catalogue.items import MAX_QUANTITY, Material, summed
from stock.catalogue.kit_parts import unpacked
from stock.holds.answers import CannotHold, HoldAnswer, NoSuchHold, NotFree, Shortfall
from stock.holds.lines import Straight, end, handed, kept, quantities_of, standing, standing_together
from stock.ledger import movements
from stock.ledger.idempotency import once
from stock.models import Hold, HoldLine, HoldState, Item, MovementKind, Purpose
from stock.models.hold import STANDING
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
    "Straight",
    "Swapped",
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
"""A hold for longer is a slip of the finger."""


@dataclass(frozen=True, slots=True)
class Swapped:
    """So many of one item that a hold now keeps in place of another."""

    hold_id: int
    out: Item
    into: Item
    quantity: int


_followers: list[Callable[[Swapped], None]] = []


def follow_swaps(follower: Callable[[Swapped], None]) -> None:
    """Have ``follower`` called in the transaction of every swap, so that lists of a room above follow; it may refuse
    by raising :class:`CannotHold`. Call it from the app's ``ready``."""
    if follower not in _followers:
        _followers.append(follower)


def hold(
    *,
    label: str,
    window: Window,
    needs: Sequence[Material],
    key: str,
    pencilled_until: datetime | None = None,
    straight: Sequence[Straight] = (),
) -> HoldAnswer:
    """Keep ``needs`` for ``window``; in pencil until a date if one is given.

    A kit is kept as its parts. Some of it may come ``straight`` from other holds: those pieces need be free only from
    then on. ``window`` runs from load-out to return; each item's own hours for cleaning and mending are added here.
    Asked again under the same ``key``, the first answer is given again. Raises :class:`NotFree` if anything
    that comes back is gone at some moment of the window, :class:`CannotHold` for what makes no sense,
    ``KeyTaken`` if the key was used for something else.
    """
    require(Right.HOLD_STOCK)
    quantities = summed(needs)
    _sensible(label, window, quantities, pencilled_until)
    asked = {"hold": label, "needs": quantities, "pencilled_until": pencilled_until, **_span(window)}
    asked |= _coming(straight)

    def deed() -> dict[str, Any]:
        made = Hold.objects.create(
            label=label,
            starts_at=window.start,
            ends_at=window.end,
            state=HoldState.PENCILLED if pencilled_until else HoldState.HELD,
            pencilled_until=pencilled_until,
        )
        return _told(kept(made, unpacked(quantities), straight=straight, is_new=True))

    return _read(once(key, asked, deed))


def confirm(hold_id: int, key: str) -> HoldAnswer:
    """Make a pencilled hold firm. If its date has passed and the stock went to another, raises
    :class:`NotFree`."""
    require(Right.HOLD_STOCK)

    def deed() -> dict[str, Any]:
        found = standing(hold_id)
        found.state, found.pencilled_until = HoldState.HELD, None
        found.save(update_fields=["state", "pencilled_until"])
        return _told(kept(found, quantities_of(found)))

    return _read(once(key, {"confirm": hold_id}, deed))


def change(
    hold_id: int,
    *,
    key: str,
    needs: Sequence[Material] | None = None,
    window: Window | None = None,
    pencilled_until: datetime | None = None,
    straight: Sequence[Straight] = (),
    leaves_at: datetime | None = None,
    firm: bool = False,
) -> HoldAnswer:
    """Keep other quantities, for another window, in pencil for longer or no longer in pencil (``firm``), with pieces
    that come ``straight`` from other holds; all or nothing. What goes straight on from this hold leaves it at
    ``leaves_at``.

    What is left out stays as it is. Raises as :func:`hold` does; the hold then stands as before.
    """
    require(Right.HOLD_STOCK)
    wanted = summed(needs) if needs is not None else None
    asked = {
        "change": hold_id,
        "needs": wanted,
        "pencilled_until": pencilled_until,
        **(_span(window) if window else {}),
        **_coming(straight),
        **({"leaves": leaves_at} if leaves_at else {}),
        **({"firm": True} if firm else {}),
    }

    def deed() -> dict[str, Any]:
        found = standing_together({hold_id, *(each.giver_id for each in straight)})[hold_id]
        if firm:
            found.state, found.pencilled_until = HoldState.HELD, None
        if window:
            found.starts_at, found.ends_at = window.start, window.end
        if pencilled_until and found.state == HoldState.PENCILLED:
            found.pencilled_until = pencilled_until
        quantities = quantities_of(found) if wanted is None else unpacked(wanted)
        _sensible(found.label, _window(found), quantities, pencilled_until)
        answer = kept(found, quantities, straight=straight, leaves_at=leaves_at)
        # Only now: a pencil whose date has passed counted for nothing while it was looked at what is free.
        found.save()
        return _told(answer)

    return _read(once(key, asked, deed))


def swap(hold_id: int, *, out: str, into: str, key: str) -> HoldAnswer:
    """Keep as many of ``into`` in place of ``out``; all or nothing. Raises as :func:`change` does."""
    require(Right.HOLD_STOCK)

    def deed() -> dict[str, Any]:
        found = standing(hold_id)
        quantities = quantities_of(found)
        if out == into or out not in quantities:
            raise CannotHold(f"This hold keeps no {out}.")
        items = {item.code: item for item in Item.objects.filter(code__in=[out, into])}
        if into not in items:
            raise CannotHold(f"Not in the catalogue: {into}.")
        wanted = quantities.pop(out)
        quantities[into] = quantities.get(into, 0) + wanted
        answer = kept(found, quantities)
        for follower in _followers:
            follower(Swapped(hold_id, items[out], items[into], wanted))
        return _told(answer)

    return _read(once(key, {"swap": hold_id, "out": out, "into": into}, deed))


def release(hold_id: int, key: str) -> None:
    """Let everything go. Releasing what is released already changes nothing."""
    require(Right.HOLD_STOCK)

    def deed() -> dict[str, Any]:
        found = Hold.objects.select_for_update(no_key=True).filter(pk=hold_id).first()
        if found is None:
            raise NoSuchHold("There is no such hold.")
        if found.state in STANDING:
            end(found, HoldState.RELEASED)
        return {"released": hold_id}

    once(key, {"release": hold_id}, deed)


def set_aside(
    item_id: int, quantity: int, *, until: datetime, purpose: Purpose, why: str = "", key: str
) -> HoldAnswer:
    """Take pieces out of service for the wash or for mending, until they count again.

    Nothing refuses it: what is broken is broken. Whoever is short because of it shows among the shortages. Ending it
    sooner is :func:`release`. Raises :class:`CannotHold` for what makes no sense.
    """
    require(Right.EDIT_SHELF)
    asked = {"set aside": item_id, "quantity": quantity, "until": until, "purpose": purpose, "why": why}

    def deed() -> dict[str, Any]:
        items = movements.lock([item_id])
        if not items or not items[0].is_reusable:
            raise CannotHold("Only what comes back is washed or mended.")
        owned = movements.balances([item_id])[item_id]
        if not 1 <= quantity <= owned:
            raise CannotHold(f"There are {owned} of it.")
        now = timezone.now()
        if not now < until <= now + LONGEST:
            raise CannotHold("Say on which day to come it counts again.")
        label = f"{purpose.label}: {why}" if why else purpose.label
        made = Hold.objects.create(
            label=label[:160], starts_at=now, ends_at=until, state=HoldState.HELD, purpose=purpose
        )
        HoldLine.objects.create(hold=made, item=items[0], quantity=quantity, busy_from=now, busy_until=until)
        kept = (Material(items[0].code, quantity),)
        return _told(HoldAnswer(made.pk, HoldState.HELD, kept, short=(), unknown=()))

    return _read(once(key, asked, deed))


def back_in_service(hold_id: int, key: str) -> None:
    """What was washed or mended counts again from now on."""
    require(Right.EDIT_SHELF)

    def deed() -> dict[str, Any]:
        found = standing(hold_id)
        if found.purpose == Purpose.JOB:
            raise NoSuchHold("That is out on a job, not set aside.")
        end(found, HoldState.RELEASED)
        return {"back": hold_id}

    once(key, {"back in service": hold_id}, deed)


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
    """End a hold after the strike: write what was used up, broken or lost, and let the rest go. What is to be mended is
    set aside until ``mended_by``.

    Where more was used than the ledger knew of, the difference is counted in first, so that nothing that
    really happened is refused. Unknown codes raise ``UnknownCode``, and nothing is written.
    """
    require(Right.TICK_LOAD_OUT)
    gone = [
        (MovementKind.USED, summed(used)),
        (MovementKind.BROKEN, summed(broken)),
        (MovementKind.LOST, summed(lost)),
    ]
    mending = summed(mend)
    asked = {"count back": hold_id, **{str(kind): quantities for kind, quantities in gone}}
    if mending:
        asked["mend"] = mending

    def deed() -> dict[str, Any]:
        found = standing(hold_id)
        codes = {code for _, quantities in gone for code in quantities} | set(mending)
        # What goes straight on is written anew below: its items are locked with the others, in id order.
        items = movements.locked_by_code({*codes, *handed(hold_id).values_list("item__code", flat=True)})
        missing = codes - set(items)
        if missing:
            raise movements.UnknownCode(f"Not in the catalogue: {', '.join(sorted(missing))}.")
        lines = [
            (items[code], kind, -quantity)
            for kind, quantities in gone
            for code, quantity in quantities.items()
            if quantity > 0
        ]
        movements.write(_counted_in(lines), label=found.label, reason="more was there than the ledger knew")
        movements.write(lines, label=found.label)
        end(found, HoldState.COUNTED_BACK)
        if mending:
            assert mended_by is not None
            _keep_away({items[code]: number for code, number in mending.items()}, mended_by, found.label)
        return {"counted back": hold_id}

    once(key, asked, deed)


# --- Private ---


def _keep_away(quantities: Mapping[Item, int], until: datetime, why: str) -> None:
    """Set pieces aside for mending, one hold for each item, so that each can be ended by itself."""
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


def _sensible(
    label: str, window: Window, quantities: Mapping[str, int], pencilled_until: datetime | None
) -> None:
    """Refuse, with every fault at once, what nobody can mean."""
    now = timezone.now()
    faults = []
    if not label.strip():
        faults.append("Say what the hold is for.")
    if not quantities:
        faults.append("A hold needs at least one thing to keep.")
    if wrong := [code for code, quantity in quantities.items() if not 1 <= quantity <= MAX_QUANTITY]:
        faults.append(f"Quantities are whole numbers from 1 on: {', '.join(wrong)}.")
    # The studio's own records of past seasons are loaded by its commands, and only by them.
    if window.end <= now and tenancy.current().role != Role.SYSTEM:
        faults.append("The window is over already.")
    if window.length > LONGEST:
        faults.append("A hold lasts ten years at most.")
    if pencilled_until and pencilled_until <= now:
        faults.append("A pencilled hold needs a date that is still to come.")
    if faults:
        raise CannotHold(faults)


def _counted_in(lines: Iterable[tuple[Item, MovementKind, int]]) -> list[tuple[Item, MovementKind, int]]:
    """Movements that bring the ledger up to what is about to leave it."""
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


def _coming(straight: Sequence[Straight]) -> dict[str, Any]:
    return {"straight": [asdict(each) for each in straight]} if straight else {}


def _span(window: Window) -> dict[str, str]:
    return {"start": window.start.isoformat(), "end": window.end.isoformat()}


def _told(answer: HoldAnswer) -> dict[str, Any]:
    """The answer as JSON, to be kept."""
    told = asdict(answer)
    for shortfall in told["short"]:
        shortfall["back_at"] = shortfall["back_at"] and shortfall["back_at"].isoformat()
    return told


def _read(told: Mapping[str, Any]) -> HoldAnswer:
    """A kept answer as it was given."""
    return HoldAnswer(
        hold_id=told["hold_id"],
        state=HoldState(told["state"]),
        lines=tuple(Material(**line) for line in told["lines"]),
        short=tuple(
            Shortfall(**{**line, "back_at": line["back_at"] and datetime.fromisoformat(line["back_at"])})
            for line in told["short"]
        ),
        unknown=tuple(told["unknown"]),
    )
