"""Finishes differ at a glance, and what is clear is seen through."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import combinations

import pytest

from quoting.craft.design.records import PaletteColour
from quoting.craft.design.things import FINISHES
from quoting.craft.picture.elevation import elevation_svg
from quoting.craft.picture.finishes import REACH, lights, neck_symbol, round_symbol
from quoting.craft.takeoff.takeoff import take_off
from tests.quoting.craft.starter_designs import starter

OAT = PaletteColour(colour="oat", name="Oat", hex="#EFE6D6", share=1)
CLEAR = ("crystal", "confetti")


def drawn(finish: str) -> str:
    colour = replace(OAT, finish=finish)
    return round_symbol("", 0, colour, "#6B4257" if finish == "double-stuffed" else "", ["#9FB2C2"])


def seen_of_the_middle(finish: str) -> float:
    """How much of the middle of a body hides what is behind it, by its innermost stop."""
    stop = re.search(r'<stop offset="0"[^>]*>', drawn(finish))
    assert stop
    opacity = re.search(r'stop-opacity="([\d.]+)"', stop[0])
    return float(opacity[1]) if opacity else 1.0


@pytest.mark.parametrize(("one", "other"), list(combinations(FINISHES, 2)))
def test_no_finish_looks_like_another(one: str, other: str) -> None:
    assert drawn(one) != drawn(other)


@pytest.mark.parametrize("finish", FINISHES)
def test_a_round_is_drawn_within_its_reach(finish: str) -> None:
    shape = ET.fromstring(f"<svg>{drawn(finish)}</svg>").find("g")  # noqa: S314 - our own picture
    assert shape is not None
    for node in shape:
        if node.tag == "path":
            corners = [float(each) for each in re.findall(r"-?\d+\.?\d*", node.get("d", ""))]
            assert max(map(abs, corners)) <= 1
            continue
        far = max(abs(float(node.get(axis, "0"))) for axis in ("cx", "cy"))
        assert far + max(float(node.get(key, node.get("r", "0"))) for key in ("rx", "ry")) <= REACH + 1e-9


@pytest.mark.parametrize("finish", FINISHES)
def test_only_clear_latex_is_seen_through(finish: str) -> None:
    assert (seen_of_the_middle(finish) < 0.3) == (finish in CLEAR)


def test_confetti_takes_the_other_colours_of_the_palette() -> None:
    assert "#9FB2C2" in drawn("confetti")
    assert "#9FB2C2" not in drawn("crystal")


def test_a_double_stuffed_round_shows_the_inner_colour_in_its_middle_and_the_outer_at_its_rim() -> None:
    other = round_symbol("", 0, replace(OAT, finish="double-stuffed"), "#9FB2C2")
    assert drawn("double-stuffed") != other
    assert drawn("double-stuffed").count("<stop") == other.count("<stop") == 6


def test_necks_are_seen_of_balloons_that_float_and_of_no_others() -> None:
    takeoff = take_off(starter("terrace-frame-bouquets"))
    bouquets = {k for k, piece in enumerate(takeoff.pieces) if piece.kind == "bouquet"}
    floating = sum(piece in bouquets for piece in takeoff.balloons.garland.tolist())
    assert floating > 0
    assert len(re.findall(r'<use href="#n\d', elevation_svg(takeoff))) == floating
    assert "<path" in neck_symbol("", 0, OAT)


def test_every_light_that_a_round_refers_to_is_drawn_once() -> None:
    known = re.findall(r'id="([^"]+)"', lights("") + "".join(drawn(finish) for finish in FINISHES))
    used = {name for finish in FINISHES for name in re.findall(r"url\(#([^)]+)\)", drawn(finish))}
    assert used <= set(known)
