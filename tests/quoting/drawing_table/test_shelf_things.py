"""Props and foil balloons of the shelf, as the drawing table puts them."""

from __future__ import annotations

from decimal import Decimal

from quoting.craft.design.design_file import read_design, write_design
from quoting.craft.table.acts import apply, read_act
from quoting.craft.table.shelf import Shelf
from quoting.craft.takeoff.takeoff import take_off
from quoting.drawing_table.shelf_things import find_foils, find_props
from stock.models import Item
from tests.quoting.craft.design.thing_designs import furnished

PLINTH = Item(
    studio_id=1, code="plinth", name="Plinth", kind="prop", weight_kg=Decimal("18.5"),
    outline={"shape": "plinth", "width_m": 0.4, "height_m": 0.9, "depth_m": 0.4},
)  # fmt: skip
NUMBERS = [
    Item(studio_id=1, code=f"foil-34-gold-{sign}", name=f"Gold 34 in “{sign}”", kind="foil",
         outline={"shape": "glyphs", "height_m": 0.86})
    for sign in "04"
]  # fmt: skip
STAR = Item(
    studio_id=1, code="foil-star-g", name="Star", kind="foil", outline={"shape": "star", "height_m": 0.45}
)
BARE = Item(studio_id=1, code="vase", name="Vase", kind="prop")


def test_props_with_sizes_are_put_as_they_are_and_others_are_left_out() -> None:
    (code, prop), *others = find_props([PLINTH, BARE, STAR]).items()
    assert (code, prop.look, prop.width_m, prop.weight_kg, others) == ("plinth", "plinth", 0.4, 18.5, [])


def test_digits_of_one_set_are_one_entry_under_the_code_that_the_bill_adds_its_signs_to() -> None:
    stray = Item(studio_id=1, code="gold-four", name="Gold four", kind="foil", outline=NUMBERS[0].outline)
    found = find_foils([*NUMBERS, STAR, stray])
    assert {code: (foil.label, foil.shape) for code, foil in found.items()} == {
        "foil-34-gold": ("Gold 34 in", "glyphs"), "foil-star-g": ("Star", "star"),
    }  # fmt: skip


def test_what_is_put_from_the_shelf_is_billed_under_the_shelf_s_codes() -> None:
    shelf = Shelf(props=find_props([PLINTH]), foils=find_foils(NUMBERS))
    design = furnished()
    for name, values in (
        ("put-prop", {"item": "plinth", "x_m": 2.0}),
        ("put-foil", {"item": "foil-34-gold", "text": "40", "x_m": 2.0, "y_m": 1.6}),
    ):
        design = apply(design, read_act(name, values), shelf).design
    codes = {line.code for line in take_off(read_design(write_design(design))).bill()}
    assert {"plinth", "foil-34-gold-4", "foil-34-gold-0"} <= codes
