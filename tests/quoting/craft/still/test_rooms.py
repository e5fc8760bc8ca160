"""The rooms of a still: they stand around the piece, and hide nothing of it."""

from __future__ import annotations

import io
import re
from itertools import product

import numpy as np
import pytest
import trimesh

from quoting.craft.design.design_file import STARTERS, load_design
from quoting.craft.solid.scene import Scene, scene_of
from quoting.craft.still.camera import camera_before
from quoting.craft.still.rooms import ROOMS
from quoting.craft.still.scene_file import StillFiles
from quoting.craft.still.still import Look, bounds, still_files
from quoting.craft.takeoff.takeoff import take_off
from studio.trade.ranges import FloatArray

OBJECT = re.compile(r"scene\.objects\.(\S+)\.(shape|transformation) = (.+)")
OF_THE_PIECE = ("ball", "within", "solid", "table", "cake")
GRASS_M = 0.1


def scene(name: str) -> Scene:
    return scene_of(take_off(load_design(STARTERS / f"{name}.json")))


def corners_around(files: StillFiles) -> FloatArray:
    """The corners of the box round everything that isn't of the piece, where it stands."""
    shapes: dict[str, str] = {}
    places: dict[str, FloatArray] = {}
    for name, key, value in OBJECT.findall(files.text):
        if key == "shape":
            shapes[name] = value.strip('"')
        else:
            places[name] = np.array([float(one) for one in value.split()]).reshape(4, 4).T
    read: dict[str, FloatArray] = {}
    found = []
    for name, shape in shapes.items():
        if name.startswith(OF_THE_PIECE):
            continue
        if shape not in read:
            mesh = trimesh.load(io.BytesIO(files.parts[f"{shape}.ply"]), file_type="ply")
            assert isinstance(mesh, trimesh.Trimesh)
            read[shape] = np.array(list(product(*mesh.bounds.T)))
        place = places.get(name, np.eye(4))
        found.append(read[shape] @ place[:3, :3].T + place[:3, 3])
    return np.concatenate(found)


@pytest.mark.parametrize("room", ROOMS)
@pytest.mark.parametrize("turn_deg", [-30.0, 0.0, 30.0])
def test_nothing_of_a_room_stands_between_the_eye_and_the_piece(room: str, turn_deg: float) -> None:
    """A corner that is nearer than the piece and higher than grass is seen past the side of the piece's middle."""
    piece, look = scene("ring-half-moon"), Look(room, turn_deg)
    low, high = bounds(piece)
    camera = camera_before(low, high, turn_deg=turn_deg, aspect=look.aspect)
    middle = (low + high) / 2
    near = camera.away_m(middle) - float(high[2] - low[2])
    corners = corners_around(still_files(piece, look))
    corners = corners[corners[:, 1] > GRASS_M]
    away = (corners - np.array(camera.eye)) @ camera.ahead
    for corner in corners[(away > 0.1) & (away < near)]:
        assert np.abs(camera.seen_at(corner)).max() > 0.7, corner


def test_what_hangs_gets_a_beam_on_posts_and_the_floor_is_seen() -> None:
    piece = scene("ceiling-swags")
    files = still_files(piece, Look("studio"))
    assert "scene.objects.portal.shape" in files.text
    assert "scene.objects.portal.shape" not in still_files(scene("ring-half-moon"), Look("studio")).text
    posts = trimesh.load(io.BytesIO(files.parts["portal.ply"]), file_type="ply")
    assert isinstance(posts, trimesh.Trimesh)
    low, high = bounds(piece)
    assert posts.bounds[0][1] == pytest.approx(0.0, abs=1e-6)
    assert posts.bounds[1][1] > high[1]
    assert posts.bounds[0][0] < low[0]
    assert posts.bounds[1][0] > high[0]


def test_furniture_is_no_part_of_the_piece() -> None:
    """As many balloons as the bill counts, in every room."""
    piece = scene("table-garland")
    for room in ROOMS:
        assert still_files(piece, Look(room)).text.count("scene.objects.ball") == 3 * len(piece.balls)


@pytest.mark.parametrize("name", ["ombre-wall", "column-wound", "ring-and-panel"])
def test_no_piece_stands_in_the_round_of_the_paper(name: str) -> None:
    piece = scene(name)
    low, _ = bounds(piece)
    paper = trimesh.load(
        io.BytesIO(still_files(piece, Look("studio")).parts["backdrop.ply"]), file_type="ply"
    )
    assert isinstance(paper, trimesh.Trimesh)
    under = paper.vertices[paper.vertices[:, 2] > low[2] - 0.02]
    assert len(under) > 0
    assert np.abs(under[:, 1]).max() < 1e-6
