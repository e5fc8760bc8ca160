"""Letters of recipes: one for each, after Z two of them."""

from __future__ import annotations

from dataclasses import replace

from quoting.craft.sheets.build_sheet import build_sheet
from quoting.craft.takeoff.takeoff import take_off
from tests.quoting.craft.starter_designs import starter


def test_more_recipes_than_letters_are_told_apart() -> None:
    design = starter("stage-three-frames")
    free = replace(design, garlands=tuple(replace(one, recipes=0) for one in design.garlands))
    sheet = build_sheet(take_off(free))
    letters = [one.name for piece in sheet.pieces for one in piece.recipes]
    assert len(letters) > 53
    assert letters[:2] + letters[25:28] + letters[51:53] == ["A", "B", "Z", "AA", "AB", "AZ", "BA"]
    assert len(set(letters)) == len(letters)
