"""Rows that stored documents hang on, made anew under the ids that the documents name."""

from __future__ import annotations

from datetime import timedelta
from typing import Any, Final

from events.models import Client, Event
from stock.ledger import movements
from stock.models import Item, MovementKind
from tests.stored.documents import MOMENT

HOURS: Final = {
    "load_out_at": -6, "access_from": -4, "ready_by": 0, "strike_from": 5, "out_by": 7, "back_at": 9,
}  # fmt: skip


def an_event(**facts: Any) -> Event:
    """An event ten days on, where the facts don't say otherwise."""
    client, _ = Client.objects.get_or_create(name="Mrs Adeyo", language="en")
    ready = MOMENT + timedelta(days=10)
    moments = {field: ready + timedelta(hours=hours) for field, hours in HOURS.items()}
    usual = {"title": "Library centenary", "zone": "America/New_York", **moments}
    made: Event = Event.objects.create(client=client, **{**usual, **facts})
    made.refresh_from_db()
    return made


def items(rows: list[dict[str, Any]]) -> dict[int, Item]:
    """Things on the shelf under their ids, ``on_hand`` of each."""
    made = {}
    for row in rows:
        facts = dict(row)
        on_hand = facts.pop("on_hand", 0)
        made[facts["id"]] = item = Item.objects.create(**facts)
        if on_hand:
            movements.write_movements([(item, MovementKind.OPENING, on_hand)])
    return made
