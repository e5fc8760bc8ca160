"""Pieces that come straight from another event: struck there, built here, without coming home.

They leave the first event at its "out by": by then they are surely in the van. They are at the second the drive between
the two venues later. That must be before it has to be ready, or it is refused; where it is after the crew comes in, the
pieces are said to be late for the build, since whether an hour is enough for them only the crew knows.

Between two agreed events the stock room keeps it (:mod:`stock.holds.transfers`). For an event that isn't agreed yet it
is put down as a wish and asked for with the stock, in the same transaction: before that nothing is promised.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q, QuerySet
from django.http import Http404
from django.utils import timezone

from events.booking import event_lock, log
from events.contacts import drives
from events.models import ComesStraight, Event, Stage, Status
from stock.holds import transfers
from stock.holds.answers import CannotHold
from stock.holds.holds import TransferIn
from stock.holds.lines import find_transfers
from stock.models import HandedOn, HoldLine, HoldState, Item, Nature
from studio import tenancy
from studio.measures import times
from studio.tenancy.access import require
from studio.tenancy.rights import MEMBER_ROLES, Right, may

LOOKED_BACK: Final = timedelta(days=3)
"""Events that came home so long before this one's load-out are looked at, for what is still being cleaned."""
MOST_CHOICES: Final = 200


class CannotComeStraight(ValidationError):
    """The pieces can't come straight from there; nothing was changed."""


@dataclass(frozen=True, slots=True)
class Onward:
    """Pieces on their way from one event straight to another, as one of the two sees it."""

    link: HandedOn
    other: Event
    there_at: datetime
    is_late: bool
    """Whether they come after the crew of the second event does."""
    is_too_late: bool

    @property
    def words(self) -> str:
        """What and how many."""
        return f"{self.link.quantity} × {self.link.item.name}"


@dataclass(frozen=True, slots=True)
class Wish:
    """What is to come straight from another event once this one is agreed."""

    pk: int
    words: str
    giver_id: int
    giver: str


@dataclass(frozen=True, slots=True)
class Straights:
    """What comes straight to an event, what goes straight on from it, and what is to come once it is agreed."""

    comes: tuple[Onward, ...] = ()
    goes: tuple[Onward, ...] = ()
    wished: tuple[Wish, ...] = ()

    def of(self, code: str) -> Straights:
        """Those of one code."""
        return Straights(
            tuple(each for each in self.comes if each.link.item.code == code),
            tuple(each for each in self.goes if each.link.item.code == code),
        )

    @property
    def words(self) -> tuple[str, ...]:
        """What is said of it on lists: a phone fetches the list anew when it changes."""
        return (
            *(f"{each.words} from {each.other.title} {each.there_at.isoformat()}" for each in self.comes),
            *(f"{each.words} to {each.other.title}" for each in self.goes),
        )

    @property
    def going(self) -> int:
        """How many pieces don't come home from here."""
        return sum(each.link.quantity for each in self.goes)


@dataclass(frozen=True, slots=True)
class Choice:
    """Pieces of another event that could come straight to this one."""

    giver: Event
    item: Item
    most: int
    now: int
    """How many of them come straight from there as it is."""
    there_at: datetime
    is_late: bool

    @property
    def key(self) -> str:
        """What the form names it by."""
        return f"{self.giver.pk}:{self.item.code}"


def straights(events: Sequence[Event]) -> dict[int, Straights]:
    """What comes straight to each event and goes straight on from it, by primary key. One query where nothing does,
    else three."""
    by_hold = {event.hold_id: event for event in events if event.hold_id}
    links = transfers.list_transfers(list(by_hold))
    if not links:
        return {event.pk: Straights() for event in events}
    wanted = {hold_id for link in links for hold_id in (link.giver_id, link.taker_id)} - set(by_hold)
    known = {**by_hold}
    for event in Event.objects.select_related("venue").filter(hold_id__in=wanted):
        assert event.hold_id is not None
        known[event.hold_id] = event
    ways = drives.drives_between(event.venue for event in known.values() if event.venue)
    comes: dict[int, list[Onward]] = {event.pk: [] for event in events}
    goes: dict[int, list[Onward]] = {event.pk: [] for event in events}
    for link in links:
        giver, taker = known.get(link.giver_id), known.get(link.taker_id)
        if giver is None or taker is None:
            continue
        if link.giver_id in by_hold:
            goes[giver.pk].append(_onward(link, giver, taker, taker, ways))
        if link.taker_id in by_hold:
            comes[taker.pk].append(_onward(link, giver, taker, giver, ways))
    return {event.pk: Straights(tuple(comes[event.pk]), tuple(goes[event.pk])) for event in events}


