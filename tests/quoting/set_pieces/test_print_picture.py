"""Rounds as small pictures for paper: shaded and laid over each other as the standards say."""

from __future__ import annotations

import io
import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from PIL import Image

from quoting.craft.picture.elevation import elevation_svg
from quoting.craft.picture.finishes import REACH
from quoting.craft.takeoff.takeoff import take_off
from quoting.set_pieces.print_picture import MARGIN, for_paper, layered, sphere
from tests.quoting.craft.starter_designs import starter


def test_a_sphere_is_shaded_as_the_gradient_says() -> None:
    """Against the definition of SVG 2, 14.2.3, worked out by bisection for single points."""
    gradient = ET.fromstring(  # noqa: S314 -- written two lines below
        '<radialGradient cx=".5" cy=".5" r=".52" fx=".34" fy=".28"><stop offset="0" stop-color="#ffffff"/>'
        '<stop offset="1" stop-color="#000000"/></radialGradient>'
    )
    px = 200
    drawn = np.asarray(Image.open(io.BytesIO(sphere(gradient, px=px))))

    def share(x: float, y: float) -> float:
        low, high = 0.0, 1.0
        for _ in range(60):
            t = (low + high) / 2
            centre = (0.34 + t * 0.16, 0.28 + t * 0.22)
            outside = (x - centre[0]) ** 2 + (y - centre[1]) ** 2 > (0.52 * t) ** 2
            low, high = (t, high) if outside else (low, t)
        return low

    for x, y in ((0.5, 0.5), (0.34, 0.28), (0.7, 0.6), (0.5, 0.9), (0.15, 0.5)):
        column, row = (round((each + MARGIN) / (1 + 2 * MARGIN) * px - 0.5) for each in (x, y))
        exact = [((k + 0.5) / px) * (1 + 2 * MARGIN) - MARGIN for k in (column, row)]
        assert drawn[row, column, 0] == pytest.approx(255 * (1 - share(*exact)), abs=1.0)
    assert drawn[0, 0, 3] == 0
    assert drawn[px // 2, px // 2, 3] == 255


def test_a_layer_lies_over_another_as_porter_and_duff_reckon() -> None:
    """Porter and Duff, Compositing digital images, 1984: half of white over half of black, by hand."""
    root = ET.fromstring(  # noqa: S314 -- written two lines below
        '<g><radialGradient id="white"><stop offset="0" stop-color="#ffffff" stop-opacity=".5"/></radialGradient>'
        '<radialGradient id="black"><stop offset="0" stop-color="#000000" stop-opacity=".5"/></radialGradient>'
        '<g><circle r="1" fill="url(#black)"/><ellipse cx="-.5" rx=".3" ry=".3" transform="rotate(90)" '
        'fill="url(#white)"/><path d="M-0.2 -0.2L0.2 -0.2L0.2 0.2L-0.2 0.2Z" fill="#d9b45b"/></g></g>'
    )
    gradients = {node.get("id", ""): node for node in root if node.get("id")}
    px = 240
    drawn = np.asarray(Image.open(io.BytesIO(layered(root[2], gradients, px=px))))

    def at(x: float, y: float) -> list[int]:
        column, row = (round((each / REACH + 1) / 2 * px) for each in (x, y))
        found: list[int] = drawn[row, column].tolist()
        return found

    assert at(0.7, 0.0) == [0, 0, 0, 128]
    assert at(0.0, 0.0) == [0xD9, 0xB4, 0x5B, 255]
    # 0.5 + 0.5 * 0.5 is seen of both, two thirds of it white; the ellipse is turned by a quarter to above the middle.
    assert at(0.0, -0.5) == [170, 170, 170, 191]
    assert at(1.1, 1.1) == [0, 0, 0, 0]


def test_a_picture_from_before_has_its_circles_on_the_paper() -> None:
    svg = (
        '<svg xmlns="http://www.w3.org/2000/svg"><defs><radialGradient id="b0"><stop stop-color="#d9b45b"/>'
        '</radialGradient></defs><circle cx="10" cy="20" r="5" fill="url(#b0)"/></svg>'
    )
    printed = for_paper(svg, name="p")
    assert list(printed.made) == ["p-b0.png"]
    assert 'href="made:///p-b0.png"' in printed.svg


def test_a_round_on_paper_reaches_as_far_as_it_is_drawn() -> None:
    takeoff = take_off(starter("classic-arch"))
    printed = ET.fromstring(for_paper(elevation_svg(takeoff, person=False), name="p").svg)  # noqa: S314 -- our own
    images = [node for node in printed.iter() if re.search(r"-b\d+\.png", node.get("href", ""))]
    widths = sorted(float(node.get("width", "0")) for node in images)
    assert widths == pytest.approx(sorted(2 * REACH * 200 * takeoff.balloons.radius), abs=0.2)
