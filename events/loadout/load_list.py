"""The load-out list: what goes into the van, in the order in which it goes in, and who counted it.

Built from the agreed bill. What is used last on site goes in first; spare balloons are at hand
(:mod:`events.loadout.spares`). The state of a line is merged from the ticks of all phones.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Final, Protocol

from django.shortcuts import get_object_or_404

from events.loadout import spares, standard_kit, steps
from events.loadout.line_states import Back, LineState, LoadOutList, Note, PlaceGroup, Rival
from events.loadout.shelf_access import as_studio
from events.loadout.shortages import missing_now
from events.loadout.standard_kit import TO_HIRE_OR_BUY
from events.loadout.tick_merge import Merged, Subject, merge_ticks
from events.models import Event, LoadOutLine, LoadPlace, Tick, TickKind
from events.transfers.transfers import find_event_transfers
from stock.catalogue.items import find_by_code, items_in_use
from stock.models import Item, Kind
from studio.tenancy.access import require
from studio.tenancy.rights import Right

SITE_ORDER: Final[Mapping[str, int]] = {
    Kind.TOOL: 1,
    Kind.FRAME: 2,
    Kind.COVER: 3,
    Kind.SIGN: 4,
    Kind.HARDWARE: 5,
    Kind.TWISTING: 6,
    Kind.LATEX: 7,
    Kind.PROP: 3,
    Kind.FOIL: 8,
    Kind.FLORAL: 9,
}
"""When each kind of thing is wanted on site (common practice, no source): ladder and tools, frames, covers and props,
sign, clips and tails, string, garland, fillers (8, by their size) and foil, florals."""
FILLERS: Final = 8
FILLER_SIZE_IN: Final = 5
LATEX: Final = "latex-"
UNKNOWN: Final = 6
"""What the catalogue doesn't know goes with the garland."""


class BilledItem(Protocol):
    """A line of a bill, as far as loading is concerned."""

    @property
    def code(self) -> str: ...
    @property
    def label(self) -> str: ...
    @property
    def quantity(self) -> int: ...
    @property
    def spare(self) -> int: ...
    @property
    def part(self) -> str: ...


def find_load_out_list(event_id: int) -> LoadOutList:
    """The list of an event with every tick merged in. Seven queries, ten where there are transfers. Raises
    ``Http404``."""
    require(Right.SEE_LOAD_OUT)
    event = get_object_or_404(Event.objects.select_related("venue"), pk=event_id)
    lines = list(event.load_out.filter(dropped=False))
    ticks = list(Tick.objects.filter(event=event).select_related("person", "crew_phone").only(*_READ))
    short = missing_now(event, dict(event.bill.filter(short__gt=0, now_code="").values_list("code", "short")))
    latest, notes = merge_ticks(ticks), _notes(ticks)
    states = spares.share_out(_state(line, latest, notes, short.get(line.code, 0)) for line in lines)
    transfers = find_event_transfers(event)
    if transfers.incoming or transfers.outgoing:
        states = [replace(state, transfers=transfers.of_code(state.line.code)) for state in states]
    groups = tuple(
        PlaceGroup(place, members)
        for place in LoadPlace
        if (members := tuple(state for state in states if state.line.place == place))
    )
    loaders = Counter(state.by for state in states if state.is_in and state.by)
    return LoadOutList(
        event,
        groups,
        tuple(loaders.most_common()),
        notes=tuple(notes.get(None, ())),
        steps=steps.marked_steps(event, ticks),
        hours=tuple(found.tick for (kind, _, _), found in latest.items() if kind == TickKind.HOURS),
    )


def build_list(event: Event, bill: Sequence[BilledItem]) -> None:
    """Write the list: a line for each code of the bill, one for its spares, and the standard kit. Ticks are kept."""
    codes = {line.code for line in bill}
    lines = bill_lines(event, bill, _items(codes))
    if lines:
        lines += _kit_lines(event, codes)
    event.load_out.exclude(code__in=[line.code for line in lines]).update(dropped=True)
    LoadOutLine.objects.bulk_create(
        lines,
        update_conflicts=True,
        unique_fields=["studio", "event", "code"],
        update_fields=[
            "label",
            "detail",
            "quantity",
            "place",
            "position",
            "shelf_place",
            "spare_of",
            "dropped",
        ],
    )


