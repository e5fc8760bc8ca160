"""What an event's bill takes up in a van: packed volume and the longest piece. An estimate for planning."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TypeAlias

from events.models import BillRow
from stock.catalogue.items import TWISTING_IN, size_in_code
from stock.models import Item
from studio.trade.packing import (
    Packed,
    packed_box,
    packed_frames,
    packed_goods,
    packed_rounds,
    packed_together,
    travelling_box,
)

Outlines: TypeAlias = "Mapping[str, Mapping[str, str | float] | None]"
"""By code the outline of everything that has one: frames and props."""


def load_of(lines: Iterable[tuple[str, int]], outlines: Outlines) -> Packed:
    """The load of a bill of (code, quantity) without spare balloons. What has no outline goes in crates."""
    return packed_together(_packed(code, outlines.get(code), quantity) for code, quantity in lines)


def loads(event_ids: Iterable[int]) -> dict[int, Packed]:
    """The load of each event's bill, with what was swapped in. Two queries, however many events."""
    bills = BillRow.objects.filter(event__in=list(event_ids))
    by_event: dict[int, list[tuple[str, int]]] = {}
    for event_id, code, now_code, quantity, spare in bills.values_list(
        "event_id", "code", "now_code", "quantity", "spare"
    ):
        by_event.setdefault(event_id, []).append((now_code or code, quantity - spare))
    codes = {code for lines in by_event.values() for code, _ in lines}
    outlines = dict(Item.objects.filter(code__in=codes, outline__isnull=False).values_list("code", "outline"))
    return {event_id: load_of(lines, outlines) for event_id, lines in by_event.items()}


# --- Private ---


def _packed(code: str, outline: Mapping[str, str | float] | None, quantity: int) -> Packed:
    size_in = size_in_code(code)
    if size_in == TWISTING_IN:
        return Packed()  # carried empty
    if size_in:
        return packed_rounds(size_in, quantity)
    found = outline or {}
    width, height, depth = (float(found.get(side, 0)) for side in ("width_m", "height_m", "depth_m"))
    if depth:
        box = travelling_box(str(found.get("shape", "")), width, height, depth)
        return packed_together([packed_box(box)] * quantity)
    return packed_frames(width, height, quantity) if width and height else packed_goods(code, quantity)
