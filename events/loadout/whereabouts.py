"""What the phones know of the shelf's pieces: how many left for an event, and how many came back whole."""

from __future__ import annotations

from collections.abc import Collection
from typing import Final

from events.loadout.tick_merge import Merged, Subject, merge_ticks
from events.models import Event, LoadOutLine, Stage, Tick, TickKind
from stock.holds.whereabouts import Sighting

ON_THE_ROAD: Final = (Stage.PREPARED, Stage.INSTALLED)


def find_sightings(hold_ids: Collection[int]) -> list[Sighting]:
    """What was seen of each item of these holds; nothing of events at whose list nobody has ticked yet. Three
    queries."""
    events = Event.objects.filter(hold_id__in=hold_ids).only("stage", "hold_id").in_bulk()
    ticks = list(Tick.objects.filter(event__in=events, kind__in=[TickKind.LOADED, TickKind.BACK]))
    on_the_road = {event.pk for event in events.values() if event.stage in ON_THE_ROAD}
    begun = {tick.event_id for tick in ticks} | on_the_road
    latest = merge_ticks(ticks)
    seen: dict[tuple[int, str], Sighting] = {}
    for line in LoadOutLine.objects.filter(event__in=begun, dropped=False):
        event = events[line.event_id]
        assert event.hold_id is not None
        key = event.hold_id, line.item_code
        seen[key] = _joined(seen.get(key), _sighting(line, event, latest))
    return list(seen.values())


# --- Private ---


def _sighting(line: LoadOutLine, event: Event, latest: dict[Subject, Merged]) -> Sighting:
    """A line nobody ticked is still here while the van is being loaded, and went with the rest afterwards."""
    assert event.hold_id is not None
    loaded = latest.get((TickKind.LOADED, line.pk, ""))
    back = latest.get((TickKind.BACK, line.pk, ""))
    assumed = line.quantity if event.stage in ON_THE_ROAD and not loaded else 0
    left = loaded.tick.count if loaded else assumed
    if back is None:
        return Sighting(event.hold_id, line.item_code, left, assumed=assumed, is_accounted_for=not left)
    told = back.tick  # what is counted back was out, ticked or not
    in_all = told.count + told.mend + told.broken + told.lost + told.used
    return Sighting(event.hold_id, line.item_code, left, told.count, is_accounted_for=in_all >= left)


def _joined(first: Sighting | None, second: Sighting) -> Sighting:
    """Balloons of the piece and their spares are one item."""
    if first is None:
        return second
    return Sighting(
        second.hold_id,
        second.code,
        first.left + second.left,
        first.back + second.back,
        first.assumed + second.assumed,
        first.is_accounted_for and second.is_accounted_for,
    )
