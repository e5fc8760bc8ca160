"""Age of latex, wear, washing and mending: what is left, what counts again and when."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied

from stock.orders import orders
from stock.suppliers import suppliers
from stock.orders.orders import Wanted
from stock.care import age, wear
from stock.care.shelf_life import Arrival, layers
from stock.catalogue import items, rules
from stock.catalogue.items import Material
from stock.holds import availability, holds
from stock.items.presenter import item_page
from stock.ledger import movements
from stock.models import Hold, Item, Purpose
from tests.stock.conftest import COVER, INK_5, OAT_11, RING, Stocked

MONDAY = datetime(2026, 3, 2, 9, tzinfo=UTC)


def text(response: Any) -> str:
    return re.sub(r"\s+", " ", response.content.decode())


# --- Age ---


def test_the_oldest_leaves_first_so_the_newest_are_left() -> None:
    # First in, first out: a principle of bookkeeping (IAS 2, paragraph 27). By hand: 100, then 50, then 80 came
    # in, 90 are left: all 80 of the last and 10 of the second.
    arrivals = [
        Arrival(MONDAY + timedelta(days=number), pieces) for number, pieces in enumerate((100, 50, 80))
    ]
    left = layers(90, reversed(arrivals))
    assert [(layer.at, layer.left) for layer in left] == [
        (MONDAY + timedelta(days=1), 10),
        (MONDAY + timedelta(days=2), 80),
    ]


def test_what_was_found_while_counting_is_as_old_as_the_oldest() -> None:
    arrivals = [Arrival(MONDAY, 20, "B"), Arrival(MONDAY - timedelta(days=9), 10, "A")]
    assert [(layer.batch, layer.left) for layer in layers(45, arrivals)] == [("A", 25), ("B", 20)]
    assert layers(0, arrivals) == []
    assert layers(5, []) == []


def test_latex_past_the_studios_shelf_life_is_named_with_its_pieces(stocked: Stocked) -> None:
    oat, ink = stocked.item(OAT_11), stocked.item(INK_5)
    with stocked.house.enter():
        movements.receive(ink.pk, 60, key="old", at=stocked.now - timedelta(days=400), batch="L1")
        movements.receive(ink.pk, 40, key="new", at=stocked.now - timedelta(days=10))
        movements.use(ink.pk, 30, key="used")
        (each,) = age.old()
        assert (each.item.pk, each.pieces) == (ink.pk, 30)
        movements.use(ink.pk, 30, key="used-2")
        assert age.old() == []
        rules.change_rules(latex_life_days=7)
        assert {each.item.pk: each.pieces for each in age.old()} == {ink.pk: 40}
        assert [each.item.pk for each in age.old(within=timedelta(days=30))] == [ink.pk, oat.pk]
    page = text(stocked.house.client("crew").get(stocked.house.url("stock:item", ink.pk)))
    assert "past its best" in page


def test_only_who_runs_the_studio_changes_its_rules(stocked: Stocked) -> None:
    with stocked.house.enter("staff"), pytest.raises(PermissionDenied):
        rules.change_rules(latex_life_days=7)


# --- Wear ---


def test_a_use_is_a_piece_out_on_a_job_that_is_over(stocked: Stocked) -> None:
    ring = stocked.item(RING)
    with stocked.house.enter():
        items.change_item(ring, price_per_use=Decimal(45), unit_cost=Decimal(120), expected_uses=2, note="")
        for number, days in enumerate(((-9, -8), (-6, -5), (4, 5))):
            window = stocked.days(*days)
            with stocked.house.enter("owner"):
                key = f"job-{number}"
                if days[1] > 0:
                    holds.hold(label=key, window=window, needs=[Material(RING, 2)], key=key)
                    continue
            _past(stocked, key, window)
        worn = wear.wear_of(Item.objects.get(code=RING))
    assert (worn.uses, worn.pieces, worn.uses_each) == (4, 2, Decimal(2))
    assert worn.is_worn
    assert worn.earned == 180
    assert worn.cost_per_use == 60
    pages = {role: text(stocked.house.client(role).get(stocked.house.url("stock:item", ring.pk))) for role in
             ("owner", "staff", "crew")}  # fmt: skip
    assert "$180.00" in pages["owner"]
    assert "180.00" not in pages["staff"] + pages["crew"]
    assert "Was out</dt><dd>4 times, 2 a piece" in pages["crew"]


def _past(stocked: Stocked, key: str, window: Any) -> None:
    """A job of the past, as the product keeps it: only the studio's own records may be loaded so late."""
    from studio import tenancy
    from studio.tenancy.rights import Role

    with tenancy.entered(stocked.house.studio.pk, role=Role.SYSTEM):
        made = holds.hold(label=key, window=window, needs=[Material(RING, 2)], key=key)
        holds.count_back(made.hold_id, used=[], key=f"back-{key}")


# --- Wash and mending ---


def test_what_is_mended_counts_again_on_its_day(stocked: Stocked) -> None:
    ring = stocked.item(RING)
    with stocked.house.enter("staff"):
        holds.set_aside(
            ring.pk,
            1,
            until=stocked.now + timedelta(days=6),
            purpose=Purpose.MENDING,
            why="foot bent",
            key="m",
        )
        (before,) = availability.availability([Material(RING, 2)], stocked.days(5, 5.5))
        (after,) = availability.availability([Material(RING, 2)], stocked.days(6, 7))
        assert (before.free, before.short) == (1, 1)
        assert before.back_at == stocked.now + timedelta(days=6)
        assert after.short == 0
        with pytest.raises(holds.NotFree):
            holds.hold(label="Fair", window=stocked.days(5, 5.5), needs=[Material(RING, 2)], key="k")


