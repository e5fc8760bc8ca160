"""Wear: uses on jobs that are over, earnings, cost per use."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from stock.care import wear
from stock.catalogue import items
from stock.catalogue.items import Material
from stock.holds import holds
from stock.models import Item
from tests.stock.conftest import RING, Stocked
from tests.stock.pages import text


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
        worn = wear.find_wear(Item.objects.get(code=RING))
    assert (worn.uses, worn.pieces, worn.uses_each) == (4, 2, Decimal(2))
    assert worn.is_worn
    assert worn.earned == 180
    assert worn.cost_per_use == 60
    pages = {role: text(stocked.house.client(role).get(stocked.house.url("stock:item", ring.pk))) for role in
             ("owner", "staff", "crew")}  # fmt: skip
    assert "$180.00" in pages["owner"]
    assert "180.00" not in pages["staff"] + pages["crew"]
    assert "Uses</dt> <dd>4 in all, 2 per piece" in pages["crew"]


def _past(stocked: Stocked, key: str, window: Any) -> None:
    """A job of the past, as the product keeps it: only the studio's own records may be loaded so late."""
    from studio import tenancy
    from studio.tenancy.rights import Role

    with tenancy.entered(stocked.house.studio.pk, role=Role.SYSTEM):
        made = holds.hold(label=key, window=window, needs=[Material(RING, 2)], key=key)
        holds.count_back(made.hold_id, used=[], key=f"back-{key}")