def bill_lines(event: Event, bill: Sequence[BilledItem], items: Mapping[str, Item]) -> list[LoadOutLine]:
    """The lines of the bill, not saved yet: for each code what the set piece needs, then the spares."""
    parts: dict[str, list[str]] = defaultdict(list)
    quantities: Counter[str] = Counter()
    spare: Counter[str] = Counter()
    labels: dict[str, str] = {}
    for line in bill:
        quantities[line.code] += line.quantity
        spare[line.code] += line.spare
        labels.setdefault(line.code, line.label)
        if line.part and line.part not in parts[line.code]:
            parts[line.code].append(line.part)
    lines = [
        LoadOutLine(
            event=event,
            code=code,
            label=labels[code],
            detail=_detail(parts[code], items.get(code)),
            quantity=quantity - spare[code],
            place=_place(items.get(code)),
            position=_position(items.get(code)),
            shelf_place=items[code].place if code in items else "",
            dropped=False,
        )
        for code, quantity in quantities.items()
    ]
    return lines + [
        spares.spare_line(event, code, labels[code], number, items.get(code))
        for code, number in spare.items()
        if number
    ]


def add_standard_kit(event: Event) -> None:
    """Add the standard kit for the event's present height and venue to its list."""
    there = set(event.load_out.filter(dropped=False).values_list("code", flat=True))
    if not there:
        return
    LoadOutLine.objects.bulk_create(
        _kit_lines(event, there),
        update_conflicts=True,
        unique_fields=["studio", "event", "code"],
        update_fields=["dropped"],
    )


# --- Private ---

_READ: Final = (
    *("uuid", "kind", "line", "count", "mend", "broken", "lost", "used", "task", "people", "text", "after"),
    *("made_at", "person__name", "crew_phone__name"),
)
"""Columns of a tick, and the name of whoever sent it: there are as many ticks as taps."""


def _kit_lines(event: Event, there: Collection[str]) -> list[LoadOutLine]:
    """The standard kit, except for what the bill has already."""
    balloons = any(code.startswith(LATEX) for code in there)
    with as_studio():
        tools = list(items_in_use(Kind.TOOL))
    return [
        LoadOutLine(
            event=event,
            code=piece.code,
            label=piece.label,
            detail=piece.why,
            quantity=1,
            place=LoadPlace.LAST,
            position=10 - SITE_ORDER[Kind.TOOL],
            shelf_place=piece.shelf_place,
            dropped=False,
        )
        for piece in standard_kit.choose_kit(event, tools, balloons=balloons)
        if piece.code not in there
    ]


def _items(codes: Iterable[str]) -> dict[str, Item]:
    """The catalogue's items."""
    with as_studio():
        return find_by_code(codes)


def _state(
    line: LoadOutLine, latest: Mapping[Subject, Merged], notes: Mapping[int | None, list[Note]], short: int
) -> LineState:
    loaded = latest.get((TickKind.LOADED, line.pk, ""))
    back = latest.get((TickKind.BACK, line.pk, ""))
    state = LineState(
        line, back=_back(back) if back else None, notes=tuple(notes.get(line.pk, ())), short=short
    )
    if loaded is None:
        return state
    counts = loaded.tick
    return replace(
        state,
        count=counts.count,
        by=counts.by,
        at=counts.made_at,
        heads=loaded.heads,
        rivals=_rivals(loaded),
    )


def _back(found: Merged) -> Back:
    tick = found.tick
    return Back(
        whole=tick.count,
        mend=tick.mend,
        broken=tick.broken,
        lost=tick.lost,
        used=tick.used,
        by=tick.by,
        at=tick.made_at,
        heads=found.heads,
        rivals=_rivals(found),
    )


def _rivals(found: Merged) -> tuple[Rival, ...]:
    return tuple(Rival(tick.by, tick.count, tick.made_at) for tick in found.rivals)


def _notes(ticks: Iterable[Tick]) -> defaultdict[int | None, list[Note]]:
    """Notes by line; those of the event under None."""
    notes: defaultdict[int | None, list[Note]] = defaultdict(list)
    for tick in ticks:
        if tick.kind == TickKind.NOTE:
            notes[tick.line_id].append(Note(tick.text, tick.by, tick.made_at))
    return notes


def _detail(parts: Iterable[str], item: Item | None) -> str:
    """Which set pieces it is for. What isn't in the stock list waits on no shelf, so that is said first."""
    return ", ".join([TO_HIRE_OR_BUY, *parts] if item is None else parts)[:200]


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
