"""Things made larger and turned by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import MultiPoint, box
from shapely.affinity import rotate, translate

from quoting.craft.design.things import Spray
from quoting.craft.table.acted import SaidCode
from quoting.craft.table.acts import apply, read_act
from quoting.craft.table.handles import table_view
from quoting.craft.table.shelf import Shelf, ShelfFoil, ShelfProp
from quoting.craft.table.sizing import own_size, size_view, turn_view
from tests.quoting.craft.table.tables import ARCHES, LOW, SHELF, TALL, codes, done, table

PLINTHS = {
    f"plinth-{high}": ShelfProp(
        label=f"Plinth {high}", look="plinth", width_m=0.35, height_m=high / 100, depth_m=0.35
    )
    for high in (60, 90)
}
FOILS = {
    "digits-34": ShelfFoil(label="Digits 34 in", shape="glyphs", flat_m=0.86, glyphs="0123456789"),
    "digits-16": ShelfFoil(label="Digits 16 in", shape="glyphs", flat_m=0.4, glyphs="0123456789"),
    "love": ShelfFoil(label="Letters 26 in", shape="glyphs", flat_m=0.65, glyphs="love"),
}
OWNED = Shelf(props=PLINTHS, foils=FOILS, frames={"arch-top": ARCHES})


@given(st.floats(-180, 180))
def test_the_corners_of_a_turned_thing_are_those_of_its_turned_box(deg: float) -> None:
    # Source: shapely, affine rotation; it turns anticlockwise.
    fern = Spray(id="s", item="fern", label="Fern", hex="#7E9A78", x_m=0.4, y_m=1.1, turn_deg=deg)
    view = size_view(table(), fern, Shelf())
    assert view is not None
    turned = translate(rotate(box(-0.075, -0.15, 0.075, 0.15), -deg, origin=(0, 0)), 0.4, 1.1)
    assert MultiPoint(view.corners).convex_hull.symmetric_difference(turned).area < 2e-3 * turned.length


def test_a_thing_is_turned_by_what_stands_over_its_top() -> None:
    foil = done(table(), "put-foil", text="6", x_m=0.0, y_m=1.0).design.foils[0]
    upright, lying = (turn_view(table(), replace(foil, turn_deg=deg)) for deg in (0.0, 90.0))
    assert upright is not None
    assert lying is not None
    arm = upright.grip[1] - 1.0
    assert arm > own_size(foil)[1] / 2
    assert lying.grip == pytest.approx((arm, 1.0), abs=1e-3)
    assert turn_view(table(), LOW) is None


def test_turned_by_its_grip_a_thing_points_at_the_hand() -> None:
    design = done(table(), "put-foil", text="6", x_m=0.0, y_m=1.0).design
    for deg in (-135.0, -15.0, 30.0, 180.0):
        after = done(design, "turn", thing="foil:foil-1", deg=deg).design
        view = turn_view(after, after.foils[0])
        assert view is not None
        pointed = math.degrees(math.atan2(view.grip[0] - view.about[0], view.grip[1] - view.about[1]))
        assert pointed % 360 == pytest.approx(deg % 360, abs=0.2)


def test_a_part_of_a_ring_turned_from_upright_has_the_degrees_it_was_given() -> None:
    ring = replace(LOW, shape="part-ring", width_m=1.5, height_m=1.5, cover=None)
    after = done(table(ring), "turn", thing="frame:low", deg=-45.0).design
    view = turn_view(after, after.frames[0])
    assert view is not None
    assert view.deg == -45.0


def test_a_turned_thing_given_its_own_size_stays_as_it_is() -> None:
    design = done(table(), "put-spray", item="fern", x_m=0.0, y_m=1.0).design
    design = done(design, "turn", thing="spray:spray-1", deg=90).design
    wide, high = own_size(design.sprays[0])
    same = done(design, "resize", thing="spray:spray-1", width_m=wide, height_m=high).design
    assert same.sprays == design.sprays


def test_a_prop_of_the_studio_comes_in_the_sizes_that_it_owns() -> None:
    design = apply(table(), read_act("put-prop", {"item": "plinth-60"}), OWNED).design
    view = size_view(design, design.props[0], OWNED)
    assert view is not None
    assert [choice.label for choice in view.choices] == ["Plinth 60", "Plinth 90"]
    act = read_act("resize", {"thing": "prop:prop-1", "width_m": 0.35, "height_m": 0.8})
    acted = apply(design, act, OWNED)
    assert (acted.design.props[0].item, acted.design.props[0].height_m) == ("plinth-90", 0.9)
    assert codes(acted) == [SaidCode.RESIZED, SaidCode.NEAREST_SIZE]
    assert acted.said[0].figures["height_m"] == 0.9


def test_a_foil_number_becomes_no_set_of_letters() -> None:
    design = apply(table(), read_act("put-foil", {"item": "digits-34", "text": "6"}), OWNED).design
    act = read_act("resize", {"thing": "foil:foil-1", "width_m": 0.3, "height_m": 0.5})
    after = apply(design, act, OWNED).design
    assert (after.foils[0].item, after.foils[0].flat_m) == ("digits-16", 0.4)


def test_what_the_studio_does_not_own_takes_any_size() -> None:
    design = done(table(), "put-prop", look="box").design
    acted = done(design, "resize", thing="prop:prop-1", width_m=0.5, height_m=0.7)
    assert acted.design.props[0].height_m == 0.7
    assert codes(acted) == [SaidCode.RESIZED]


def test_every_thing_but_garlands_and_bent_frames_has_corners() -> None:
    design = done(table(TALL, LOW), "put-garland", points=[(-2, 1), (2, 1)]).design
    for name, values in (
        ("put-round", {}), ("put-foil", {}), ("put-prop", {}), ("put-sign", {"item": "board"}), ("put-bouquet", {}),
        ("put-frame", {"shape": "free", "x_m": 4.0}), ("put-column", {"x_m": -3.0}), ("put-wall", {}),
    ):  # fmt: skip
        design = done(design, name, **values).design
    corners = {
        thing.ref.split(":")[0] + str(len(thing.size.corners) if thing.size else 0)
        for thing in table_view(design, None, SHELF).things
    }
    assert corners == {
        "frame4", "frame0", "frame1", "garland0", "round4", "foil4", "prop4", "sign4", "bouquet1", "wall4",
    }  # fmt: skip