def pairs(events: Iterable[Event]) -> set[tuple[int, int]]:
    """Of these events which have pieces that go straight to which other of them, by primary keys. One query."""
    by_hold = {event.hold_id: event.pk for event in events if event.hold_id}
    links = transfers.list_transfers(list(by_hold))
    return {
        (by_hold[link.giver_id], by_hold[link.taker_id])
        for link in links
        if link.giver_id in by_hold and link.taker_id in by_hold
    }


def straights_of(event: Event, *, wished: Iterable[Sequence[Any]] = (), linked: bool = True) -> Straights:
    """:func:`straights` of one event, with the answers to :func:`wishes` and :func:`links` where those were asked."""
    found = straights([event])[event.pk] if linked else Straights()
    told = tuple(
        Wish(pk, f"{many} × {label}", giver_id, title) for pk, many, label, giver_id, title in wished
    )
    return Straights(found.comes, found.goes, told)


def links(event: Event) -> QuerySet[Any, Any]:
    """What must be asked for whether anything comes straight to an event or goes straight on from it."""
    return find_transfers(*([event.hold_id] if event.hold_id else [])).values_list("pk")


def wishes(event: Event) -> QuerySet[Any, Any]:
    """What must be asked for the wishes of an event, to be asked with other questions."""
    return event.comes_straight.values_list("pk", "quantity", "label", "giver_id", "giver__title")


def choices(event: Event) -> list[Choice]:
    """What could come straight from other agreed events: what they let go in time, of what this one needs, or of
    anything that comes back where it isn't agreed yet. Four queries."""
    require(Right.EDIT_EVENTS)
    givers = {giver.hold_id: giver for giver in _givers(event) if giver.hold_id}
    if not givers:
        return []
    mine = event.hold_id if _holds(event) else None
    lines = HoldLine.objects.select_related("item").filter(
        Q(handed_on=None, busy_until__gt=event.load_out_at) | Q(handed_on__taker=mine or 0),
        hold_id__in=givers,
        hold__state=HoldState.HELD,
        standing=True,
        item__nature=Nature.REUSABLE,
        item__retired_at=None,
    )
    there: dict[tuple[int, Item], int] = defaultdict(int)
    coming: dict[tuple[int, Item], int] = defaultdict(int)
    for line in lines.order_by("item__kind", "item__name", "pk"):
        there[line.hold_id, line.item] += line.quantity
        coming[line.hold_id, line.item] += line.quantity if line.handed_on_id else 0
    own = HoldLine.objects.filter(hold_id=mine or 0, handed_on=None)
    wanted = dict(own.values_list("item_id", "quantity"))
    ways = drives.drives_between(each.venue for each in (event, *givers.values()) if each.venue)
    found = []
    for (hold_id, item), pieces in there.items():
        giver, now = givers[hold_id], coming[hold_id, item]
        most = pieces if mine is None else min(pieces, wanted.get(item.pk, 0) + now)
        there_at = _there_at(giver, event, ways)
        if most and there_at < event.ready_by:
            found.append(Choice(giver, item, most, now, there_at, there_at > event.access_from))
    return sorted(found, key=lambda choice: (choice.there_at, choice.giver.pk))[:MOST_CHOICES]


def choose(event_id: int, *, giver_id: int, code: str, quantity: int, unwashed: bool = False) -> Event:
    """Have ``quantity`` pieces in all of ``code`` come straight from another event; chosen anew, it is changed.

    For an event that holds its stock it is promised at once, else with the stock. Raises
    :class:`CannotComeStraight`, naming the field, and ``Http404``.
    """
    require(Right.EDIT_EVENTS)
    with transaction.atomic():
        event = event_lock.locked(event_id)
        giver = Event.objects.select_related("venue", "hold").filter(pk=giver_id).first()
        if giver is None:
            raise Http404
        _refuse_what_cannot_be(event, giver)
        if _holds(event):
            _promise(event, giver, code=code, quantity=quantity, unwashed=unwashed)
        else:
            _wish(event, giver, code=code, quantity=quantity, unwashed=unwashed)
        event_lock.keep(event)
    return event


def drop(event_id: int, handed_id: int) -> Event:
    """The pieces come by way of the studio after all. Raises :class:`CannotComeStraight`, ``Http404``."""
    require(Right.EDIT_EVENTS)
    with transaction.atomic():
        event = event_lock.locked(event_id)
        link = HandedOn.objects.select_related("item").filter(pk=handed_id, taker_id=event.hold_id).first()
        if link is None:
            return event
        if event.stage != Stage.AGREED:
            raise CannotComeStraight("The van is loaded already: it came straight from there, or didn’t.")
        giver = Event.objects.filter(hold_id=link.giver_id).first()
        try:
            transfers.undo_transfer(link.pk, key=f"event-{event.pk}-by-way-of-home-{link.pk}-{event.version}")
        except CannotHold as refusal:
            raise CannotComeStraight(refusal.messages) from refusal
        _put_down_dropped(event, giver, f"{link.quantity} × {link.item.name}")
        event_lock.keep(event)
    return event


