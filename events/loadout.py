"""The load-out list: what goes into the van, in the order in which it goes in, and who counted it.

Built from the agreed bill. What is used last on site goes in first. Ticks come from several phones, late,
twice and in any order; they are only ever added, and the state of a line is folded from them.
"""

from __future__ import annotations

import uuid
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from typing import Final, Protocol

from django.http import Http404
from django.utils import timezone

from events.models import Event, LoadOutLine, LoadPlace, Tick
from stock.catalogue import by_code
from stock.models import Item, Kind
from studio import tenancy
from studio.access import Right, Role, require

MOST_TICKS_AT_ONCE: Final = 500
MOST_PIECES: Final = 1_000_000
EARLIEST: Final = datetime(2000, 1, 1, tzinfo=UTC)
LATEST: Final = datetime(2100, 1, 1, tzinfo=UTC)
"""A phone that says another year than these has no clock at all."""

SITE_ORDER: Final[Mapping[str, int]] = {
    Kind.TOOL: 1,
    Kind.FRAME: 2,
    Kind.COVER: 3,
    Kind.SIGN: 4,
    Kind.HARDWARE: 5,
    Kind.TWISTING: 6,
    Kind.LATEX: 7,
    Kind.FLORAL: 9,
}
"""When each kind of thing is wanted on site (common practice, no source): ladder and tools, frames, covers,
sign, clips and tails, string, garland, fillers (8, by their size), florals."""
FILLERS: Final = 8
FILLER_SIZE_IN: Final = 5
UNKNOWN: Final = 6
"""What the catalogue doesn't know goes with the garland."""


class BilledThing(Protocol):
    """A line of a bill, as far as loading is concerned."""

    @property
    def code(self) -> str: ...
    @property
    def label(self) -> str: ...
    @property
    def quantity(self) -> int: ...
    @property
    def part(self) -> str: ...


@dataclass(frozen=True, slots=True)
class TickOp:
    """What a phone says: ``count`` of the line are in."""

    uuid: uuid.UUID
    line_id: int
    count: int
    made_at: datetime
    phone: str = ""


@dataclass(frozen=True, slots=True)
class Refused:
    """A tick that can't be taken, and why."""

    uuid: uuid.UUID
    why: str


@dataclass(frozen=True, slots=True)
class TickAnswer:
    """What became of the ticks: those that the server keeps now, whether it had them before or not."""

    kept: tuple[uuid.UUID, ...]
    refused: tuple[Refused, ...]


