"""What an event's stock lacks now, beside what was short when the client agreed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from events.loadout.shelf_access import as_studio
from events.models import BillRow, Event, Stage
from stock.holds import availability
from stock.holds.availability import Available, Shortage
from stock.holds.substitutes import Substitute, find_substitutes
from stock.models import HoldLine


@dataclass(frozen=True, slots=True)
class ItemShortage:
    """One item of the bill that was short when the client agreed, or is short now."""

    label: str
    agreed: int
    now: int
    stand_ins: tuple[Substitute, ...] = ()


def missing_now(event: Event, agreed: dict[str, int]) -> dict[str, int]:
    """How many of each code the event's stock lacks now, as purchase list and alerts count it.

    ``agreed`` is what was short then: items outside the catalogue, which no hold can keep, stay short. Three queries,
    one where nothing was short, none for an event that is over.
    """
    return _find_missing(event, agreed).counts


def find_shortages(event: Event, bill: Iterable[BillRow], *, stand_ins: bool) -> list[ItemShortage]:
    """Every item of the bill that was short when the client agreed, or is now; with ``stand_ins`` for what is short
    now. Six queries at most."""
    rows = list(bill)
    labels = {row.present_code: row.present_label for row in rows}
    agreed = {row.code: row.short for row in rows if row.short and not row.now_code}
    found = _find_missing(event, agreed)
    now = found.counts
    instead = _find_stand_ins(event, found) if stand_ins and found.shortages else {}
    return [
        ItemShortage(label, agreed.get(code, 0), now.get(code, 0), instead.get(code, ()))
        for code, label in labels.items()
        if code in agreed or code in now
    ]


# --- Private ---


@dataclass(frozen=True, slots=True)
class _Missing:
    """What an event lacks now."""

    counts: dict[str, int] = field(default_factory=dict)
    shortages: Sequence[Shortage] = ()
    """Of these what its hold lacks."""


def _find_missing(event: Event, agreed: dict[str, int]) -> _Missing:
    if not event.is_agreed or event.stage == Stage.COUNTED_BACK:
        return _Missing()
    if event.hold_id is None:
        return _Missing(agreed)
    with as_studio():
        found = availability.shortages_of(event.hold_id)
    held = _held_codes(event.hold_id) if agreed else frozenset()
    counts = Counter({code: short for code, short in agreed.items() if code not in held})
    for each in found:
        counts[each.item.code] += each.short
    return _Missing(dict(counts), found)


def _held_codes(hold_id: int) -> frozenset[str]:
    lines = HoldLine.objects.filter(hold_id=hold_id, standing=True)
    return frozenset(lines.values_list("item__code", flat=True))


def _find_stand_ins(event: Event, found: _Missing) -> dict[str, tuple[Substitute, ...]]:
    """Items that are free in the full quantity that the event holds of each missing one."""
    short = {each.item.code: Available(each.item.code, each.held, each.item) for each in found.shortages}
    return find_substitutes(list(short.values()), event.hold_window(), besides=event.hold_id)
