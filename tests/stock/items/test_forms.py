"""Items and colours added and changed by their forms: what is kept, and what is refused at its field."""

from __future__ import annotations

from decimal import Decimal

import pytest

from stock.catalogue import items
from stock.ledger import movements
from stock.models import Colour, Item
from tests.stock.conftest import RING, Stocked
from tests.stock.pages import posted, text


def test_latex_is_named_and_coded_after_its_size_and_colour(stocked: Stocked) -> None:
    with stocked.house.enter():
        ink = Colour.objects.get(code="ink")
    response = posted(
        stocked.house.client(),
        stocked.house.url("stock:item-add", "latex"),
        colour=ink.pk,
        size_in="17",
        opening="45",
        bag_size="50",
        bag_price="$22.40",
        place="shelf A",
    )
    assert response.status_code == 302
    added = stocked.item("latex-17-ink")
    assert (added.name, added.bag_size, added.bag_price, added.nature) == (
        "Ink 17 in",
        50,
        Decimal("22.40"),
        "consumable",
    )
    with stocked.house.enter():
        assert movements.balances([added.pk]) == {added.pk: 45}


def test_a_frame_keeps_the_outline_that_the_take_off_reads(stocked: Stocked) -> None:
    response = posted(
        stocked.house.client("staff"),
        stocked.house.url("stock:item-add", "frame"),
        name="Arch 5 × 7 ft",
        shape="arch-top",
        width_m="5 ft",
        height_m="7'0\"",
        tube_m="1 in",
        weight="14",
        turnaround_hours="2",
    )
    assert response.status_code == 302
    added = stocked.item("arch-5-7-ft")
    assert added.outline == {"shape": "arch-top", "width_m": 1.524, "height_m": 2.1336, "tube_m": 0.0254}
    # 14 lb of exactly 0.45359237 kg (international yard and pound agreement, 1959), to the gram.
    assert added.weight_kg == Decimal("6.350")


def test_a_prop_keeps_its_sizes_and_comes_back(stocked: Stocked) -> None:
    response = posted(
        stocked.house.client("staff"),
        stocked.house.url("stock:item-add", "prop"),
        name="Plinth 3 ft",
        shape="plinth",
        width_m="1 ft",
        height_m="3 ft",
        depth_m="1 ft",
        weight="20",
    )
    assert response.status_code == 302
    added = stocked.item("plinth-3-ft")
    assert added.outline == {"shape": "plinth", "width_m": 0.3048, "height_m": 0.9144, "depth_m": 0.3048}
    assert (added.kind, added.nature) == ("prop", "reusable")
    page = text(stocked.house.client().get(stocked.house.url("stock:item", added.pk)))
    assert "plinth" in page
    assert "Width × height × depth" in page


def test_a_foil_balloon_keeps_its_height_when_flat_and_is_used_up(stocked: Stocked) -> None:
    fields = {"name": "Gold 34 in “4”", "shape": "glyphs", "height_m": "34 in"}
    posted(stocked.house.client(), stocked.house.url("stock:item-add", "foil"), **fields)
    with stocked.house.enter():
        added = Item.objects.get(kind="foil")
    assert added.outline == {"shape": "glyphs", "height_m": 0.8636}
    assert (added.nature, added.code) == ("consumable", "gold-34-in-4"), "as a bill of the number 4 names it"
    assert "Height when flat" in text(stocked.house.client().get(stocked.house.url("stock:item", added.pk)))


def test_what_is_left_alone_in_the_form_stays_exactly_as_it_was_kept(stocked: Stocked) -> None:
    ring = stocked.item(RING)
    with stocked.house.enter():
        items.change_item(ring, weight_kg=Decimal("6.400"))
    address = stocked.house.url("stock:item-change", ring.pk)
    # 1.83 m is shown as 6 ft, 6.4 kg as 14.1 lb: sent back unchanged, neither may be rounded into what is kept.
    page = text(stocked.house.client().get(address))
    assert 'value="6 ft"' in page
    posted(
        stocked.house.client(),
        address,
        name="Ring",
        shape="ring",
        width_m="6 ft",
        height_m="7 ft",
        weight="14.1",
        place="bay C2",
    )
    changed = stocked.item(RING)
    assert changed.outline == {"shape": "ring", "width_m": 1.83, "height_m": 2.1336}
    assert changed.weight_kg == Decimal("6.400")
    assert changed.name == "Ring"