@dataclass(frozen=True, slots=True)
class LineState:
    """A line, how many of it are in by the latest tick, and who said so when."""

    line: LoadOutLine
    count: int = 0
    by: str = ""
    at: datetime | None = None

    @property
    def is_in(self) -> bool:
        """Whether all of it is in."""
        return self.count >= self.line.quantity

    @property
    def is_begun(self) -> bool:
        """Whether some of it is in, but not all."""
        return 0 < self.count < self.line.quantity

    @property
    def eighths(self) -> int:
        """How full the mark is drawn: 0 to 8."""
        if self.is_in:
            return 8
        return max(1, self.count * 8 // self.line.quantity) if self.count else 0

    @property
    def fresh(self) -> str:
        """A new name for the tick that a press without script makes: sent twice, it is one."""
        return str(uuid.uuid4())

    @property
    def other_count(self) -> int:
        """What a tap says: all in, or, where all are in, none."""
        return 0 if self.is_in else self.line.quantity


@dataclass(frozen=True, slots=True)
class PlaceGroup:
    """The lines of one place in the van."""

    place: LoadPlace
    lines: tuple[LineState, ...]

    @property
    def total(self) -> int:
        """How many lines it has."""
        return len(self.lines)

    @property
    def in_count(self) -> int:
        """How many of its lines are in."""
        return sum(state.is_in for state in self.lines)


@dataclass(frozen=True, slots=True)
class LoadOutList:
    """The whole list as it stands."""

    event: Event
    groups: tuple[PlaceGroup, ...]
    hands: tuple[tuple[str, int], ...] = field(default=())
    """Who brought how many of the lines that are in, most first."""

    @property
    def in_count(self) -> int:
        """How many lines are in."""
        return sum(group.in_count for group in self.groups)

    @property
    def total(self) -> int:
        """How many lines there are."""
        return sum(group.total for group in self.groups)


def load_out_list(event_id: int) -> LoadOutList:
    """The list of an event with every tick folded in. Three queries. Raises ``Http404``."""
    require(Right.SEE_LOAD_OUT)
    event = Event.objects.select_related("venue", "client").filter(pk=event_id).first()
    if event is None:
        raise Http404
    lines = list(event.load_out.filter(dropped=False))
    ticks = Tick.objects.filter(line__event=event).select_related("person")
    latest = folded(ticks)
    states = [_state(line, latest.get(line.pk)) for line in lines]
    groups = tuple(
        PlaceGroup(place, members)
        for place in LoadPlace
        if (members := tuple(state for state in states if state.line.place == place))
    )
    hands = Counter(state.by for state in states if state.is_in and state.by)
    return LoadOutList(event, groups, tuple(hands.most_common()))


def folded(ticks: Iterable[Tick]) -> dict[int, Tick]:
    """The tick that counts for each line: the latest made, whatever the order of arrival; ties by uuid."""
    latest: dict[int, Tick] = {}
    for tick in ticks:
        present = latest.get(tick.line_id)
        if present is None or (tick.made_at, tick.uuid) > (present.made_at, present.uuid):
            latest[tick.line_id] = tick
    return latest


def tick(event_id: int, ops: Sequence[TickOp]) -> TickAnswer:
    """Keep the ticks, each once however often it is sent.

    A tick for a line that isn't this event's is refused by itself; the others are kept. Raises ``Http404``
    where the studio has no such event.
    """
    require(Right.TICK_LOAD_OUT)
    if not Event.objects.filter(pk=event_id).exists():
        raise Http404
    mine = set(LoadOutLine.objects.filter(event_id=event_id).values_list("pk", flat=True))
    refused = [Refused(op.uuid, why) for op in ops if (why := _fault(op, mine))]
    wrong = {refusal.uuid for refusal in refused}
    taken = _by_our_clock([op for op in ops if op.uuid not in wrong])
    person_id = tenancy.current().person_id
    Tick.objects.bulk_create(
        [
            Tick(
                uuid=op.uuid,
                line_id=op.line_id,
                count=op.count,
                phone=op.phone,
                person_id=person_id,
                made_at=op.made_at,
            )
            for op in taken
        ],
        ignore_conflicts=True,
    )
    return TickAnswer(tuple(op.uuid for op in taken), tuple(refused))


def build(event: Event, bill: Sequence[BilledThing]) -> None:
    """Make the list anew from the bill: one line for each code. Ticks on lines that stay are kept."""
    parts: dict[str, list[str]] = defaultdict(list)
    quantities: Counter[str] = Counter()
    labels: dict[str, str] = {}
    for line in bill:
        quantities[line.code] += line.quantity
        labels.setdefault(line.code, line.label)
        if line.part and line.part not in parts[line.code]:
            parts[line.code].append(line.part)
    items = _items(quantities)
    lines = [
        LoadOutLine(
            event=event,
            code=code,
            label=labels[code],
            detail=", ".join(parts[code])[:200],
            quantity=quantity,
            place=_place(items.get(code)),
            position=_position(items.get(code)),
            shelf_place=items[code].place if code in items else "",
            dropped=False,
        )
        for code, quantity in quantities.items()
    ]
    event.load_out.exclude(code__in=quantities).update(dropped=True)
    LoadOutLine.objects.bulk_create(
        lines,
        update_conflicts=True,
        unique_fields=["studio", "event", "code"],
        update_fields=["label", "detail", "quantity", "place", "position", "shelf_place", "dropped"],
    )


# --- Private ---


def _items(codes: Iterable[str]) -> dict[str, Item]:
    """The catalogue's items, even where a client agrees who may not see the shelf."""
    tenant = tenancy.current()
    with tenancy.entered(tenant.studio_id, slug=tenant.slug, role=Role.SYSTEM, person_id=tenant.person_id):
        return by_code(codes)


def _state(line: LoadOutLine, latest: Tick | None) -> LineState:
    if latest is None:
        return LineState(line)
    person = latest.person.get_short_name() if latest.person else ""
    return LineState(line, latest.count, person, latest.made_at)


def _by_our_clock(ops: Sequence[TickOp]) -> list[TickOp]:
    """A phone's ticks, moved back alike where its clock runs ahead: none is of the future, their order stays."""
    ahead = max((op.made_at for op in ops), default=EARLIEST) - timezone.now()
    return [replace(op, made_at=op.made_at - ahead) for op in ops] if ahead > timedelta() else list(ops)


def _fault(op: TickOp, mine: set[int]) -> str:
    if op.line_id not in mine:
        return "This line isn't on the list any more."
    if not 0 <= op.count <= MOST_PIECES:
        return f"{op.count} is no count."
    if not EARLIEST <= op.made_at < LATEST:
        return "This phone's clock is years off. Set it, then tick again."
    return ""


def _wanted_on_site(item: Item | None) -> int:
    if item is None:
        return UNKNOWN
    if item.kind == Kind.LATEX and (item.size_in or 0) <= FILLER_SIZE_IN:
        return FILLERS
    return SITE_ORDER.get(item.kind, UNKNOWN)


def _place(item: Item | None) -> LoadPlace:
    wanted = _wanted_on_site(item)
    if wanted >= FILLERS:
        return LoadPlace.FIRST
    return LoadPlace.LAST if wanted <= SITE_ORDER[Kind.HARDWARE] else LoadPlace.MIDDLE


def _position(item: Item | None) -> int:
    return 10 - _wanted_on_site(item)
