"""Covers: folds, seam and weave lie on the cloth and nowhere else."""

from __future__ import annotations

import re

import numpy as np
import pytest
from shapely.geometry import Point, Polygon

from quoting.craft.design.frames import face
from quoting.craft.picture.cloth import cloth_svg
from quoting.craft.picture.elevation import elevation_svg
from quoting.craft.picture.view import View
from quoting.craft.takeoff.takeoff import take_off
from tests.quoting.craft.starter_designs import starter


@pytest.mark.parametrize("name", ["garland-nested-arches", "ring-half-moon", "stage-three-frames"])
def test_folds_begin_at_the_rim_of_their_cover(name: str) -> None:
    # Source: shapely measures how far each fold is from the outline.
    takeoff = take_off(starter(name))
    view = View(takeoff, person=False, dimensions=False, prefix="")
    for frame in takeoff.design.frames:
        if frame.cover is None:
            continue
        outline = view.points(face(frame))
        drawn = cloth_svg("o0", outline, "c0", frame.cover.hex, "")
        rim = Polygon(outline).exterior
        starts = np.array([(float(x), float(y)) for x, y in re.findall(r"M(-?\d+) (-?\d+)q", drawn)])
        assert len(starts) > 8
        assert max(rim.distance(Point(start)) for start in starts) < 24


def test_a_cover_is_drawn_in_its_own_colour_and_the_weave_once_for_all() -> None:
    svg = elevation_svg(take_off(starter("stage-three-frames")))
    assert svg.count('<pattern id="weave"') == 1
    assert len(set(re.findall(r'<linearGradient id="c\d">.*?</linearGradient>', svg))) == 3


def test_where_nothing_is_covered_no_weave_is_drawn() -> None:
    assert "weave" not in elevation_svg(take_off(starter("classic-arch")))
