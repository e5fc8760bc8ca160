"""Pieces told apart by their tags: the item's numbers follow what becomes of each."""

from __future__ import annotations

import re
from datetime import date, timedelta

import pytest
from django.db import DatabaseError, transaction
from django.utils import timezone

from stock.care import tagged_items
from stock.care.tagged_items import CannotTag
from stock.catalogue.items import Material
from stock.holds import holds
from stock.ledger import movements
from stock.models import MovementKind, Piece
from tests.people import House
from tests.stock.conftest import OAT_11, RING, Stocked
from tests.stock.pages import text


def free(stocked: Stocked) -> int:
    """How many rings are free at noon of the day after tomorrow."""
    from stock.holds.availability import availability

    return availability([Material(RING, 1)], stocked.days(2, 2.5))[0].free


def test_a_piece_in_mending_is_one_fewer_until_it_is_back(stocked: Stocked) -> None:
    ring = stocked.item(RING)
    with stocked.house.enter("staff"):
        bent = tagged_items.add_tag(ring.pk, tag="B", note="dent at the left foot")
        assert free(stocked) == 2
        until = timezone.now() + timedelta(days=9)
        tagged_items.send_to_repair(bent.pk, until=until, why="weld", key="m")
        assert free(stocked) == 1
        found = tagged_items.find_tagged_item(bent.pk)
        assert found.is_mending
        assert found.mending is not None
        assert found.mending.label == "repair: B: weld"
        with pytest.raises(CannotTag, match="already in repair"), transaction.atomic():
            tagged_items.send_to_repair(bent.pk, until=until, why="", key="m2")
        tagged_items.return_from_repair(bent.pk)
        assert free(stocked) == 2
        assert not tagged_items.find_tagged_item(bent.pk).is_mending
        with pytest.raises(CannotTag, match="isn’t in repair"), transaction.atomic():
            tagged_items.return_from_repair(bent.pk)


def test_a_piece_counts_again_when_its_hold_is_ended_on_the_items_page(stocked: Stocked) -> None:
    with stocked.house.enter():
        bent = tagged_items.add_tag(stocked.item(RING).pk, tag="B")
        mended = tagged_items.send_to_repair(
            bent.pk, until=timezone.now() + timedelta(days=9), why="", key="m"
        )
        assert mended.mending_id is not None
        holds.back_in_service(mended.mending_id, key="k")
        assert not tagged_items.find_tagged_item(bent.pk).is_mending


def test_a_piece_out_of_use_is_written_off_once_and_leaves_its_mending(stocked: Stocked) -> None:
    ring = stocked.item(RING)
    with stocked.house.enter():
        bent = tagged_items.add_tag(ring.pk, tag="B")
        tagged_items.send_to_repair(bent.pk, until=timezone.now() + timedelta(days=9), why="", key="m")
        tagged_items.retire_tagged_item(bent.pk, kind=MovementKind.BROKEN, reason="past welding", key="r")
        assert movements.balances([ring.pk]) == {ring.pk: 1}
        assert free(stocked) == 1
        movement = ring.movements.first()
        assert movement is not None
        assert (movement.kind, movement.quantity, movement.reason) == ("broken", -1, "B: past welding")
        with pytest.raises(CannotTag, match="out of use"), transaction.atomic():
            tagged_items.retire_tagged_item(bent.pk, kind=MovementKind.LOST, reason="", key="r2")
        assert movements.find_mismatches() == []


def test_no_more_pieces_are_tagged_than_there_are_and_no_tag_twice(stocked: Stocked) -> None:
    ring = stocked.item(RING)
    with stocked.house.enter():
        tagged_items.add_tag(ring.pk, tag="A")
        for tag, words in (("A", "The tag A is already used"), (" ", "Enter a tag")):
            with pytest.raises(CannotTag, match=words), transaction.atomic():
                tagged_items.add_tag(ring.pk, tag=tag)
        tagged_items.add_tag(ring.pk, tag="B")
        with pytest.raises(CannotTag, match="You own 2 of it"), transaction.atomic():
            tagged_items.add_tag(ring.pk, tag="C")
        with pytest.raises(CannotTag, match="Only reusable items"), transaction.atomic():
            tagged_items.add_tag(stocked.item(OAT_11).pk, tag="A")
        with pytest.raises(DatabaseError, match="stock_piece_tag_key"), transaction.atomic():
            Piece.objects.create(item=ring, tag="A")


def test_the_pages_tag_mend_bring_back_and_retire(stocked: Stocked) -> None:
    house, ring, client = stocked.house, stocked.item(RING), stocked.house.client("staff")
    item = house.url("stock:item", ring.pk)
    facts = {"tag-tag": "B", "tag-note": "dent"}
    assert client.post(house.url("stock:item-tag", ring.pk), facts).status_code == 302
    again = client.post(house.url("stock:item-tag", ring.pk), facts)
    assert again.status_code == 422
    assert "The tag B is already used." in text(again)
    assert 'value="dent"' in text(again)
    with house.enter():
        bent = Piece.objects.get()
    assert "ready to use" in text(house.client("crew").get(item))
    page = house.url("stock:tagged-item", bent.pk)
    keys = dict(re.findall(r'name="(mend|retire)-key" value="([^"]+)"', text(client.get(page))))
    day = date.today() + timedelta(days=5)  # noqa: DTZ011 - far enough for any zone
    for wrong in ("", "2001-01-01", "soon"):
        answer = client.post(
            house.url("stock:tagged-item-repair", bent.pk), {"mend-key": keys["mend"], "mend-until": wrong}
        )
        assert answer.status_code == 422
    sent = {"mend-key": keys["mend"], "mend-until": day.isoformat(), "mend-why": "weld"}
    assert client.post(house.url("stock:tagged-item-repair", bent.pk), sent).status_code == 302
    assert "in repair until" in text(client.get(item))
    assert "Return to service" in text(client.get(page))
    assert client.post(house.url("stock:tagged-item-return", bent.pk)).status_code == 302
    assert (
        client.post(
            house.url("stock:tagged-item-rename", bent.pk), {"tag-tag": "B2", "tag-note": ""}
        ).status_code
        == 302
    )
    sent = {"retire-key": keys["retire"], "retire-kind": "lost", "retire-reason": ""}
    assert client.post(house.url("stock:tagged-item-retire", bent.pk), sent).status_code == 302
    assert "1 of 1 here" in text(client.get(item))
    assert client.get(page).status_code == 200


def test_crew_and_other_studios_look_after_no_piece(stocked: Stocked, federkorn: House) -> None:
    house = stocked.house
    with house.enter():
        bent = tagged_items.add_tag(stocked.item(RING).pk, tag="B")
    assert house.client("crew").get(house.url("stock:tagged-item", bent.pk)).status_code == 403
    for name in ("tagged-item-rename", "tagged-item-repair", "tagged-item-return", "tagged-item-retire"):
        assert house.client("crew").post(house.url(f"stock:{name}", bent.pk)).status_code == 403
        assert federkorn.client().post(federkorn.url(f"stock:{name}", bent.pk)).status_code == 404
