"""Undo brings back all of a quote: every field of it, of its pieces and of its lines, whatever fields there are."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.db.models import Model

from quoting.models import Choice, FreeLine, Quote, SetPiece
from quoting.quotes import sketch, steps
from quoting.quotes.sheet import Sheet
from quoting.quotes.snapshots import fields_of
from studio.people import taxes
from tests.people import House
from tests.quoting import scenes

D = Decimal
COUNTED = {"version", "changed_at", "changed_by_id"}
"""Undo is a change like any other: it counts, and is dated and signed."""
BY_HAND = {"amount": "7.50", "reason": "as said"}
PIECE: dict[str, Any] = {
    "name": "Left of the door", "choice": Choice.ON, "florals_choice": Choice.OFF, "sign_choice": Choice.ON,
    "by_hand": {"latex": BY_HAND}, "width_m": D("2.5100"), "height_m": D("2.1900"),
    "room_x_m": D("-0.750"), "room_back_m": D("1.250"),
}  # fmt: skip
LINE: dict[str, Any] = {
    "position": 4, "label": "Plinth", "quantity": D("2.125"), "unit_price": D("15.5000"), "choice": Choice.OFF,
}  # fmt: skip
QUOTE: dict[str, Any] = {
    "title": "Two arches", "distance_m": 41_250, "drive_minutes": 47, "trips": 3, "rush_percent": D("12.50"),
    "discount_reason": "a friend of the house", "client_view": "full",
    "instalments": [{"percent": "20", "due_on": "2030-04-01"}], "by_hand": {"van": BY_HAND},
}  # fmt: skip
DISCOUNTS = (
    {"discount_percent": D("4.25"), "deposit_percent": D("31.25")},
    {"discount_amount": D("11.0500"), "deposit_amount": D("40.2500")},
)
"""A share or an amount: the database refuses both at once."""


def unusual(house: House, discount: dict[str, Any]) -> Quote:
    """A quote of two pieces and a line that stands nowhere at its default."""
    quote = scenes.quote(house)
    quote = sketch.add_piece(quote.pk, scenes.starter(house.studio).pk, version=1)
    quote.pieces.update(**PIECE)
    FreeLine.objects.create(
        quote=quote, tax=taxes.add_tax(name="Reduced", percent=D(3), is_default=False), **LINE
    )
    Quote.objects.filter(pk=quote.pk).update(**QUOTE, **discount)
    return sketch.set_way(quote.pk, distance_m=41_250, drive_minutes=47, trips=3, version=quote.version)


def upset(read: Sheet) -> str:
    """Bring everything to its default, take a piece and the line out, put others in."""
    quote, (first, second) = read.quote, read.pieces
    second.delete()
    quote.free_lines.all().delete()
    FreeLine.objects.create(quote=quote, position=1, label="Ladder", unit_price=D(1))
    SetPiece.objects.create(
        quote=quote, position=7, name="Another", design=first.design, width_m=1, height_m=1, takeoff=first.takeoff,
        picture=first.picture,
    )  # fmt: skip
    for row in (quote, first):
        for field in fields_of(type(row)):
            if field.has_default() or field.null:
                setattr(row, field.attname, field.get_default())
    first.name, first.width_m, first.picture = "x", D(1), "<svg/>"
    first.save()
    quote.title = "Another title"
    return "upset"


def rows(quote_id: int) -> list[dict[str, Any]]:
    """Every column of the quote, its pieces and its lines, but what undo itself counts."""
    found: list[Model] = [
        Quote.objects.get(pk=quote_id),
        *SetPiece.objects.filter(quote=quote_id).order_by("pk"),
        *FreeLine.objects.filter(quote=quote_id).order_by("pk"),
    ]
    return [
        {
            field.attname: getattr(row, field.attname)
            for field in row._meta.concrete_fields
            if field.attname not in COUNTED
        }
        for row in found
    ]


@pytest.mark.parametrize("discount", DISCOUNTS, ids=["per cent", "amount"])
def test_undo_brings_back_every_field_of_quote_pieces_and_lines(
    wickerlark: House, discount: dict[str, Any]
) -> None:
    with wickerlark.enter():
        quote = unusual(wickerlark, discount)
        before = rows(quote.pk)
        quote = steps.change_quote(quote.pk, quote.version, upset)
        assert all(row not in rows(quote.pk) for row in before), "everything was changed"
        sketch.undo(quote.pk, version=quote.version)
        assert rows(quote.pk) == before


def test_a_snapshot_from_before_a_field_came_leaves_that_field(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        piece = quote.pieces.get()
        quote = steps.change_quote(quote.pk, quote.version, lambda _: "nothing")
        kept = quote.sketches.get()
        del kept.snapshot["pieces"][0]["room_back_m"]
        kept.save()
        SetPiece.objects.filter(pk=piece.pk).update(room_back_m=D("1.250"), name="Another")
        sketch.undo(quote.pk, version=quote.version)
        piece.refresh_from_db()
        assert (piece.room_back_m, piece.name != "Another") == (D("1.250"), True)


def test_the_values_that_undo_is_tried_with_stand_nowhere_at_a_default() -> None:
    tried: dict[type[Model], dict[str, Any]] = {
        Quote: QUOTE | DISCOUNTS[0] | DISCOUNTS[1],
        SetPiece: PIECE | {"drawn_from_id": 1},
        FreeLine: LINE | {"tax_id": 1},
    }
    for model, values in tried.items():
        for field in fields_of(model):
            if field.primary_key or not (field.has_default() or field.null):
                continue
            assert values[field.attname] != field.get_default(), f"{model.__name__}.{field.name}"
