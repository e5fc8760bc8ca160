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


@pytest.mark.parametrize("name", ["garland-nested-arches", "stage-three-frames"])
def test_folds_rise_from_the_hem_and_stay_on_their_cover(name: str) -> None:
    # Source: shapely tells whether both sides and the upper end of each fold lie on the cover.
    takeoff = take_off(starter(name))
    view = View(takeoff, person=False, dimensions=False, prefix="")
    for frame in takeoff.design.frames:
        if frame.cover is None:
            continue
        outline = view.points(face(frame))
        drawn = cloth_svg("o0", outline, "c0", frame.cover.hex, "")
        cover, hem = Polygon(outline).buffer(0.5), float(outline[:, 1].max())
        folds = np.array([
            [float(each) for each in fold]
            for fold in re.findall(r'cx="(.+?)" cy="(.+?)" rx="(.+?)" ry="(.+?)"', drawn)
        ])  # fmt: skip
        assert 4 <= len(folds) <= 12
        for x, y, across, up in folds.tolist():
            assert y + up == pytest.approx(hem, abs=0.2)
            assert all(cover.contains(Point(at)) for at in ((x - across, y), (x + across, y), (x, y - up)))


def test_a_ring_has_no_hem_and_no_folds() -> None:
    takeoff = take_off(starter("ring-half-moon"))
    view = View(takeoff, person=False, dimensions=False, prefix="")
    assert "<ellipse" not in cloth_svg("o0", view.points(face(takeoff.design.frames[0])), "c0", "#F4EEE6", "")


def test_a_cover_is_drawn_in_its_own_colour_and_the_weave_once_for_all() -> None:
    svg = elevation_svg(take_off(starter("stage-three-frames")))
    assert svg.count('<pattern id="weave"') == 1
    assert len(set(re.findall(r'<linearGradient id="c\d">.*?</linearGradient>', svg))) == 3


def test_where_nothing_is_covered_no_weave_is_drawn() -> None:
    assert "weave" not in elevation_svg(take_off(starter("classic-arch")))