def drop_wish(event_id: int, wish_id: int) -> Event:
    """It isn't wished for any more. Raises ``Http404``."""
    require(Right.EDIT_EVENTS)
    with transaction.atomic():
        event = event_lock.locked(event_id)
        event.comes_straight.filter(pk=wish_id).delete()
    return event


def wished_for(event: Event, quantities: Mapping[str, int]) -> list[TransferIn]:
    """What the stock room is to be asked for with the event's stock, of what is in its bill. Two queries, one where
    nothing is wished for. Raises :class:`CannotComeStraight`."""
    wished = list(event.comes_straight.select_related("giver__venue", "giver__hold"))
    asked = []
    ways = (
        drives.drives_between(w.venue for w in (event, *(wish.giver for wish in wished)) if w.venue)
        if wished
        else None
    )
    for wish in wished:
        many = min(wish.quantity, quantities.get(wish.code, 0))
        if not many:
            continue
        if not _holds(wish.giver) or not wish.giver.is_agreed:
            raise CannotComeStraight(
                f"{wish} was to come straight from {wish.giver.title}, which holds nothing."
            )
        assert ways is not None
        assert wish.giver.hold_id is not None
        _refuse_too_late(f"{many} × {wish.label}", wish.giver, event, ways)
        asked.append(TransferIn(wish.giver.hold_id, wish.code, many, wish.giver.out_by, wish.unwashed))
    return asked


def fulfilled(event: Event, asked: Sequence[TransferIn]) -> None:
    """What was wished for is promised now."""
    if not asked:
        return
    event.comes_straight.all().delete()
    check(event)
    codes = {(each.giver_id, each.code): each.quantity for each in asked}
    givers = {
        giver.hold_id: giver for giver in Event.objects.filter(hold_id__in={each.giver_id for each in asked})
    }
    names = dict(Item.objects.filter(code__in=[code for _, code in codes]).values_list("code", "name"))
    for each in asked:
        _refuse_moved_meanwhile(givers[each.giver_id], each.at)
    for (hold_id, code), quantity in codes.items():
        _put_down_chosen(event, givers[hold_id], f"{quantity} × {names[code]}")


def check(event: Event) -> None:
    """Whether what comes and goes straight is still in time, by the event's times and places as they are now.

    Asked in the transaction that changes them, after the stock was. Raises :class:`CannotComeStraight`.
    """
    found = straights([event])[event.pk]
    late = [
        f"{each.words} from {giver.title} would be at {taker.title} only at {_clock(each.there_at, taker)}, and it has"
        f" to be ready by {_clock(taker.ready_by, taker)}. Let it come by way of the studio first, or choose another"
        " time."
        for mine, others in ((False, found.comes), (True, found.goes))
        for each in others
        if each.is_too_late
        for giver, taker in [(event, each.other) if mine else (each.other, event)]
    ]
    if late:
        raise CannotComeStraight(late)


def hints(event: Event, codes: Iterable[str]) -> list[str]:
    """:func:`ways_out` for whoever was refused these codes, if that person may know of other events."""
    role = tenancy.current().role
    if role not in MEMBER_ROLES or not may(role, Right.EDIT_EVENTS):
        return []
    return ways_out(event, codes)


def ways_out(event: Event, codes: Iterable[str]) -> list[str]:
    """Sentences for the studio: from which other events these codes could come straight. No client may read them."""
    wanted = set(codes)
    return [
        f"{choice.item.name} could come straight from {choice.giver.title}, there by"
        f" {_clock(choice.there_at, event)}: choose that on the event’s page."
        for choice in choices(event)
        if choice.item.code in wanted and choice.most > choice.now
    ]


def put_down_called_off(event: Event, found: Straights) -> None:
    """Say at the other ends that what was to come or go straight goes by way of the studio now."""
    for each in (*found.comes, *found.goes):
        log.record(each.other, f"{event.title} is called off: {each.words} by way of the studio now.")


# --- Private ---


def _onward(link: HandedOn, giver: Event, taker: Event, other: Event, ways: drives.Drives) -> Onward:
    there_at = link.at + timedelta(minutes=ways.minutes(giver.venue, taker.venue))
    return Onward(link, other, there_at, there_at > taker.access_from, there_at >= taker.ready_by)


def _there_at(giver: Event, taker: Event, ways: drives.Drives) -> datetime:
    return giver.out_by + timedelta(minutes=ways.minutes(giver.venue, taker.venue))


