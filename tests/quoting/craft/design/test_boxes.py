"""The room that single things take up."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely import Polygon, affinity, box

from quoting.craft.change.edit import mirrored
from quoting.craft.design.boxes import thing_boxes, turned_size
from quoting.craft.design.chosen import as_chosen, remembering
from quoting.craft.design.records import Design, Sign
from quoting.craft.picture.foils import SHAPES
from quoting.craft.takeoff.takeoff import take_off
from tests.quoting.craft.design.thing_designs import FOIL, OAT, PROP, furnished


@pytest.mark.parametrize("turn", [0.0, 17.0, 90.0, -135.0])
def test_a_turned_thing_takes_the_room_that_shapely_finds(turn: float) -> None:
    left, low, right, high = affinity.rotate(box(0, 0, 0.8, 0.3), -turn).bounds
    assert turned_size(0.8, 0.3, turn) == pytest.approx((right - left, high - low))


def test_the_dimensions_count_things_as_far_as_they_reach() -> None:
    size = take_off(furnished()).dimensions
    boxes = thing_boxes(furnished())
    assert size.height_m == max(one.top for one in boxes)
    assert size.left_m == pytest.approx(PROP.x_m - PROP.width_m / 2)
    assert size.left_m + size.width_m == pytest.approx(1.0 + 0.4)


def test_a_sign_that_stands_beside_the_piece_is_within_its_picture() -> None:
    sign = Sign(item="easel", label="Board", text="six!", width_m=0.6, height_m=0.4, x_m=4.0, y_m=1.2)
    beside, hung = (
        take_off(replace(furnished(), signs=(replace(sign, frame=name),))) for name in ("", "panel")
    )
    assert beside.dimensions.left_m + beside.dimensions.width_m == pytest.approx(4.3)
    assert hung.dimensions == take_off(replace(furnished(), signs=())).dimensions


def test_a_prop_by_itself_is_as_big_as_the_piece() -> None:
    alone = Design(version=2, name="Alone", palette=(replace(OAT, share=1.0),), props=(PROP,))
    size = take_off(alone).dimensions
    assert (size.width_m, size.height_m, size.depth_m) == pytest.approx((0.35, 0.9, 0.35))


def test_the_mirror_image_has_every_thing_on_the_other_side() -> None:
    once = mirrored(furnished())
    assert {(one.left, one.right) for one in thing_boxes(once)} == {
        (-one.right, -one.left) for one in thing_boxes(furnished())
    }
    assert mirrored(once) == furnished()
    leaning = mirrored(replace(furnished(), foils=(replace(FOIL, turn_deg=20.0),)))
    assert (leaning.foils[0].turn_deg, leaning.sprays[0].turn_deg) == (-20.0, -30.0)


@pytest.mark.parametrize("turn_deg", [0.0, 90.0, -30.0, 180.0])
def test_the_mirror_image_of_a_crescent_opens_to_the_other_side(turn_deg: float) -> None:
    # Its outline in the picture, mirrored, is the outline of its mirror image.
    moon = replace(FOIL, shape="crescent", text="", turn_deg=turn_deg)
    (image,) = mirrored(replace(furnished(), foils=(moon,))).foils
    drawn, opposite = (
        affinity.rotate(Polygon(SHAPES["crescent"]()), one.turn_deg, origin=(0, 0)) for one in (moon, image)
    )
    flipped = affinity.scale(drawn, xfact=-1, origin=(0, 0))
    assert flipped.symmetric_difference(opposite).area < 1e-6
    assert mirrored(mirrored(replace(furnished(), foils=(moon,)))).foils[0].turn_deg % 360 == turn_deg % 360


def test_what_a_design_was_scaled_from_has_every_thing() -> None:
    bare = replace(furnished(), signs=(), rounds=(), foils=(), props=(), letterings=(), sprays=())
    assert as_chosen(remembering(bare, furnished(), (1.0, 1.0))) == furnished()
