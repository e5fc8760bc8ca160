"""A swap on an event's hold is followed by its load-out list, until the van is loaded."""

from __future__ import annotations

import pytest

from events.loadout import load_list
from events.models import Event, LogEntry, Stage
from stock.catalogue import items
from stock.catalogue.items import Material
from stock.holds import holds
from stock.ledger import movements
from stock.models import HoldLine, Item, Kind
from tests.people import House


def navy() -> Item:
    """Another latex of the size of the first on the list, enough of it."""
    line = HoldLine.objects.filter(item__kind=Kind.LATEX).select_related("item").order_by("pk")[0]
    colour = items.add_colour(name="Navy", hex="#2A3D4E")
    item = items.add_item(kind=Kind.LATEX, colour=colour, size_in=line.item.size_in, place="bay N")
    movements.open_with([Material(item.code, 5_000)])
    return item


def latex(event: Event) -> tuple[str, int]:
    """Code and number of the first latex that the event's hold keeps."""
    line = (
        HoldLine.objects.filter(hold=event.hold, item__kind=Kind.LATEX)
        .select_related("item")
        .order_by("pk")[0]
    )
    return line.item.code, line.quantity


def listed(event: Event) -> dict[str, int]:
    """The load-out list by code."""
    return {state.line.code: state.line.quantity for state in load_list.find_load_out_list(event.pk).states}


def test_the_load_out_list_and_the_log_follow_a_swap(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter("staff"):
        code, number = latex(agreed)
        before = listed(agreed)
        other = navy()
        holds.swap(agreed.hold_id or 0, out=code, into=other.code, key="s")
        holds.swap(agreed.hold_id or 0, out=code, into=other.code, key="s")
        after = listed(agreed)
        assert after == {**{each: n for each, n in before.items() if each != code}, other.code: before[code]}
        words = LogEntry.objects.filter(event=agreed, text__startswith="Swapped:").values_list(
            "text", flat=True
        )
        assert list(words) == [
            f"Swapped: {number} × {other.name} in place of {Item.objects.get(code=code).name}."
        ]


def test_a_swap_and_back_leaves_the_list_as_it_was(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        code, _ = latex(agreed)
        before = listed(agreed)
        other = navy()
        holds.swap(agreed.hold_id or 0, out=code, into=other.code, key="there")
        holds.swap(agreed.hold_id or 0, out=other.code, into=code, key="back")
        assert listed(agreed) == before


def test_once_the_van_is_loaded_nothing_is_swapped(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        code, _ = latex(agreed)
        before = listed(agreed)
        other = navy()
        Event.objects.filter(pk=agreed.pk).update(stage=Stage.PREPARED)
        with pytest.raises(holds.CannotHold, match="loaded already"):
            holds.swap(agreed.hold_id or 0, out=code, into=other.code, key="s")
        assert listed(agreed) == before
        assert not HoldLine.objects.filter(item=other).exists()
