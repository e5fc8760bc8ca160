"""Kits: written down on a page, held and answered for as their parts, counted whole."""

from __future__ import annotations

import pytest
from django.core.exceptions import ValidationError
from django.db import DatabaseError, connection, transaction
from django.test.utils import CaptureQueriesContext

from stock.catalogue import items
from stock.catalogue.items import Material
from stock.holds import availability, holds
from stock.kits import kits
from stock.ledger import movements
from stock.models import HoldLine, Item, Kind, Kit, KitPart
from tests.people import House
from tests.stock.conftest import COVER, OAT_11, RING, Stocked
from tests.stock.pages import text


@pytest.fixture
def ring_kit(stocked: Stocked) -> Kit:
    """A ring, its cover and 20 rounds to dress its foot."""
    with stocked.house.enter():
        ids = dict(Item.objects.values_list("code", "pk"))
        return kits.save_kit(
            None, name="Ring dressed", note="", parts={ids[RING]: 1, ids[COVER]: 1, ids[OAT_11]: 20}
        )


def test_a_kit_is_held_as_its_parts_beside_what_else_is_asked(stocked: Stocked, ring_kit: Kit) -> None:
    with stocked.house.enter():
        needs = [Material("kit-ring-dressed", 1), Material(OAT_11, 5)]
        answer = holds.hold(label="Fair", window=stocked.days(5, 6), needs=needs, key="k")
        assert set(answer.lines) == {Material(RING, 1), Material(COVER, 1), Material(OAT_11, 25)}
        again = holds.change(answer.hold_id, needs=[Material("kit-ring-dressed", 1)], key="c")
        assert set(again.lines) == {Material(RING, 1), Material(COVER, 1), Material(OAT_11, 20)}
        with pytest.raises(holds.NotFree, match="Ring cover: 0 free of 1"):
            holds.hold(
                label="Gala", window=stocked.days(5, 6), needs=[Material("kit-ring-dressed", 1)], key="l"
            )
        assert HoldLine.objects.count() == 3


def test_what_is_free_is_told_part_by_part_and_a_kit_that_is_gone_is_unknown(
    stocked: Stocked, ring_kit: Kit
) -> None:
    with stocked.house.enter():
        needs = [Material("kit-ring-dressed", 2), Material("kit-of-nobody", 1)]
        found = {each.code: each for each in availability.availability(needs, stocked.days(5, 6))}
        assert (found[RING].short, found[COVER].short, found[OAT_11].needed) == (0, 1, 40)
        assert found["kit-of-nobody"].is_unknown


def test_the_parts_of_a_kit_are_read_in_one_further_query(stocked: Stocked, ring_kit: Kit) -> None:
    counts = []
    for needs in (
        [Material(RING, 1), Material(COVER, 1), Material(OAT_11, 20)],
        [Material("kit-ring-dressed", 1)],
    ):
        with stocked.house.enter(), CaptureQueriesContext(connection) as queries:
            availability.availability(needs, stocked.days(5, 6))
        counts.append(len(queries))
    assert counts[1] == counts[0] + 1