def _holds(event: Event) -> bool:
    """Whether its stock is promised; what is pencilled may give way, and hands nothing on."""
    return event.hold is not None and event.hold.state == HoldState.HELD


def _givers(event: Event) -> list[Event]:
    others = Event.objects.select_related("venue").filter(
        status=Status.CONFIRMED,
        hold__isnull=False,
        out_by__lt=event.ready_by,
        out_by__gt=timezone.now(),
        back_at__gt=event.load_out_at - LOOKED_BACK,
    )
    return list(others.exclude(pk=event.pk))


def _refuse_what_cannot_be(event: Event, giver: Event) -> None:
    if event.stage in (Stage.PREPARED, Stage.INSTALLED, Stage.COUNTED_BACK):
        raise CannotComeStraight("The van is loaded already.")
    if event.pk == giver.pk:
        raise CannotComeStraight({"which": "That is the same event."})
    if not giver.is_agreed or not _holds(giver) or giver.stage == Stage.COUNTED_BACK:
        raise CannotComeStraight(
            {"which": f"{giver.title} isn’t agreed, or is over: it has nothing to let go."}
        )
    ways = drives.drives_between(each.venue for each in (event, giver) if each.venue)
    _refuse_too_late("", giver, event, ways, field="which")


def _refuse_too_late(what: str, giver: Event, taker: Event, ways: drives.Drives, field: str = "") -> None:
    there_at = _there_at(giver, taker, ways)
    if there_at < taker.ready_by:
        return
    words = (
        f"{what or 'What comes'} from {giver.title} would be there only at {_clock(there_at, taker)}, and it has to be"
        f" ready by {_clock(taker.ready_by, taker)}."
    )
    raise CannotComeStraight({field: words} if field else words)


def _promise(event: Event, giver: Event, *, code: str, quantity: int, unwashed: bool) -> None:
    assert giver.hold_id is not None
    assert event.hold_id is not None
    item = Item.objects.filter(code=code).first()
    if item is None:
        raise CannotComeStraight({"which": f"Not in the catalogue: {code}."})
    if item.turnaround and not unwashed:
        raise CannotComeStraight(
            {"unwashed": f"{item.name} isn’t cleaned on the way. Say that it may come so."}
        )
    at = giver.out_by
    try:
        transfers.make_transfer(
            giver.hold_id,
            event.hold_id,
            code=code,
            quantity=quantity,
            at=at,
            unwashed=unwashed,
            key=f"event-{event.pk}-straight-{event.version}",
        )
    except CannotHold as refusal:
        raise CannotComeStraight({"quantity": refusal.messages}) from refusal
    _refuse_moved_meanwhile(giver, at)
    check(event)
    _put_down_chosen(event, giver, f"{quantity} × {item.name}")


def _refuse_moved_meanwhile(giver: Event, at: datetime) -> None:
    """Refuse where somebody moved the other event while its stock was waited for."""
    now_at = Event.objects.filter(pk=giver.pk).values_list("out_by", flat=True).first()
    if now_at != at:
        raise CannotComeStraight(f"{giver.title} was moved just now. Look at it again.")


def _wish(event: Event, giver: Event, *, code: str, quantity: int, unwashed: bool) -> None:
    item = Item.objects.filter(code=code, nature=Nature.REUSABLE).first()
    if item is None:
        raise CannotComeStraight({"which": "Only what comes back can come straight from another event."})
    if item.turnaround and not unwashed:
        raise CannotComeStraight(
            {"unwashed": f"{item.name} isn’t cleaned on the way. Say that it may come so."}
        )
    lines = HoldLine.objects.filter(hold=giver.hold, item=item, handed_on=None)
    there = sum(lines.values_list("quantity", flat=True))
    if not 1 <= quantity <= there:
        raise CannotComeStraight({"quantity": f"{giver.title} has {there} × {item.name} to let go."})
    facts = {"label": item.name, "quantity": quantity, "unwashed": unwashed}
    ComesStraight.objects.update_or_create(event=event, giver=giver, code=code, defaults=facts)


def _put_down_chosen(event: Event, giver: Event, what: str) -> None:
    log.record(event, f"{what} comes straight from {giver.title}.")
    log.record(giver, f"{what} goes straight on to {event.title}.")


def _put_down_dropped(event: Event, giver: Event | None, what: str) -> None:
    log.record(event, f"{what} comes by way of the studio after all.")
    if giver is not None:
        log.record(giver, f"{what} comes home, and doesn’t go straight on to {event.title}.")


def _clock(moment: datetime, event: Event) -> str:
    shown = moment.astimezone(event.tz)
    return f"{times.day_written(shown)}, {times.time_written(shown)}"
