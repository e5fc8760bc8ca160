"""What is drawn carries the thing that it is, and every number in the picture is one."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from quoting.craft.picture.elevation import elevation_svg, plan_svg
from quoting.craft.takeoff.takeoff import take_off
from tests.quoting.craft.design.thing_designs import PANEL, furnished
from tests.quoting.craft.starter_designs import starter

SVG = "{http://www.w3.org/2000/svg}"


def things_in(svg: str) -> set[str]:
    return set(re.findall(r'data-thing="([^"]+)"', svg))


def test_each_frame_garland_and_bouquet_is_named_where_names_are_asked_for() -> None:
    takeoff = take_off(starter("terrace-frame-bouquets"))
    asked = {"frame:gate", "garland:main", "bouquet:left", "bouquet:right"}
    known = {piece.reference for piece in takeoff.pieces}
    assert len(known) == len(asked) - 1
    names = known | {f"frame:{frame.id}" for frame in takeoff.design.frames}
    assert things_in(elevation_svg(takeoff, things=True)) == names
    assert things_in(plan_svg(takeoff, things=True)) == names
    assert things_in(elevation_svg(takeoff)) == things_in(plan_svg(takeoff)) == set()


@pytest.mark.parametrize("filling", ["none", "ladder", "grid", "shimmer"])
def test_a_filling_is_drawn_within_its_frame(filling: str) -> None:
    frame = replace(PANEL, cover=None, filling=filling)
    bare = replace(furnished(), letterings=(), frames=(frame,))
    drawn = ET.fromstring(elevation_svg(take_off(bare), prefix="p-"))  # noqa: S314 - our own picture
    tube = 3
    shapes = list(drawn.findall(f".//{SVG}g[@data-part='frames']/*"))
    assert len(shapes) == tube + (filling != "none")
    assert len(drawn.findall(f".//{SVG}pattern[@id='p-s0']")) == (filling == "shimmer")
