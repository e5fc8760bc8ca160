"""The USDZ file, taken apart: its package, its balloons and its numbers.

Every starter was also opened with OpenUSD's own library 26.11, whose validators found nothing.
"""

from __future__ import annotations

import io
import re
import struct
import zipfile

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from quoting.craft.design.design_file import STARTERS, load_design
from quoting.craft.solid.scene import Scene, scene_of
from quoting.craft.solid.usdz import usdz
from quoting.craft.takeoff.takeoff import take_off

NAMES = [path.stem for path in sorted(STARTERS.glob("*.json"))]
NUMBER = r"(-?[\d.e-]+)"


def scene(name: str) -> Scene:
    return scene_of(take_off(load_design(STARTERS / f"{name}.json")))


@pytest.mark.parametrize("name", NAMES)
def test_the_package_is_uncompressed_and_every_file_begins_at_a_multiple_of_64(name: str) -> None:
    # Source: OpenUSD, specification of the usdz file format: zero compression, alignment 64, a layer comes first.
    made = usdz(scene(name))
    entries = zipfile.ZipFile(io.BytesIO(made)).infolist()
    assert entries[0].filename.endswith(".usda")
    for entry in entries:
        name_size, extra_size = struct.unpack(
            "<HH", made[entry.header_offset + 26 : entry.header_offset + 30]
        )
        start = entry.header_offset + 30 + name_size + extra_size
        assert start % 64 == 0
        assert entry.compress_type == zipfile.ZIP_STORED
        assert made[start : start + 9] == b"#usda 1.0"


def test_every_balloon_is_at_its_place_in_its_size_and_turned_to_its_knot() -> None:
    shown = scene("garland-nested-arches")
    whole = zipfile.ZipFile(io.BytesIO(usdz(shown))).read("model.usda").decode()
    text = whole.split('def Mesh "Thing')[0]
    assert "metersPerUnit = 1" in text
    assert 'upAxis = "Y"' in text
    row = {count: rf"= \({', '.join([NUMBER] * count)}\)" for count in (3, 4)}
    places = re.findall(f"xformOp:translate {row[3]}", text)
    turns = re.findall(f"xformOp:orient {row[4]}", text)
    sizes = [size for size, *_ in re.findall(f"xformOp:scale {row[3]}", text)]
    assert np.array(places, float) == pytest.approx(np.array([ball.centre for ball in shown.balls]), abs=1e-4)
    assert np.array(sizes, float) == pytest.approx(
        np.array([ball.radius_m for ball in shown.balls]), abs=1e-4
    )
    # Reference: SciPy's rotation of a quaternion, whose w comes last; usda's comes first.
    quaternions = np.roll(np.array(turns, float), -1, axis=1)
    necks = Rotation.from_quat(quaternions).apply([0.0, -1.0, 0.0])
    assert necks == pytest.approx(np.array([ball.neck for ball in shown.balls]), abs=2e-3)


@pytest.mark.parametrize("name", NAMES)
def test_every_other_thing_is_there_with_all_its_corners(name: str) -> None:
    shown = scene(name)
    package = zipfile.ZipFile(io.BytesIO(usdz(shown)))
    texts = [package.read("model.usda").decode()]
    texts += [package.read(f"floral{k}.usda").decode() for k, one in enumerate(shown.solids) if one.stances]
    meshes = re.findall(r"faceVertexCounts = \[([^]]*)\].*?points = \[([^]]*)\]", "".join(texts), re.DOTALL)
    solids = sorted(shown.solids, key=lambda one: bool(one.stances))
    assert [len(counts.split(",")) for counts, _ in meshes] == [len(one.mesh.triangles) for one in solids]
    for (_, points), solid in zip(meshes, solids, strict=True):
        read = np.array(re.findall(r"[-\d.e]+", points), float).reshape(-1, 3)
        assert read == pytest.approx(solid.mesh.places, abs=1e-4)


def test_every_floral_refers_to_its_mesh_as_often_as_it_is_set_in() -> None:
    shown = scene("ring-half-moon")
    text = zipfile.ZipFile(io.BytesIO(usdz(shown))).read("model.usda").decode()
    for number, solid in enumerate(shown.solids):
        assert text.count(f"@floral{number}.usda@</Floral>") == len(solid.stances)


def test_the_same_design_gives_the_same_file() -> None:
    assert usdz(scene("ring-half-moon")) == usdz(scene("ring-half-moon"))
