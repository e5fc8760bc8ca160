"""What an event's bill takes up in a van: packed volume and the longest piece. An estimate for planning."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from events.models import BillRow
from stock.catalogue.items import TWISTING_IN, size_in_code
from stock.models import Item
from studio.trade.packing import Packed, packed_frames, packed_goods, packed_rounds, packed_together


def load_of(lines: Iterable[tuple[str, int]], items: Mapping[str, Item]) -> Packed:
    """The load of a bill of (code, quantity) without spare balloons. What the catalogue doesn't know goes in crates."""
    return packed_together(_packed(code, items.get(code), quantity) for code, quantity in lines)


def loads(event_ids: Iterable[int]) -> dict[int, Packed]:
    """The load of each event's bill, with what was swapped in. Two queries, however many events."""
    bills = BillRow.objects.filter(event__in=list(event_ids))
    by_event: dict[int, list[tuple[str, int]]] = {}
    for row in bills.only("event_id", "code", "now_code", "quantity", "spare"):
        by_event.setdefault(row.event_id, []).append((row.present_code, row.quantity - row.spare))
    codes = {code for lines in by_event.values() for code, _ in lines}
    by_code = {item.code: item for item in Item.objects.filter(code__in=codes)}
    return {event_id: load_of(lines, by_code) for event_id, lines in by_event.items()}


# --- Private ---


def _packed(code: str, item: Item | None, quantity: int) -> Packed:
    size_in = size_in_code(code)
    if size_in == TWISTING_IN:
        return Packed()  # carried empty
    if size_in:
        return packed_rounds(size_in, quantity)
    outline = (item.outline if item else None) or {}
    width, height = float(outline.get("width_m", 0)), float(outline.get("height_m", 0))
    return packed_frames(width, height, quantity) if width and height else packed_goods(code, quantity)
