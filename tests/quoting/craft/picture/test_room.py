"""The room behind a piece: floor to the edge, ceiling and lines where a piece hangs, a door where there is one."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from quoting.craft.picture.elevation import elevation_svg
from quoting.craft.picture.room import BEYOND, FLOOR_LINE, Shown, door_svg, room_svg
from quoting.craft.picture.view import PX_PER_M, View
from quoting.craft.rigging.tie_points import OWN_LINE
from quoting.craft.takeoff.takeoff import take_off
from tests.quoting.craft.starter_designs import NAMES, starter

SVG = "{http://www.w3.org/2000/svg}"
SHOWN = Shown(-20.0, -30.0, 400.0, 300.0, 240.0)


def rects(name: str, drawn: str) -> list[dict[str, float]]:
    """The rectangles of a class, their sides as numbers."""
    found = [dict(re.findall(r'(\S+)="([^"]*)"', each)) for each in re.findall(r"<rect[^>]*>", drawn)]
    return [
        {side: float(one[side]) for side in ("x", "y", "width", "height")}
        for one in found
        if one["class"] == name
    ]


def test_wall_and_floor_meet_and_leave_no_strip_to_the_edges() -> None:
    drawn = room_svg(SHOWN, "")
    (wall,), (floor,) = rects("room-wall", drawn), rects("room-floor", drawn)
    assert wall["y"] + wall["height"] == pytest.approx(floor["y"]) == pytest.approx(240 - FLOOR_LINE)
    assert floor["y"] + floor["height"] == pytest.approx(270 + BEYOND)
    assert wall["y"] == pytest.approx(-30 - BEYOND)
    for one in (wall, floor):
        assert (one["x"], one["width"]) == pytest.approx((-20 - BEYOND, 400 + 2 * BEYOND))


def test_the_skirting_board_stands_on_the_floor_and_not_outdoors() -> None:
    (board,) = rects("room-board", room_svg(SHOWN, ""))
    assert board["y"] + board["height"] == pytest.approx(240 - FLOOR_LINE)
    assert not rects("room-board", room_svg(SHOWN, "", is_outdoors=True))


def test_a_door_stands_on_the_floor_and_is_as_large_as_it_is() -> None:
    (leaf,) = rects("door-leaf", door_svg(10.0, -160.0, 180.0, 240.0))
    assert (leaf["x"], leaf["y"], leaf["width"]) == (10.0, -160.0, 180.0)
    assert leaf["y"] + leaf["height"] == pytest.approx(240 - FLOOR_LINE)


def test_a_site_with_a_door_shows_it() -> None:
    design = starter("half-arch-doorway")
    with_door = replace(design, site=replace(design.site, door_x_m=0.3))
    assert 'class="room-door"' in elevation_svg(take_off(with_door))
    without = replace(design, site=replace(design.site, door_x_m=None))
    assert 'class="room-door"' not in elevation_svg(take_off(without))


def test_what_hangs_from_the_ceiling_shows_ceiling_and_a_line_for_every_tie() -> None:
    takeoff = take_off(starter("ceiling-swags"))
    svg, view = elevation_svg(takeoff), View(takeoff, person=False, dimensions=False, prefix="")
    ceiling = re.search(r'class="ceiling" data-y="([\d.]+)"', svg)
    assert ceiling
    assert float(ceiling[1]) == pytest.approx(view.y(takeoff.design.site.ceiling_m), abs=0.06)
    hung = [tie for tie in takeoff.rigging.ties if tie.holder == OWN_LINE]
    lines = re.findall(r'<path d="M([\d.]+) ([\d.]+)V([\d.]+)" stroke="#a39a8b"', svg)
    assert len(lines) == len(hung) > 0
    for line, tie in zip(
        sorted(lines, key=lambda one: float(one[0])), sorted(hung, key=lambda one: one.x), strict=True
    ):
        assert float(line[0]) == pytest.approx(view.x(tie.x), abs=0.06)
        assert float(line[1]) == pytest.approx(view.y(tie.y), abs=0.06)
        assert float(line[2]) == pytest.approx(float(ceiling[1]), abs=7)


def test_a_ceiling_far_above_is_left_out_and_so_is_one_over_what_stands() -> None:
    design = starter("ceiling-swags")
    far = replace(design, site=replace(design.site, ceiling_m=6.0, height_m=6.0))
    for one in (far, starter("classic-arch")):
        assert 'class="ceiling"' not in elevation_svg(take_off(one))


def test_outdoors_there_is_neither_skirting_nor_shade_on_a_wall() -> None:
    svg = elevation_svg(take_off(starter("terrace-frame-bouquets")))
    assert "room-outdoors" in svg
    assert "room-board" not in svg
    assert 'clip-path="url(#wall)"' not in svg


@pytest.mark.parametrize("name", NAMES)
def test_every_piece_that_stands_throws_its_shade_on_the_floor_under_it(name: str) -> None:
    takeoff = take_off(starter(name))
    root = ET.fromstring(elevation_svg(takeoff, person=False))  # noqa: S314 - our own picture
    shades = root.findall(f".//{SVG}g[@class='shade']/{SVG}ellipse")
    assert bool(shades) == (name != "ceiling-swags")
    width = takeoff.dimensions.width_m * PX_PER_M
    for one in shades:
        assert float(one.get("rx", "0")) <= width / 2 + 40


def test_a_photo_gets_no_wall_of_ours_to_throw_shade_on() -> None:
    takeoff = take_off(starter("classic-arch"))
    assert 'id="wall"' in elevation_svg(takeoff, room=False)
    assert 'id="wall"' not in elevation_svg(takeoff, room=False, shade=False)
