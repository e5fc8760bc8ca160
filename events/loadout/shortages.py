"""What an event's stock lacks now, beside what was short when the client agreed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from events.loadout.shelf_access import as_studio
from events.models import BillRow, Event, Stage
from stock.catalogue.items import Material
from stock.holds import availability
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
    two where nothing is short, none for an event that is over.
    """
    if not event.is_agreed or event.stage == Stage.COUNTED_BACK:
        return {}
    if event.hold_id is None:
        return agreed
    lines = HoldLine.objects.filter(hold_id=event.hold_id, standing=True)
    held = set(lines.values_list("item__code", flat=True))
    return {code: short for code, short in agreed.items() if code not in held} | _missing(event.hold_id)


def find_shortages(event: Event, bill: Iterable[BillRow], *, stand_ins: bool) -> list[ItemShortage]:
    """Every item of the bill that was short when the client agreed, or is now; with ``stand_ins`` for what is short
    now. Ten queries at most."""
    rows = list(bill)
    labels = {row.present_code: row.present_label for row in rows}
    agreed = {row.code: row.short for row in rows if row.short and not row.now_code}
    now = missing_now(event, agreed)
    instead = _find_stand_ins(event, now) if stand_ins and now else {}
    return [
        ItemShortage(label, agreed.get(code, 0), now.get(code, 0), instead.get(code, ()))
        for code, label in labels.items()
        if code in agreed or code in now
    ]


# --- Private ---


def _missing(hold_id: int) -> dict[str, int]:
    missing: Counter[str] = Counter()
    with as_studio():
        found = availability.shortages_of(hold_id)
    for each in found:
        missing[each.item.code] += each.short
    return dict(missing)


def _find_stand_ins(event: Event, missing: Iterable[str]) -> dict[str, tuple[Substitute, ...]]:
    """Items that are free in the full quantity that the event holds of each missing one."""
    held: Counter[str] = Counter()
    lines = HoldLine.objects.filter(hold=event.hold, standing=True, item__code__in=list(missing))
    for code, quantity in lines.values_list("item__code", "quantity"):
        held[code] += quantity
    needs = [Material(code, quantity) for code, quantity in held.items()]
    window = event.hold_window()
    short = availability.availability(needs, window, besides=event.hold_id)
    return find_substitutes(short, window, besides=event.hold_id)
