"""Which items of other agreed events could be transferred to an event."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

from django.db.models import Q
from django.utils import timezone

from events.contacts import drives
from events.contacts.drives import Drives
from events.models import Event, Status
from events.transfers.transfers import arrival, event_clock, is_held
from stock.models import HoldLine, HoldState, Item, Nature
from studio import tenancy
from studio.tenancy.access import require
from studio.tenancy.rights import MEMBER_ROLES, Right, may

LOOKED_BACK: Final = timedelta(days=3)
"""Events that came back this long before the load-out still count: their items may be in cleaning."""
MOST_CHOICES: Final = 200


@dataclass(frozen=True, slots=True)
class TransferChoice:
    """Items of another event that could be transferred to this one."""

    giver: Event
    item: Item
    most: int
    now: int
    """How many of them are transferred already."""
    arrives_at: datetime
    is_late: bool

    @property
    def key(self) -> str:
        """Its value in the form."""
        return f"{self.giver.pk}:{self.item.code}"


@dataclass(frozen=True, slots=True)
class Source:
    """How many of an item an agreed event has, and how many of them this event gets already."""

    giver: Event
    item: Item
    quantity: int = 0
    transferred: int = 0


def find_choices(event: Event) -> list[TransferChoice]:
    """What other agreed events release in time: of what this event needs, or any reusable item where it isn't agreed
    yet. Four queries."""
    require(Right.EDIT_EVENTS)
    givers = {giver.hold_id: giver for giver in _givers(event) if giver.hold_id}
    if not givers:
        return []
    hold_id = event.hold_id if is_held(event) else None
    sources = _sources(event, givers, hold_id)
    needed = _needed(hold_id) if hold_id else None
    ways = drives.drives_between(each.venue for each in (event, *givers.values()) if each.venue)
    found = [_choice(event, source, needed, ways) for source in sources]
    in_time = [choice for choice in found if choice.most and choice.arrives_at < event.ready_by]
    return sorted(in_time, key=lambda choice: (choice.arrives_at, choice.giver.pk))[:MOST_CHOICES]


def hint_transfers(event: Event, codes: Iterable[str]) -> list[str]:
    """:func:`suggest_transfers` for the person who was refused these codes, if they may know of other events."""
    role = tenancy.current().role
    if role not in MEMBER_ROLES or not may(role, Right.EDIT_EVENTS):
        return []
    return suggest_transfers(event, codes)


def suggest_transfers(event: Event, codes: Iterable[str]) -> list[str]:
    """Sentences that name the events from which these codes could be transferred. No client may read them."""
    wanted = set(codes)
    return [
        f"{choice.item.name} could be transferred from {choice.giver.title}, there by"
        f" {event_clock(choice.arrives_at, event)}: choose that on the event’s page."
        for choice in find_choices(event)
        if choice.item.code in wanted and choice.most > choice.now
    ]


# --- Private ---


def _sources(event: Event, givers: Mapping[int, Event], hold_id: int | None) -> list[Source]:
    lines = HoldLine.objects.select_related("item").filter(
        Q(handed_on=None, busy_until__gt=event.load_out_at) | Q(handed_on__taker=hold_id or 0),
        hold_id__in=givers,
        hold__state=HoldState.HELD,
        standing=True,
        item__nature=Nature.REUSABLE,
        item__retired_at=None,
    )
    found: dict[tuple[int, int], Source] = {}
    for line in lines.order_by("item__kind", "item__name", "pk"):
        key = line.hold_id, line.item_id
        source = found.get(key) or Source(givers[line.hold_id], line.item)
        found[key] = replace(
            source,
            quantity=source.quantity + line.quantity,
            transferred=source.transferred + (line.quantity if line.handed_on_id else 0),
        )
    return list(found.values())


def _needed(hold_id: int) -> dict[int, int]:
    """How many of each item the hold takes from the shelf."""
    return dict(HoldLine.objects.filter(hold_id=hold_id, handed_on=None).values_list("item_id", "quantity"))


def _choice(event: Event, source: Source, needed: Mapping[int, int] | None, ways: Drives) -> TransferChoice:
    most, arrives_at = source.quantity, arrival(source.giver, event, ways)
    if needed is not None:
        most = min(most, needed.get(source.item.pk, 0) + source.transferred)
    is_late = arrives_at > event.access_from
    return TransferChoice(source.giver, source.item, most, source.transferred, arrives_at, is_late)


def _givers(event: Event) -> list[Event]:
    others = Event.objects.select_related("venue").filter(
        status=Status.CONFIRMED,
        hold__isnull=False,
        out_by__lt=event.ready_by,
        out_by__gt=timezone.now(),
        back_at__gt=event.load_out_at - LOOKED_BACK,
    )
    return list(others.exclude(pk=event.pk))
