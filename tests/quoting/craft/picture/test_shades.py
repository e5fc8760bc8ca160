"""The shade on the wall: one soft shape under what is drawn, not a copy of it."""

from __future__ import annotations

import re

import pytest
from shapely.geometry import Point, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from quoting.craft.design.frames import face
from quoting.craft.picture.elevation import elevation_svg
from quoting.craft.picture.shades import CELL, SPOT
from quoting.craft.picture.view import PX_PER_M, View
from quoting.craft.takeoff.takeoff import TakeOff, take_off
from tests.quoting.craft.starter_designs import starter

NAMES = ("ring-half-moon", "stage-three-frames", "classic-columns")


def spots(svg: str) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in re.findall(r'<circle cx="(\d+)" cy="(\d+)" r="50"', svg)]


def piece(takeoff: TakeOff, view: View) -> BaseGeometry:
    b = takeoff.balloons
    rounds = [
        Point(view.x(x), view.y(y)).buffer(r * PX_PER_M, 32)
        for x, y, r in zip(b.x.tolist(), b.y.tolist(), b.radius.tolist(), strict=True)
    ]
    return unary_union(
        rounds + [Polygon(view.points(face(one))) for one in takeoff.design.frames if one.is_filled]
    )


@pytest.mark.parametrize("name", NAMES)
def test_spots_lie_where_the_piece_covers_the_wall(name: str) -> None:
    # Source: shapely joins balloons and covers to one shape.
    takeoff = take_off(starter(name))
    view = View(takeoff, person=False, dimensions=False, prefix="")
    found, shape = spots(elevation_svg(takeoff, person=False)), piece(takeoff, view)
    assert len(found) > 20
    assert len(set(found)) == len(found)
    assert all(shape.distance(Point(at)) < 1 for at in found)


@pytest.mark.parametrize("name", NAMES)
def test_all_that_is_near_the_edge_throws_its_shade(name: str) -> None:
    takeoff = take_off(starter(name))
    view = View(takeoff, person=False, dimensions=False, prefix="")
    found, shape = spots(elevation_svg(takeoff, person=False)), piece(takeoff, view)
    shape = shape.buffer(CELL).buffer(-CELL)  # a slit narrower than a square is closed
    largest = max(shape.geoms, key=lambda one: one.area) if hasattr(shape, "geoms") else shape
    edge = largest.exterior
    for share in range(40):
        at = edge.interpolate(share / 40, normalized=True)
        assert min(at.distance(Point(spot)) for spot in found) < SPOT


def test_the_shade_of_one_spot_fades_to_nothing() -> None:
    (stops,) = re.findall(
        r'<radialGradient id="spot">(.*?)</radialGradient>', elevation_svg(take_off(starter(NAMES[0])))
    )
    seen = [float(each) for each in re.findall(r'stop-opacity="(.+?)"', stops)]
    assert seen == sorted(seen, reverse=True)
    assert seen[-1] == 0
