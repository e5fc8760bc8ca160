"""The room of things, beside boxes worked out by hand or by shapely."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely import affinity, box

from quoting.craft.design.records import Bouquet, Frame, Sign, Wall
from quoting.craft.design.things import Foil, Lettering, Prop, Spray
from quoting.craft.table.boxes import box_of, depth_of, place_of, size_of
from quoting.craft.table.things import Thing
from tests.quoting.craft.design.measured_letters import opened
from tests.quoting.craft.table.tables import LOW, TALL, done, over_both_arches, table

SIGN = Sign(item="s", label="S", text="S", width_m=0.6, height_m=0.2, x_m=0.5, y_m=1.5, frame="tall")
WORDS = Lettering(id="w", text="Maya", height_m=0.2, x_m=-0.4, y_m=1.0, frame="low")
PROP = Prop(
    id="p",
    item="p",
    label="P",
    look="box",
    width_m=0.4,
    height_m=0.3,
    depth_m=0.5,
    x_m=1.0,
    base_m=0.9,
    z_m=0.6,
)
WALL = Wall(id="wall", width_m=2.0, height_m=2.2, x_m=0.5, z_m=-0.4, size_in=11, sized_m=0.2286)
BOUQUET = Bouquet(id="b", count=7, size_in=11, sized_m=0.27, x_m=-2.0, z_m=0.2, top_m=2.2)


def bounds(thing: Thing) -> tuple[float, ...]:
    found = box_of(replace(table(TALL, LOW), signs=(SIGN,)), thing)
    return found.left, found.bottom, found.right, found.top, found.rear, found.front


@pytest.mark.parametrize(
    ("thing", "by_hand"),
    [
        (SIGN, (0.2, 1.4, 0.8, 1.6, -0.2, -0.2)),
        (PROP, (0.8, 0.9, 1.2, 1.2, 0.35, 0.85)),
        (WALL, (-0.5, 0.0, 1.5, 2.2, -0.6286, -0.1714)),
        (BOUQUET, (-2.27, 0.0, -1.73, 2.2, -0.07, 0.47)),
        (LOW, (-0.955, 0.0, 0.115, 1.83, -0.225, 0.225)),
    ],
)
def test_the_box_of_a_thing_is_that_worked_out_by_hand(thing: Thing, by_hand: tuple[float, ...]) -> None:
    assert bounds(thing) == pytest.approx(by_hand, abs=1e-3)


@pytest.mark.parametrize("turn_deg", [0.0, 20.0, -90.0, 135.0])
def test_the_box_of_a_turned_thing_is_that_of_shapely(turn_deg: float) -> None:
    # Source: shapely, the bounds of a rectangle turned about its middle.
    spray = Spray(id="s", item="s", label="S", size_m=0.6, hex="#7E9A78", x_m=0.3, y_m=1.0, turn_deg=turn_deg)
    foil = Foil(
        id="f", item="f", label="F", shape="glyphs", text="16", flat_m=0.8, hex="#D9B45B", x_m=-1, y_m=1.4,
        turn_deg=turn_deg,
    )  # fmt: skip
    for thing in (spray, foil):
        width, height = size_of(thing)
        upright = box(
            thing.x_m - width / 2, thing.y_m - height / 2, thing.x_m + width / 2, thing.y_m + height / 2
        )
        assert bounds(thing)[:4] == pytest.approx(affinity.rotate(upright, -turn_deg).bounds, abs=1e-6)


def test_letters_are_as_wide_as_their_font_has_them() -> None:
    # Source: fontTools, the advance widths of the font file; a capital is 0.7 of the font's size high.
    font = opened("fraunces", "latin")
    cmap, widths = font.getBestCmap(), font["hmtx"]
    units = sum(widths[cmap[ord(letter)]][0] for letter in "Maya") / font["head"].unitsPerEm
    left, bottom, right, top, *_ = bounds(WORDS)
    assert right - left == pytest.approx(units * 0.2 / 0.7, rel=0.02)
    assert (bottom, top) == pytest.approx((0.9, 1.1))


def test_what_stands_is_placed_by_its_lower_edge_and_what_hangs_by_its_middle() -> None:
    design = table(TALL, LOW)
    raised: Frame = replace(LOW, base_m=0.3)
    assert place_of(design, raised) == (LOW.x_m, 0.3)
    assert place_of(design, PROP) == (1.0, 0.9)
    assert place_of(design, WALL) == (0.5, 0.0)
    assert place_of(design, SIGN) == (0.5, 1.5)


def test_signs_and_letters_are_as_deep_as_their_frame() -> None:
    assert depth_of(table(LOW, TALL), SIGN) == -0.2
    assert depth_of(table(LOW, TALL), replace(SIGN, frame="")) == 0.0


def test_a_garland_is_as_deep_as_its_string_in_the_middle() -> None:
    design = done(table(LOW, TALL), "put-garland", points=over_both_arches()).design
    found = box_of(design, design.garlands[0])
    assert found.rear <= depth_of(design, design.garlands[0]) <= found.front
    assert found.top == pytest.approx(TALL.height_m, abs=0.02)