def test_what_breaks_makes_a_job_short_rather_than_being_refused(stocked: Stocked) -> None:
    cover = stocked.item(COVER)
    with stocked.house.enter():
        holds.hold(label="Fair", window=stocked.days(3, 4), needs=[Material(COVER, 1)], key="k")
        aside = holds.set_aside(
            cover.pk, 1, until=stocked.now + timedelta(days=9), purpose=Purpose.MENDING, key="m"
        )
        (short,) = availability.shortages()
        assert (short.label, short.short) == ("Fair", 1)
        holds.back_in_service(aside.hold_id, key="b")
        assert availability.shortages() == []
        with pytest.raises(holds.NoSuchHold):
            holds.back_in_service(aside.hold_id, key="b2")


@pytest.mark.parametrize(("quantity", "days"), [(0, 3), (3, 3), (1, -1), (1, 9999)])
def test_setting_aside_nonsense_writes_nothing(stocked: Stocked, quantity: int, days: int) -> None:
    ring = stocked.item(RING)
    with stocked.house.enter():
        with pytest.raises(holds.CannotHold):
            holds.set_aside(
                ring.pk, quantity, until=stocked.now + timedelta(days=days), purpose=Purpose.WASH, key="m"
            )
        assert not Hold.objects.exists()


def test_a_job_is_not_ended_by_the_button_of_the_wash(stocked: Stocked) -> None:
    with stocked.house.enter():
        job = holds.hold(label="Fair", window=stocked.days(3, 4), needs=[Material(RING, 1)], key="k")
        with pytest.raises(holds.NoSuchHold):
            holds.back_in_service(job.hold_id, key="b")
        assert Hold.objects.get().state == "held"


def test_the_item_page_sets_aside_and_brings_back(stocked: Stocked) -> None:
    ring = stocked.item(RING)
    client = stocked.house.client("staff")
    address = stocked.house.url("stock:item", ring.pk)
    key = re.search(r'name="set_aside-key" value="([^"]+)"', client.get(address).content.decode())
    assert key is not None
    day = (stocked.now + timedelta(days=4)).date().isoformat()
    data = {"set_aside-key": key[1], "set_aside-quantity": "1", "set_aside-purpose": "mending"}
    wrong = client.post(stocked.house.url("stock:set-aside", ring.pk), {**data, "set_aside-until": "soon"})
    assert wrong.status_code == 422
    assert (
        client.post(
            stocked.house.url("stock:set-aside", ring.pk), {**data, "set_aside-until": day}
        ).status_code
        == 302
    )
    with stocked.house.enter():
        hold = Hold.objects.get()
    assert "counts again now" in text(client.get(address))
    client.post(stocked.house.url("stock:back-in-service", ring.pk, hold.pk))
    assert "Nothing ahead holds it." in text(client.get(address))


# --- What is left when ---


def test_the_item_page_projects_jobs_and_deliveries_and_says_when_to_order(stocked: Stocked) -> None:
    ink = stocked.item(INK_5)
    with stocked.house.enter():
        supplier = suppliers.add_supplier(name="Harbour Wholesale", lead_days=3)
        suppliers.set_price(supplier, ink, bag_size=100, price=Decimal(8))
        order = orders.write(supplier.pk, [Wanted(ink.pk, 100, 1, Decimal(8))], key="o")
        orders.send(order.pk)
        holds.hold(label="Fair", window=stocked.days(20, 21), needs=[Material(INK_5, 130)], key="k")
    page = text(stocked.house.client("crew").get(stocked.house.url("stock:item", ink.pk)))
    needed = (stocked.now + timedelta(days=20)).astimezone(stocked.house.studio.tz).date()
    order_by = needed - timedelta(days=4)
    assert f"Order by <strong>{order_by:%a} {order_by.day} {order_by:%b}</strong>" in page
    assert "+100" in page
    assert "30 short" in page


def test_the_rules_have_a_page_of_the_owners(stocked: Stocked) -> None:
    client, address = stocked.house.client(), stocked.house.url("stock:rules")
    assert 'value="365"' in client.get(address).content.decode()
    facts = {"latex_life_days": "200", "never_short_percent": "97,5", "look_back_weeks": "12"}
    assert client.post(address, facts).status_code == 302
    with stocked.house.enter():
        kept = rules.rules()
        assert (kept.latex_life_days, float(kept.never_short_percent), kept.look_back_weeks) == (
            200,
            97.5,
            12,
        )
    for wrong in ({"latex_life_days": "3"}, {"never_short_percent": "100"}, {"look_back_weeks": "some"}):
        answer = client.post(address, facts | wrong)
        assert answer.status_code == 422
        assert "field-wrong" in answer.content.decode()
        assert f'value="{next(iter(wrong.values()))}"' in answer.content.decode()
    assert stocked.house.client("staff").get(address).status_code == 403


def test_what_is_all_away_says_from_when_on_one_is_free_for_a_day(stocked: Stocked) -> None:
    cover = stocked.item(COVER)
    with stocked.house.enter():
        for number, days in enumerate(((0.001, 2), (4, 5))):
            needs = [Material(COVER, 1)]
            holds.hold(label="Fair", window=stocked.days(*days), needs=needs, key=f"k{number}")
        # Back after two days and 30 hours of wash, but too late to be out and washed before the fourth.
        found = item_page(cover, stocked.house.studio)
        assert found.next_free == stocked.days(0, 5).end + timedelta(hours=30)
        assert item_page(stocked.item(RING), stocked.house.studio).next_free is None
