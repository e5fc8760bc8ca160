"""The starter designs find what they are made of among the usual things of a shelf."""

from __future__ import annotations

import json

from quoting.craft.design.design_file import STARTERS
from stock.first_shelf import usual

AT_THE_VENUE = {"venue-pillar"}


def starters() -> list[dict[str, list[dict[str, str]]]]:
    return [json.loads(path.read_text(encoding="utf-8")) for path in sorted(STARTERS.glob("*.json"))]


def test_every_color_frame_and_floral_of_a_starter_is_among_the_usual_things() -> None:
    things = {thing.code for thing in usual.things()}
    colours = {(colour.code, colour.hex) for colour in usual.COLOURS}
    assert len(starters()) == 12
    for design in starters():
        assert {(hue["colour"], hue["hex"]) for hue in design["palette"]} <= colours
        parts = [*design.get("frames", []), *design.get("florals", [])]
        assert {part["item"] for part in parts} <= things | AT_THE_VENUE


def test_usual_colors_have_codes_of_their_own() -> None:
    codes = [colour.code for colour in usual.COLOURS]
    assert len(codes) == len(set(codes))
