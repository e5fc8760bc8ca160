"""The files that a renderer reads, read by others."""

from __future__ import annotations

import io

import numpy as np
import pytest
import trimesh

from quoting.craft.solid.meshes import balloon, box, cylinder
from quoting.craft.still.scene_file import SceneFile, ply


@pytest.mark.parametrize("mesh", [box((0.4, 1.0, 2.0)), cylinder(0.3, 1.2), balloon(40, 30)])
def test_a_second_reader_finds_the_same_mesh(mesh: object) -> None:
    """trimesh reads the PLY file: same corners, same volume, closed."""
    read = trimesh.load(io.BytesIO(ply(mesh)), file_type="ply")  # type: ignore[arg-type]
    assert isinstance(read, trimesh.Trimesh)
    assert read.volume == pytest.approx(mesh.volume_m3, rel=1e-5)  # type: ignore[attr-defined]
    assert np.allclose(read.bounds[1], mesh.places.max(axis=0), atol=1e-6)  # type: ignore[attr-defined]


def test_values_are_written_by_kind() -> None:
    file = SceneFile()
    file.put("camera", type="perspective", lookat_orig=(0.0, 1.5, 4.25), fieldofview=26.0)
    assert file.files().text.splitlines() == [
        'scene.camera.type = "perspective"',
        "scene.camera.lookat.orig = 0 1.5 4.25",
        "scene.camera.fieldofview = 26",
    ]