def test_the_page_counts_whole_kits_and_keeps_the_parts_that_are_typed(stocked: Stocked) -> None:
    client, house = stocked.house.client("staff"), stocked.house
    ring, cover = stocked.item(RING), stocked.item(COVER)
    sent = {
        "name": "Ring & cover",
        "note": "",
        "item_0": ring.pk,
        "quantity_0": "",
        "item_1": cover.pk,
        "quantity_1": 1,
    }
    assert client.post(house.url("stock:kit-add"), sent).status_code == 302
    page = text(client.get(house.url("stock:kits")))
    assert "Ring &amp; cover" in page
    assert "1 <small>complete</small>" in page
    with house.enter():
        kit = Kit.objects.get()
        assert kit.code == "kit-ring-cover"
    address = house.url("stock:kit-change", kit.pk)
    assert client.post(address, {**sent, "name": "Ring set", "quantity_0": 3}).status_code == 302
    assert "none complete" in text(client.get(house.url("stock:kits")))
    with house.enter():
        assert dict(KitPart.objects.values_list("item__code", "quantity")) == {RING: 3, COVER: 1}
        assert Kit.objects.get().code == "kit-ring-cover"
    assert client.post(house.url("stock:kit-delete", kit.pk)).status_code == 302
    with house.enter():
        assert not Kit.objects.exists()
        assert Item.objects.filter(code=RING).exists()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"name": ""}, "required"),
        ({"name": "!!!"}, "field-wrong"),
        ({"item_0": ""}, "Choose an item"),
        ({"item_0": "", "quantity_0": ""}, "at least one part"),
        ({"quantity_0": "0"}, "greater than or equal to 1"),
        ({"quantity_0": "lots"}, "whole number"),
        ({"item_0": "999999"}, "field-wrong"),
        ({"item_1": "ring", "quantity_1": "1"}, "already"),
    ],
)
def test_what_is_no_kit_is_said_at_its_field_and_stays(
    stocked: Stocked, change: dict[str, str], words: str
) -> None:
    ring = stocked.item(RING)
    sent = {"name": "Set", "note": "keep me", "item_0": str(ring.pk), "quantity_0": "2", **change}
    sent = {key: str(ring.pk) if value == "ring" else value for key, value in sent.items()}
    answer = stocked.house.client().post(stocked.house.url("stock:kit-add"), sent)
    assert answer.status_code == 422
    assert words in text(answer)
    assert "keep me" in text(answer)
    with stocked.house.enter():
        assert not Kit.objects.exists()


def test_two_kits_of_one_name_and_items_with_a_kits_code_are_refused(stocked: Stocked, ring_kit: Kit) -> None:
    with stocked.house.enter():
        ring = Item.objects.get(code=RING)
        with pytest.raises(ValidationError, match="already"):
            kits.save_kit(None, name="Ring dressed", note="", parts={ring.pk: 1})
        with pytest.raises(ValidationError, match="reserved for kits"):
            items.add_item(kind=Kind.TOOL, name="Kit of tools")
        with pytest.raises(DatabaseError, match="stock_kitpart_some"), transaction.atomic():
            KitPart.objects.create(kit=ring_kit, item=ring, quantity=0)
        with pytest.raises(DatabaseError, match="stock_kit_code_shape"), transaction.atomic():
            Kit.objects.create(code="ring", name="No kit's code")


def test_crew_see_kits_and_change_none_and_another_studio_finds_none(
    stocked: Stocked, ring_kit: Kit, federkorn: House
) -> None:
    house, crew = stocked.house, stocked.house.client("crew")
    assert crew.get(house.url("stock:kits")).status_code == 200
    assert crew.get(house.url("stock:kit-change", ring_kit.pk)).status_code == 403
    assert crew.post(house.url("stock:kit-delete", ring_kit.pk)).status_code == 403
    assert federkorn.client().get(federkorn.url("stock:kit-change", ring_kit.pk)).status_code == 404
    with federkorn.enter():
        found = availability.availability([Material("kit-ring-dressed", 1)], stocked.days(5, 6))
        assert found[0].is_unknown


def test_the_page_takes_as_few_queries_with_many_kits(stocked: Stocked, ring_kit: Kit) -> None:
    client, address = stocked.house.client(), stocked.house.url("stock:kits")

    def queries() -> int:
        with CaptureQueriesContext(connection) as seen:
            assert client.get(address).status_code == 200
        return len(seen)

    queries()
    before = queries()
    with stocked.house.enter():
        for number in range(9):
            item = items.add_item(kind=Kind.TOOL, name=f"Pump {number}")
            movements.receive(item.pk, 4, key=f"r{number}")
            kits.save_kit(None, name=f"Set {number}", note="", parts={item.pk: 2})
    assert queries() == before


def test_a_kit_has_parts_of_this_studio_and_at_least_one_of_each(stocked: Stocked) -> None:
    ring = stocked.item(RING).pk
    with stocked.house.enter():
        for parts, says in (
            ({}, f"1 to {kits.MOST_PARTS} parts"),
            (dict.fromkeys(range(1, kits.MOST_PARTS + 2), 1), f"1 to {kits.MOST_PARTS} parts"),
            ({ring: 0}, "at least one of each part"),
            ({ring: 1, ring + 10**6: 1}, "isn’t among your items"),
        ):
            with pytest.raises(ValidationError, match=says):
                kits.save_kit(None, name="Ring set", note="", parts=parts)
        assert not Kit.objects.exists()
