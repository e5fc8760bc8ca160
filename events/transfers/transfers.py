"""Items that go directly from one event to another: struck there, built here, without returning to the studio.

They leave the first event at its "out by" time, when they are surely in the van, and reach the second one after the
drive between the two venues. An arrival at or after the second event's ready-by time is refused. An arrival after its
access time is allowed but marked late: only the crew knows whether the time left is enough.

Between two agreed events the transfer is held with the stock (:mod:`stock.holds.transfers`). For an event that isn't
agreed yet it is saved as a request, and held together with the stock when the client agrees.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.core.exceptions import ValidationError

from events.contacts import drives
from events.contacts.drives import Drives
from events.models import Event
from stock.holds import transfers as held_transfers
from stock.models import AgreedTransfer, HoldState
from studio.models import dates


class CannotTransfer(ValidationError):
    """The items can't be transferred; nothing was changed."""


@dataclass(frozen=True, slots=True)
class Transfer:
    """Items that go directly from one event to another, as one of the two sees them."""

    link: AgreedTransfer
    other: Event
    arrives_at: datetime
    is_late: bool
    """Whether they arrive after the crew of the second event has access."""
    is_too_late: bool
    """Whether they arrive when the second event has to be ready."""

    @property
    def words(self) -> str:
        """Quantity and name."""
        return f"{self.link.quantity} × {self.link.item.name}"


@dataclass(frozen=True, slots=True)
class RequestedTransfer:
    """A transfer that is held once the event is agreed."""

    pk: int
    words: str
    giver_id: int
    giver: str


@dataclass(frozen=True, slots=True)
class EventTransfers:
    """The transfers to an event and from it."""

    incoming: tuple[Transfer, ...] = ()
    outgoing: tuple[Transfer, ...] = ()

    def of_code(self, code: str) -> EventTransfers:
        """Those of one item."""
        return EventTransfers(
            tuple(each for each in self.incoming if each.link.item.code == code),
            tuple(each for each in self.outgoing if each.link.item.code == code),
        )

    @property
    def facts(self) -> tuple[str, ...]:
        """Everything that lists say about them: phones fetch a list anew when this changes."""
        return (
            *(
                f"{each.words} from {each.other.title} {each.arrives_at.isoformat()}"
                for each in self.incoming
            ),
            *(f"{each.words} to {each.other.title}" for each in self.outgoing),
        )

    @property
    def incoming_quantity(self) -> int:
        """How many items don't come from the studio's shelf."""
        return sum(each.link.quantity for each in self.incoming)

    @property
    def outgoing_quantity(self) -> int:
        """How many items don't return to the studio from here."""
        return sum(each.link.quantity for each in self.outgoing)


def find_transfers(events: Sequence[Event]) -> dict[int, EventTransfers]:
    """The transfers of each event, by primary key. One query where there are none, else three."""
    links = held_transfers.list_transfers([event.hold_id for event in events if event.hold_id])
    if not links:
        return {event.pk: EventTransfers() for event in events}
    known = _events_by_hold(events, links)
    ways = drives.drives_between(event.venue for event in known.values() if event.venue)
    incoming: dict[int, list[Transfer]] = {event.pk: [] for event in known.values()}
    outgoing: dict[int, list[Transfer]] = {event.pk: [] for event in known.values()}
    for link in links:
        giver, taker = known.get(link.giver_id), known.get(link.taker_id)
        if giver and taker:
            outgoing[giver.pk].append(_seen(link, giver, taker, taker, ways))
            incoming[taker.pk].append(_seen(link, giver, taker, giver, ways))
    return {
        event.pk: EventTransfers(tuple(incoming.get(event.pk, ())), tuple(outgoing.get(event.pk, ())))
        for event in events
    }


def find_event_transfers(event: Event) -> EventTransfers:
    """The transfers of one event. No query where it holds no stock, one where there are none, else three."""
    return find_transfers([event])[event.pk] if event.hold_id else EventTransfers()


def find_requests(event: Event) -> list[RequestedTransfer]:
    """The transfers to be held once the event is agreed. One query."""
    rows = event.transfer_requests.values_list("pk", "quantity", "label", "giver_id", "giver__title")
    return [
        RequestedTransfer(pk, f"{quantity} × {label}", giver_id, giver)
        for pk, quantity, label, giver_id, giver in rows
    ]


def find_transfer_pairs(events: Iterable[Event]) -> set[tuple[int, int]]:
    """Which of these events have items that go on to which other of them, by primary keys. One query."""
    by_hold = {event.hold_id: event.pk for event in events if event.hold_id}
    return {
        (by_hold[link.giver_id], by_hold[link.taker_id])
        for link in held_transfers.list_transfers(list(by_hold))
        if link.giver_id in by_hold and link.taker_id in by_hold
    }


def check_in_time(event: Event) -> None:
    """Refuse where a transfer arrives too late by the event's present times and venue.

    Called in the transaction that changes them, after the stock was changed. Raises :class:`CannotTransfer`.
    """
    found = find_event_transfers(event)
    late = [_too_late_words(each, each.other, event) for each in found.incoming if each.is_too_late]
    late += [_too_late_words(each, event, each.other) for each in found.outgoing if each.is_too_late]
    if late:
        raise CannotTransfer(late)


def arrival(giver: Event, taker: Event, ways: Drives) -> datetime:
    """When items of one event can be at the other."""
    return giver.out_by + timedelta(minutes=ways.minutes(giver.venue, taker.venue))


def refuse_too_late(label: str, giver: Event, taker: Event, ways: Drives, field: str = "") -> None:
    """Refuse a transfer that would arrive when the second event has to be ready. Raises :class:`CannotTransfer`."""
    arrives_at = arrival(giver, taker, ways)
    if arrives_at < taker.ready_by:
        return
    words = (
        f"{label} from {giver.title} would arrive only on {event_clock(arrives_at, taker)};"
        f" {taker.title} must be ready by {event_clock(taker.ready_by, taker)}."
    )
    raise CannotTransfer({field: words} if field else words)


def is_held(event: Event) -> bool:
    """Whether its stock is held. Tentatively held stock may be released, so it is never transferred."""
    return event.hold is not None and event.hold.state == HoldState.HELD


def event_clock(moment: datetime, event: Event) -> str:
    """Day and time by the clocks at the event's venue."""
    shown = moment.astimezone(event.tz)
    return dates.moment_written(shown)


# --- Private ---


def _events_by_hold(events: Iterable[Event], links: Iterable[AgreedTransfer]) -> dict[int, Event]:
    """The events at both ends of the links, by their hold."""
    known = {event.hold_id: event for event in events if event.hold_id}
    missing = {hold_id for link in links for hold_id in (link.giver_id, link.taker_id)} - set(known)
    others = Event.objects.select_related("venue").filter(hold_id__in=missing)
    return known | {event.hold_id: event for event in others if event.hold_id}


def _seen(link: AgreedTransfer, giver: Event, taker: Event, other: Event, ways: Drives) -> Transfer:
    arrives_at = link.at + timedelta(minutes=ways.minutes(giver.venue, taker.venue))
    return Transfer(link, other, arrives_at, arrives_at > taker.access_from, arrives_at >= taker.ready_by)


def _too_late_words(transfer: Transfer, giver: Event, taker: Event) -> str:
    return (
        f"{transfer.words} from {giver.title} would reach {taker.title} only on"
        f" {event_clock(transfer.arrives_at, taker)}; it must be ready by {event_clock(taker.ready_by, taker)}."
        " Undo the transfer first, or choose another time."
    )
