"""Florals as meshes: their measures, the way they face, and what tells one kind from another."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from quoting.craft.design.floral_kinds import LOOKS, WORDS
from quoting.craft.solid.botany import COARSE, FINE, floral_mesh
from quoting.craft.solid.meshes import Mesh

KINDS = [kind for kind, _ in WORDS]


@pytest.mark.parametrize("branched", [False, True])
@pytest.mark.parametrize("kind", KINDS)
def test_a_floral_is_as_long_or_as_wide_as_it_is_stocked(kind: str, branched: bool) -> None:
    places = floral_mesh(kind, branched=branched).places
    if kind in LOOKS["bloom"]:
        assert np.ptp(places[:, :2], axis=0) == pytest.approx([1.2, 1.2], abs=0.25)
    else:
        # Hairs and leaflets reach a little behind the foot and past the tip.
        assert places[:, 0].max() == pytest.approx(1.0, abs=0.16)
        assert places[:, 0].min() > -0.1


@pytest.mark.parametrize("kind", KINDS)
def test_a_model_on_a_phone_has_far_fewer_corners_than_a_picture(kind: str) -> None:
    coarse, fine = (floral_mesh(kind, detail=detail) for detail in (COARSE, FINE))
    assert len(coarse.places) < 0.75 * len(fine.places)
    assert len(coarse.places) < 800


@pytest.mark.parametrize("kind", KINDS)
def test_a_floral_has_light_and_dark_places_and_no_tone_is_beyond_its_colour(kind: str) -> None:
    tones = floral_mesh(kind).tones
    assert tones is not None
    assert tones.min() > 0
    assert tones.max() <= 1
    assert np.ptp(tones.mean(axis=1)) > 0.2


@pytest.mark.parametrize("kind", KINDS)
def test_a_floral_shows_its_face_to_the_viewer_and_is_not_flat(kind: str) -> None:
    mesh = floral_mesh(kind)
    # Reference: trimesh's normals and areas of the same triangles.
    theirs = trimesh.Trimesh(mesh.places, mesh.triangles, process=False)
    towards = float((theirs.face_normals[:, 2] * theirs.area_faces).sum() / theirs.area_faces.sum())
    assert towards > (-0.2 if kind == "pampas" else 0.25)
    assert np.ptp(mesh.places[:, 2]) > 0.06


def test_no_two_kinds_have_the_same_outline() -> None:
    def spread(mesh: Mesh) -> tuple[float, ...]:
        return tuple(np.round([*np.ptp(mesh.places, axis=0), *mesh.places.std(axis=0)], 3).tolist())

    assert len({spread(floral_mesh(kind)) for kind in KINDS}) == len(KINDS)
