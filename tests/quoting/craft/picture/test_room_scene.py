"""Several pieces in one picture: scale, depth and gaps checked by hand and against shapely."""

from __future__ import annotations

import re
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import box

from quoting.craft.design.design_file import STARTERS, load_design
from quoting.craft.picture.room_scene import (
    GAP_M,
    Room,
    ScenePiece,
    VenuePhoto,
    overlaps,
    photo_scene_svg,
    px_per_m,
    room_scene_svg,
    side_by_side,
)
from quoting.craft.takeoff.takeoff import TakeOff, take_off
from studio.trade.errors import CraftError

PHOTO = VenuePhoto("/hall.jpg", 1600, 1200, 200.0, 900.0, 500.0, 4.0)


@pytest.fixture(scope="module")
def arch() -> TakeOff:
    return take_off(load_design(STARTERS / "classic-arch.json"))


@pytest.fixture(scope="module")
def columns() -> TakeOff:
    return take_off(load_design(STARTERS / "classic-columns.json"))


def test_a_pinhole_camera_shows_what_is_twice_as_far_at_half_its_size() -> None:
    # By hand, similar triangles: the mark is 4 m away at 200 px/m; 8 m away it is 100 px/m. The camera looks level and
    # is (900 - 500) / 200 = 2 m up, so the floor 8 m away lies 2 m * 100 px/m = 200 px under the horizon.
    assert PHOTO.camera_height_m == pytest.approx(2.0)
    assert PHOTO.at_depth(4.0) == pytest.approx((100.0, 700.0))
    assert PHOTO.at_depth(0.0) == pytest.approx((200.0, 900.0))


@given(back=st.floats(0, 60))
def test_depth_is_seen_as_a_projection_matrix_shows_it(back: float) -> None:
    # Reference: the homogeneous camera matrix K [R|t] of a level camera, worked with NumPy.
    focal = PHOTO.px_per_m * PHOTO.distance_m
    matrix = np.array([[focal, 0, PHOTO.width_px / 2], [0, focal, PHOTO.horizon_px], [0, 0, 1.0]])
    depth = PHOTO.distance_m + back
    foot, side = (matrix @ np.array([x, PHOTO.camera_height_m, depth]) for x in (0.0, 1.0))
    foot, side = foot / foot[2], side / side[2]
    scale, floor = PHOTO.at_depth(back)
    assert floor == pytest.approx(foot[1])
    assert scale == pytest.approx(side[0] - foot[0])


def test_a_mark_too_short_is_refused() -> None:
    with pytest.raises(CraftError, match="at least 12"):
        px_per_m((0, 0), (5, 5), 1.0)
    with pytest.raises(CraftError, match="length"):
        px_per_m((0, 0), (500, 5), 0.0)


@given(widths=st.lists(st.floats(0.2, 6), max_size=6))
def test_pieces_in_a_row_keep_the_gap_and_the_middle(widths: list[float]) -> None:
    middles = side_by_side(widths)
    ends = [(x - width / 2, x + width / 2) for x, width in zip(middles, widths, strict=True)]
    assert all(after[0] - before[1] == pytest.approx(GAP_M) for before, after in pairwise(ends))
    if ends:
        assert ends[0][0] == pytest.approx(-ends[-1][1])


@given(x=st.floats(-4, 4), back=st.floats(0, 4))
def test_pieces_overlap_where_their_boxes_on_the_floor_do(
    arch: TakeOff, columns: TakeOff, x: float, back: float
) -> None:
    pieces = [ScenePiece("a", "Arch", arch, 0.0), ScenePiece("b", "Columns", columns, x, back)]
    ours = sum(one.across_m * one.deep_m for one in overlaps(pieces))
    boxes = [box(one.left_m, one.back_m, one.right_m, one.rear_m) for one in pieces]
    assert ours == pytest.approx(boxes[0].intersection(boxes[1]).area, abs=1e-6)


def test_the_drawing_has_every_balloon_of_every_piece(arch: TakeOff, columns: TakeOff) -> None:
    pieces = [ScenePiece("a", "Arch", arch, -1.5), ScenePiece("b", "Columns", columns, 2.0, 1.0)]
    drawn = room_scene_svg(pieces, Room(8.0, 3.0))
    rounds = re.findall(r'<use href="#[ab]-b\d+"', drawn)
    assert len(rounds) == len(arch.balloons) + len(columns.balloons)
    assert drawn.index('data-piece="b"') < drawn.index('data-piece="a"'), (
        "what is further back is drawn first"
    )
    ids = re.findall(r' id="([^"]+)"', drawn)
    assert len(ids) == len(set(ids))
    assert set(re.findall(r'(?:url\(#|href="#)([^)"]+)', drawn)) <= set(ids)


def test_a_piece_stands_on_the_floor_of_the_photo_at_its_size(arch: TakeOff) -> None:
    drawn = photo_scene_svg([ScenePiece("a", "Arch", arch, 0.0, 4.0)], PHOTO)
    numbers = r'<svg x="([\d.-]+)" y="([\d.-]+)" width="([\d.]+)" height="([\d.]+)" viewBox="0 0 (\d+) '
    inner = re.search(numbers, drawn)
    assert inner is not None
    x, y, width, height, units = map(float, inner.groups())
    assert width / units == pytest.approx(100.0 / 200.0, abs=0.002), (
        "100 px a metre; a drawing has 200 units a metre"
    )
    assert x + width / 2 == pytest.approx(800.0, abs=1.0), "in the middle of the photo"
    # The drawing ends 0.26 m under the floor line.
    assert y + height - 0.26 * 100 == pytest.approx(700.0, abs=1.0)