@pytest.mark.parametrize(
    ("kind", "data", "message"),
    [
        ("latex", {"size_in": "11"}, "This field is required"),
        ("frame", {"name": "A", "shape": "arch-top", "width_m": "wide", "height_m": "7 ft"}, "is no length"),
        (
            "frame",
            {"name": "A", "shape": "arch-top", "width_m": "90 ft", "height_m": "7 ft"},
            "At most 39 ft",
        ),
        ("frame", {"name": "A", "shape": "star", "width_m": "5 ft", "height_m": "7 ft"}, "valid choice"),
        (
            "prop",
            {"name": "A", "shape": "ring", "width_m": "1 ft", "height_m": "1 ft", "depth_m": "1 ft"},
            "valid choice",
        ),
        (
            "prop",
            {"name": "A", "shape": "box", "width_m": "1 ft", "height_m": "1 ft"},
            "This field is required",
        ),
        ("foil", {"name": "A", "shape": "star", "height_m": "9 ft"}, "At most 6 ft"),
        ("cover", {"name": "A", "unit_cost": "-5"}, "At least $0.00"),
        ("cover", {"name": "A", "price_per_use": "a lot"}, "is no amount of money"),
        ("cover", {"name": "A", "turnaround_hours": "9999"}, "less than or equal to 1440"),
        ("sign", {"name": "", "nature": "reusable"}, "This field is required"),
        ("sign", {"name": "!!!", "nature": "reusable"}, "This field cannot be blank"),
        ("tool", {"name": "Ring cover"}, "already exists"),
        ("tool", {"name": "x" * 121}, "at most 120 characters"),
        ("tool", {"name": "A", "opening": "-1"}, "greater than or equal to 0"),
    ],
)
def test_a_wrong_item_is_refused_at_its_field_and_nothing_is_kept(
    stocked: Stocked, kind: str, data: dict[str, str], message: str
) -> None:
    with stocked.house.enter():
        before = Item.objects.count()
    response = posted(stocked.house.client(), stocked.house.url("stock:item-add", kind), **data)
    page = text(response)
    assert response.status_code == 422
    assert message in page.replace("&#x27;", "'")
    with stocked.house.enter():
        assert Item.objects.count() == before


def test_the_same_latex_twice_is_refused_at_its_colour(stocked: Stocked) -> None:
    with stocked.house.enter():
        oat = Colour.objects.get(code="oat")
    response = posted(
        stocked.house.client(), stocked.house.url("stock:item-add", "latex"), colour=oat.pk, size_in="11"
    )
    assert response.status_code == 422
    assert "Oat 11 in already exists, with the code latex-11-oat." in text(response)


def test_another_place_is_written_in_the_ledger(stocked: Stocked) -> None:
    ring = stocked.item(RING)
    posted(
        stocked.house.client(),
        stocked.house.url("stock:item-change", ring.pk),
        name="Ring 6 ft",
        shape="ring",
        width_m="6 ft",
        height_m="6 ft",
        place="bay D1",
    )
    page = text(stocked.house.client().get(stocked.house.url("stock:item", ring.pk)))
    assert "from bay C2 to bay D1" in page


def test_taking_out_of_use_can_be_undone_from_the_notice(stocked: Stocked) -> None:
    ring = stocked.item(RING)
    client = stocked.house.client()
    page = text(client.post(stocked.house.url("stock:item-retire", ring.pk), follow=True))
    assert stocked.house.url("stock:item-restore", ring.pk) in page
    assert stocked.item(RING).retired_at is not None
    client.post(stocked.house.url("stock:item-restore", ring.pk))
    assert stocked.item(RING).retired_at is None
