"""What tests put down in one go are the rows that the catalogue would have written one by one."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.db import transaction
from django.db.models import Model

from quoting.models import SupplyKind
from quoting.quotes import sheet
from quoting.supplies import supplies
from stock.catalogue import items
from stock.ledger import movements
from stock.models import Colour, Item, Kind, Movement, MovementKind
from studio.models import entered_studio
from tests import shelf
from tests.people import House
from tests.quoting import offer_scenes, scenes

OUTLINE = {"shape": "ring", "width_m": 1.83, "height_m": 1.83}


def facts(row: Model) -> dict[str, Any]:
    """The row's columns, but for those that no two rows share."""
    return {
        field.attname: getattr(row, field.attname)
        for field in row._meta.concrete_fields
        if field.attname not in {"id", "studio_id", "added_at", "colour_id"}
    }


@pytest.mark.parametrize(
    ("kind", "given"),
    [
        (Kind.LATEX, {"size_in": 11, "bag_size": 100, "bag_price": Decimal(14)}),
        (Kind.TWISTING, {"bag_size": 100}),
        (
            Kind.FRAME,
            {"name": "Ring 6 ft", "outline": OUTLINE, "unit_cost": Decimal(120), "expected_uses": 40},
        ),
        (Kind.COVER, {"name": "Ring cover oat", "code": "cover-oat", "turnaround_hours": 30, "place": "F"}),
        (Kind.FLORAL, {"name": "Greenery", "place": "loft"}),
        (Kind.HARDWARE, {"name": "Binder clip", "code": "clip-binder", "unit_cost": Decimal("0.30")}),
    ],
)
def test_an_item_is_as_the_catalogue_adds_it(
    wickerlark: House, federkorn: House, kind: Kind, given: dict[str, Any]
) -> None:
    with wickerlark.enter():
        colour = items.add_colour(name="Oat", hex="#E2CFA6") if kind in {Kind.LATEX, Kind.TWISTING} else None
        added = facts(Item.objects.get(pk=items.add_item(kind=kind, colour=colour, **given).pk))
        looks = [facts(each) for each in Colour.objects.all()]
    with federkorn.enter():
        oat = shelf.colours({"Oat": "#E2CFA6"})["oat"]
        if kind == Kind.LATEX:
            made = shelf.latex(oat, **given)
        elif kind == Kind.TWISTING:
            made = shelf.twisting(oat, **given)
        else:
            made = shelf.thing(kind, **given)
        shelf.put([(made, 7)])
        assert facts(Item.objects.get()) == added
        assert [facts(each) for each in Colour.objects.all()] == looks or colour is None


def test_the_ledger_knows_of_what_was_put_down(wickerlark: House) -> None:
    with wickerlark.enter():
        rows = [(shelf.thing(Kind.FLORAL, "Greenery"), 40), (shelf.thing(Kind.SIGN, "Welcome"), 0)]
        put = shelf.put(rows, kind=MovementKind.RECEIVED)
        (written,) = Movement.objects.all()
        assert (written.item_id, written.kind, written.quantity) == (
            put["greenery"].pk,
            MovementKind.RECEIVED,
            40,
        )
        balances = movements.balances(item.pk for item in put.values())
        assert balances == {put["greenery"].pk: 40, put["welcome"].pk: 0}
        assert movements.find_mismatches() == []


def test_every_item_of_the_quoting_rooms_shelf_is_one_that_the_catalogue_takes(wickerlark: House) -> None:
    with wickerlark.enter():
        for item in scenes.stocked().values():
            item.full_clean(exclude=["studio"])


def test_latex_to_be_bought_for_a_quote_is_listed_as_the_product_lists_it(wickerlark: House) -> None:
    def listed() -> list[dict[str, Any]]:
        return [facts(row) for model in (Colour, Item) for row in model.objects.order_by("code")]

    with wickerlark.enter():
        quote = offer_scenes.with_gaps(wickerlark)
        with transaction.atomic():
            missing = supplies.find_missing(sheet.read_sheet(quote, entered_studio(), pictures=False))
            choice = supplies.Choice(SupplyKind.BUY, supplies.latest_day(quote), cost=Decimal(0))
            supplies.plan_supplies(quote.pk, {one.code: choice for one in missing})
            by_the_product = listed()
            transaction.set_rollback(True)
        assert len(by_the_product) > len(listed()) + 10
        offer_scenes.plan_all(quote)
        assert listed() == by_the_product
