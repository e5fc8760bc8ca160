"""The drawing with numbered places, read back as SVG."""

from __future__ import annotations

import re
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy.spatial.distance import pdist

from quoting.craft.design.design_file import STARTERS, load_design
from quoting.craft.picture.numbered import Mark, numbered_svg, spread
from quoting.craft.sheets.build_sheet import build_sheet
from quoting.craft.takeoff.takeoff import take_off
from studio.trade.ranges import FloatArray

SVG = "{http://www.w3.org/2000/svg}"


def test_every_number_stands_at_its_place_and_every_balloon_is_drawn_once() -> None:
    takeoff = take_off(load_design(STARTERS / "garland-nested-arches.json"))
    (piece,) = build_sheet(takeoff).pieces
    marks = [Mark(row.number, row.x_m, row.y_m) for row in piece.big_rounds]
    lit = [k for row in piece.big_rounds for k in row.balloons]
    root = ET.fromstring(numbered_svg(takeoff, marks, lit, "Big rounds & more"))  # noqa: S314 - our own drawing
    texts = {int(text.text or 0): text for text in root.iter(f"{SVG}text")}
    assert sorted(texts) == [row.number for row in piece.big_rounds]
    circles = list(root.iter(f"{SVG}circle"))
    assert len(circles) == len(takeoff.balloons) + len(marks)
    assert sum(bool(circle.get("fill")) for circle in circles) == len(lit) + len(marks)
    # One unit is 5 mm: the big rounds lie so far apart that no number has to give way, each is in its round's middle.
    rounds = [circle for circle in circles if circle.get("fill")][: len(lit)]
    for row in piece.big_rounds:
        x = float(texts[row.number].get("x", "nan"))
        assert min(abs(x - float(circle.get("cx", "nan"))) for circle in rounds) < 1
    title = root.find(f"{SVG}title")
    assert title is not None
    assert title.text == "Big rounds & more"


def test_a_number_that_gives_way_has_a_line_to_its_place() -> None:
    takeoff = take_off(load_design(STARTERS / "table-garland.json"))
    alone, crowded = (
        numbered_svg(takeoff, [Mark(k, 0.0, 0.9) for k in range(1, count + 1)], (), "") for count in (1, 2)
    )
    lines = [re.findall(r'<path d="([^"]*)" stroke="#1D2528"', svg)[0].count("L") for svg in (alone, crowded)]
    assert lines == [0, 2]


@given(points=arrays(np.float64, (5, 2), elements=st.floats(0, 100)))
def test_no_two_numbers_lie_on_each_other(points: FloatArray) -> None:
    # Reference: SciPy's own distances of all pairs.
    assert pdist(spread(points, 10.0)).min() > 7.0


def test_what_is_far_apart_stays() -> None:
    points = np.array([[0.0, 0.0], [30.0, 0.0]])
    assert spread(points, 10.0) == pytest.approx(points, abs=0.01)
