"""What can stand in for an item that is short: near in colour or size, and all of it free."""

from __future__ import annotations

import pytest

from stock.catalogue.items import Material
from stock.holds import holds
from stock.holds.availability import availability, shortages
from stock.holds.substitutes import Substitute, find_for_shortage, find_substitutes
from stock.ledger import movements
from stock.models import Item, Kind, MovementKind
from tests import shelf
from tests.stock.conftest import COVER, OAT_11, RING, Stocked

# Frames beside a ring of 1.83 m: within 12 % of it, just beyond, and of another shape.
FRAMES = {
    "Ring 2.04": ("ring", 2.04),
    "Ring 2.06": ("ring", 2.06),
    "Ring 1.62": ("ring", 1.62),
    "Arch": ("arch", 1.83),
}


@pytest.fixture
def varied(stocked: Stocked) -> Stocked:
    with stocked.house.enter():
        hues = shelf.colours({"Cream": "#E6DFD3", "Sand": "#D8C6A4", "Brick": "#A4553F"})
        rows = [(shelf.latex(hue, 11, bag_size=100), 500) for hue in hues.values()]
        rows.append((shelf.latex(hues["cream"], 5, bag_size=100), 500))
        for name, (shape, side) in FRAMES.items():
            outline = {"shape": shape, "width_m": side, "height_m": side}
            rows.append((shelf.thing(Kind.FRAME, name, outline=outline), 2))
        shelf.put(rows)
    return stocked


def stand_ins(stocked: Stocked, code: str, needed: int) -> list[Substitute]:
    window = stocked.days(3, 4)
    return list(find_substitutes(availability([Material(code, needed)], window), window)[code])


def test_the_nearest_colours_of_the_same_size_come_first_with_words(varied: Stocked) -> None:
    with varied.house.enter():
        found = stand_ins(varied, OAT_11, 300)
    assert [(one.item.code, one.free, one.words) for one in found] == [
        ("latex-11-cream", 500, "almost identical"),
        ("latex-11-sand", 500, "similar"),
    ]
    assert found[0].difference < 2 < 6 < found[1].difference < 12


def test_what_is_not_free_in_the_whole_quantity_is_no_help(varied: Stocked) -> None:
    with varied.house.enter():
        holds.hold(label="Fair", window=varied.days(3, 4), needs=[Material("latex-11-cream", 201)], key="k")
        assert [one.item.code for one in stand_ins(varied, OAT_11, 300)] == ["latex-11-sand"]
        assert [one.item.code for one in stand_ins(varied, OAT_11, 299)] == [
            "latex-11-cream",
            "latex-11-sand",
        ]


def test_a_frame_of_the_same_shape_within_an_eighth_can_stand_in(varied: Stocked) -> None:
    with varied.house.enter():
        found = stand_ins(varied, RING, 3)
        assert found == [], "there are two of each"
        found = stand_ins(varied, RING, 2)
    assert {one.item.name for one in found} == {"Ring 2.04", "Ring 1.62"}
    assert [round(one.difference, 3) for one in found] == [0.115, 0.115]


def test_a_cover_that_fits_no_frame_has_no_stand_in(varied: Stocked) -> None:
    with varied.house.enter():
        assert stand_ins(varied, COVER, 2) == []


def test_a_hold_that_is_short_is_offered_stand_ins_for_all_it_has(varied: Stocked) -> None:
    with varied.house.enter():
        holds.hold(label="Fair", window=varied.days(3, 4), needs=[Material(RING, 2)], key="k")
        movements.write_off(varied.item(RING).pk, 1, kind=MovementKind.BROKEN, key="b")
        (short,) = shortages()
        assert [one.free for one in find_for_shortage(short)] == [2, 2]


@pytest.mark.parametrize(
    ("other", "likeness"),
    [("#E7DED0", "almost identical"), ("#E6D5B8", "very similar"), ("#D8C6A4", "similar"), ("#A4553F", "")],
)
def test_how_near_a_cover_in_another_colour_is_stands_in_words(
    stocked: Stocked, other: str, likeness: str
) -> None:
    with stocked.house.enter():
        ring = stocked.item(RING)
        shelf.put(
            [(shelf.thing(Kind.COVER, "Other cover", colour=shelf.colours({"Other": other})["other"]), 3)]
        )
        assert stand_ins(stocked, COVER, 2) == [], "neither fits a frame that is known"
        Item.objects.filter(kind=Kind.COVER).update(fits_frame=ring)
        assert [one.words for one in stand_ins(stocked, COVER, 2)] == ([likeness] if likeness else [])
        Item.objects.filter(code="other-cover").update(fits_frame=None)
        assert stand_ins(stocked, COVER, 2) == [], "only one of them fits the ring"


def test_what_is_neither_frame_balloon_nor_cover_has_no_stand_in(stocked: Stocked) -> None:
    with stocked.house.enter():
        shelf.put([(shelf.thing(Kind.FLORAL, "Fern"), 1), (shelf.thing(Kind.FLORAL, "Ivy"), 9)])
        assert stand_ins(stocked, "fern", 2) == []
