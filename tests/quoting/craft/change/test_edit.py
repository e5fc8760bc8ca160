"""What a form may change of a design: every row is there, changes its own thing, and nothing else."""

from __future__ import annotations

from dataclasses import replace

import pytest

from quoting.craft.change.edit import Editable, editable, edited, mirrored, swap_colour
from quoting.craft.design.faults import DesignError
from quoting.craft.design.records import PaletteColour
from tests.quoting.craft.starter_designs import NAMES, starter

ARCHES = "garland-nested-arches"


def rows(name: str) -> dict[str, Editable]:
    return {row.key: row for row in editable(starter(name))}


def test_a_garland_with_greenery_picks_and_a_sign_has_a_row_for_each() -> None:
    found = rows("ring-half-moon") | rows(ARCHES)
    assert {
        "width_m",
        "height_m",
        "fullness",
        "rounds",
        "accents",
        "fillers",
        "recipes",
        "loss",
        "seed",
    } <= set(found)
    assert (found["floral.0"].unit, found["floral.0"].high) == ("share", 2.0)
    assert (found["floral.1"].unit, found["floral.1"].low) == ("m", 0.05)
    assert found["sign.text"].unit == "text"
    assert {"fullness", "rounds", "recipes"}.isdisjoint(rows("ombre-wall")), "a wall has no garland"


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("fullness", 0.85), ("rounds", 0.05), ("accents", False), ("fillers", False), ("recipes", 3),
        ("floral.0", 1.4), ("floral.1", 0.9), ("loss", 0.1), ("seed", 12),
    ],
)  # fmt: skip
def test_a_change_is_what_the_row_shows_afterwards_and_the_others_stay(key: str, value: float) -> None:
    before = rows(ARCHES)
    assert before[key].value != value
    after = {row.key: row for row in editable(edited(starter(ARCHES), {key: value}))}
    assert after[key].value == pytest.approx(value)
    measured = {"width_m", "height_m"}
    assert {other: row.value for other, row in after.items() if other not in measured | {key}} == {
        other: row.value for other, row in before.items() if other not in measured | {key}
    }


@pytest.mark.parametrize(
    ("key", "value"), [("loss", 0.51), ("recipes", -1), ("floral.1", 0.04), ("fullness", 0.98)]
)
def test_a_value_out_of_its_range_is_refused_under_its_key(key: str, value: float) -> None:
    with pytest.raises(DesignError) as raised:
        edited(starter(ARCHES), {key: value})
    assert [fault.field for fault in raised.value.faults] == [key]


@pytest.mark.parametrize("name", NAMES)
def test_a_mirror_image_of_the_mirror_image_is_the_design(name: str) -> None:
    once = mirrored(starter(name))
    assert mirrored(once) == starter(name)
    assert [frame.x_m for frame in once.frames] == [-frame.x_m for frame in starter(name).frames]
    assert once.mirrored is not starter(name).mirrored


def test_two_colours_that_become_one_keep_their_shares_together() -> None:
    design = starter(ARCHES)
    first, second = design.palette[:2]
    one = swap_colour(design, first.colour, replace(second, share=0))
    shares = {colour.colour: colour.share for colour in one.palette}
    assert first.colour not in shares
    assert shares[second.colour] == pytest.approx(first.share + second.share)
    assert sum(shares.values()) == pytest.approx(1.0)
    same = swap_colour(design, first.colour, first)
    assert [colour.share for colour in same.palette] == [colour.share for colour in design.palette]
    with pytest.raises(DesignError):
        swap_colour(design, "nowhere", PaletteColour(colour="brick", name="Brick", hex="#A4553F", share=0))
