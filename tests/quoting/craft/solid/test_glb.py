"""The model of a set piece, read back by a second reader of glTF (trimesh) and measured there."""

from __future__ import annotations

import gzip
import io
import math
from dataclasses import replace

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from PIL import Image
from scipy.spatial.transform import Rotation

from quoting.craft.design.design_file import STARTERS, load_design
from quoting.craft.design.fillings import bars_of
from quoting.craft.design.frames import face
from quoting.craft.design.records import Cover, Design, Frame, PaletteColour, Sign, Wall
from quoting.craft.design.things import Spray
from quoting.craft.solid.glb import glb, turn_from_down
from quoting.craft.solid.meshes import Mesh, balloon, box, cylinder, sheet, tube
from quoting.craft.solid.scene import scene_of
from quoting.craft.takeoff.takeoff import TakeOff, take_off
from studio.trade.ranges import FloatArray
from tests.quoting.craft.solid.own_pieces import DIGEST, OWN_PIECES, PRINTS

NAMES = [path.stem for path in sorted(STARTERS.glob("*.json"))]
LARGEST_KB = 60
"""Of 300 balloons, packed as a web server packs it."""
LARGEST_OF_1600_KB = 200


def taken_off(name: str) -> TakeOff:
    return take_off(load_design(STARTERS / f"{name}.json"))


def read_back(takeoff: TakeOff) -> trimesh.Scene:
    found = trimesh.load(io.BytesIO(glb(scene_of(takeoff))), file_type="glb")
    assert isinstance(found, trimesh.Scene)
    return found


def stood(scene: trimesh.Scene, name: str) -> trimesh.Geometry:
    """A mesh wherever a node has it, as trimesh works it out from the nodes."""
    nodes = [scene.graph.get(node) for node in scene.graph.nodes_geometry]
    return trimesh.util.concatenate(
        [
            scene.geometry[geometry].copy().apply_transform(matrix)
            for matrix, geometry in nodes
            if geometry == name
        ]
    )


def is_balloon(name: object, takeoff: TakeOff) -> bool:
    return str(name).split("_", maxsplit=1)[0] in {colour.name for colour in takeoff.design.palette}


@pytest.mark.parametrize("name", NAMES)
def test_a_second_reader_finds_every_balloon_at_its_place_and_size(name: str) -> None:
    takeoff = taken_off(name)
    scene = read_back(takeoff)
    found = np.array(
        [
            [*matrix[:3, 3], np.linalg.norm(matrix[:3, 0])]
            for node in scene.graph.nodes_geometry
            for matrix, geometry in [scene.graph.get(node)]
            if is_balloon(geometry, takeoff)
        ]
    )
    b = takeoff.balloons
    ours = np.column_stack([b.x, b.y, b.z, b.radius])
    assert len(found) == len(ours) == len(scene_of(takeoff).balls)
    apart = np.linalg.norm(ours[:, None] - found[None], axis=2)
    assert max(apart.min(axis=0).max(), apart.min(axis=1).max()) < 2e-4


@pytest.mark.parametrize("name", NAMES)
def test_the_box_around_the_model_is_that_of_the_take_off(name: str) -> None:
    takeoff = taken_off(name)
    scene = read_back(takeoff)
    leaves = tuple(floral.label for floral in takeoff.design.florals)
    places = np.concatenate(
        [
            trimesh.transform_points(scene.geometry[geometry].vertices, matrix)
            for node in scene.graph.nodes_geometry
            for matrix, geometry in [scene.graph.get(node)]
            if not str(geometry).startswith(leaves)
        ]
    )
    size = takeoff.dimensions
    # Necks and tubes reach a little past balloons and middle lines; leaves are left out, as the take-off does.
    assert np.ptp(places[:, 0]) == pytest.approx(size.width_m, abs=0.12)
    assert places[:, 1].max() == pytest.approx(size.height_m, abs=0.12)


@pytest.mark.parametrize("name", [*NAMES, *OWN_PIECES])
def test_balloons_fill_the_box_and_hold_the_air_of_the_take_off(name: str) -> None:
    takeoff = take_off(OWN_PIECES[name]) if name in OWN_PIECES else taken_off(name)
    scene = read_back(takeoff)
    found = [
        (scene.geometry[geometry], matrix)
        for node in scene.graph.nodes_geometry
        for matrix, geometry in [scene.graph.get(node)]
        if is_balloon(geometry, takeoff)
    ]
    b = takeoff.balloons
    # Reference: trimesh's own volume of a closed mesh; a ball holds 4/3 pi r3, of which the corners cut off a little.
    air = sum(float(mesh.volume) * np.linalg.norm(matrix[:3, 0]) ** 3 for mesh, matrix in found)
    assert air == pytest.approx(4 / 3 * math.pi * float((b.radius**3).sum()), rel=0.06)
    reach = np.array([[matrix[:3, 3], [np.linalg.norm(matrix[:3, 0])] * 3] for _, matrix in found])
    low, high = (reach[:, 0] - reach[:, 1]).min(axis=0), (reach[:, 0] + reach[:, 1]).max(axis=0)
    around = b.radius[:, None]
    assert low == pytest.approx((b.centres - around).min(axis=0), abs=2e-4)
    assert high == pytest.approx((b.centres + around).max(axis=0), abs=2e-4)


@pytest.mark.parametrize("name", NAMES)
def test_what_is_closed_holds_as_much_in_the_file_as_in_the_scene(name: str) -> None:
    takeoff = taken_off(name)
    read = read_back(takeoff).geometry
    ours = {solid.name: solid for solid in scene_of(takeoff).solids if solid.part in ("frames", "props")}
    for solid in ours.values():
        assert read[solid.name].volume == pytest.approx(solid.mesh.volume_m3, rel=1e-3, abs=1e-6)


def test_a_large_piece_is_small_enough_for_a_phone() -> None:
    takeoff = take_off(OWN_PIECES["large"])
    assert len(takeoff.balloons) == 1598
    assert len(gzip.compress(glb(scene_of(takeoff)))) / 1000 <= LARGEST_OF_1600_KB


def test_the_line_from_a_balloon_along_its_neck_meets_the_string() -> None:
    takeoff = taken_off("garland-nested-arches")
    string = takeoff.garlands[0].route
    path = string.at(np.linspace(0, string.along[-1], 4000))
    for ball in scene_of(takeoff).balls:
        off = path - np.asarray(ball.centre)
        ahead = off @ np.asarray(ball.neck)
        aside = np.linalg.norm(off - ahead[:, None] * np.asarray(ball.neck), axis=1)
        assert aside[ahead > 0].min() < 0.01
        assert np.linalg.norm(ball.neck) == pytest.approx(1.0)


@given(way=arrays(np.float64, 3, elements=st.floats(-1, 1)).filter(lambda v: np.linalg.norm(v) > 0.05))
def test_a_turned_neck_points_its_way(way: FloatArray) -> None:
    # Reference: SciPy's own rotation of a quaternion.
    unit = way / np.linalg.norm(way)
    x, y, z, w = turn_from_down(unit.tolist())
    matrix = Rotation.from_quat([x, y, z, w]).as_matrix()
    assert matrix @ np.array([0.0, -1.0, 0.0]) == pytest.approx(unit, abs=2e-3)


@pytest.mark.parametrize(
    ("mesh", "volume", "area"),
    [
        (box((0.4, 0.9, 0.3)), 0.108, 2 * (0.36 + 0.12 + 0.27)),
        (cylinder(0.2, 0.9), math.pi * 0.04 * 0.9, 2 * math.pi * 0.2 * (0.2 + 0.9)),
        (sheet(np.array([(0, 0), (1, 0), (1, 1), (0, 1)], dtype=float), 0.02), 0.02, 2.08),
        (tube(np.array([[0.0, 0, 0], [0, 1, 0], [0, 2, 0]]), 0.0125), math.pi * 0.0125**2 * 2, None),
    ],
)
def test_meshes_are_closed_and_hold_what_geometry_says(mesh: Mesh, volume: float, area: float | None) -> None:
    theirs = trimesh.Trimesh(mesh.places, mesh.triangles)
    theirs.merge_vertices(merge_norm=True)
    assert theirs.is_watertight
    assert theirs.volume == pytest.approx(volume, rel=0.11)
    assert theirs.volume == pytest.approx(mesh.volume_m3)
    if area is not None:
        assert theirs.area == pytest.approx(area, rel=0.02)


def test_a_balloon_is_closed_and_nearly_a_sphere() -> None:
    mesh = balloon()
    theirs = trimesh.Trimesh(mesh.places, mesh.triangles)
    assert theirs.is_watertight
    assert theirs.volume == pytest.approx(4 / 3 * math.pi, rel=0.04)
    assert np.linalg.norm(mesh.places, axis=1).max() == pytest.approx(1.16)


@pytest.mark.parametrize("name", NAMES)
def test_the_model_is_small_enough_for_a_phone(name: str) -> None:
    takeoff = taken_off(name)
    packed = len(gzip.compress(glb(scene_of(takeoff)))) / 1000
    assert packed <= LARGEST_KB * max(1.0, len(takeoff.balloons) / 300)


def test_the_same_design_gives_the_same_bytes() -> None:
    first, second = (glb(scene_of(taken_off("ring-half-moon"))) for _ in range(2))
    assert first == second


def test_a_colour_is_the_same_light_in_the_model() -> None:
    # By hand: #BCBCBC is 188/255 = 0.7373, in linear light ((0.7373 + 0.055) / 1.055) ** 2.4 = 0.5029 (IEC 61966-2-1).
    takeoff = taken_off("garland-nested-arches")
    materials = {
        mesh.visual.material.name: mesh.visual.material for mesh in read_back(takeoff).geometry.values()
    }
    ink = materials["Ink"].baseColorFactor
    expected = [((int("2E4454"[k : k + 2], 16) / 255 + 0.055) / 1.055) ** 2.4 for k in (0, 2, 4)]
    assert [value / 255 for value in ink[:3]] == pytest.approx(expected, abs=0.004)


def test_placed_florals_and_boards_stand_where_the_picture_has_them() -> None:
    design = load_design(STARTERS / "ring-half-moon.json")
    fern = Spray(
        id="fern", item="fern", label="Placed fern", kind="pick", hex="#6B8A5E", look="leaf", size_m=0.3,
        x_m=0.7, y_m=1.4, z_m=0.5, turn_deg=90,
    )  # fmt: skip
    scene = read_back(take_off(replace(design, sprays=(fern,))))
    (low_x, low_y, _), (high_x, high_y, _) = stood(scene, "Placed fern").bounds
    # Turned by 90 degrees clockwise, it points to the right of its foot, which lies half its length to the left.
    assert (low_x, high_x) == pytest.approx((0.55, 0.85), abs=0.02)
    assert (low_y + high_y) / 2 == pytest.approx(1.4, abs=0.02)
    assert design.sign is not None
    assert design.sign.text in scene.geometry


@pytest.mark.parametrize("name", ["column-wound", "ring-half-moon"])
def test_every_floral_of_a_garland_is_in_the_model_where_the_scene_has_it(name: str) -> None:
    takeoff = taken_off(name)
    read = read_back(takeoff)
    florals = [one for one in scene_of(takeoff).solids if one.part == "florals"]
    assert sum(len(one.stances) for one in florals) == len(takeoff.leaves) > 0
    for one in florals:
        theirs = stood(read, one.name)
        assert theirs.bounds == pytest.approx(
            np.array([one.whole.places.min(axis=0), one.whole.places.max(axis=0)]), abs=2e-3
        )


@pytest.mark.parametrize("name", NAMES)
def test_no_floral_reaches_far_into_the_floor(name: str) -> None:
    florals = [one for one in scene_of(taken_off(name)).solids if one.part == "florals"]
    assert all(one.whole.places[:, 1].min() > -0.05 for one in florals)


FRAME = Frame(
    id="one", shape="arch-top", item="arch", label="Arch", width_m=1.2, height_m=2.0, z_m=0.5, cover=None
)
COVER = Cover(item="cover", label="Cover", colour="sage", hex="#C6CDBA")


def frame_alone(frame: Frame) -> trimesh.Scene:
    oat = PaletteColour(colour="oat", name="Oat", hex="#EFE6D6", share=1)
    return read_back(take_off(Design(version=2, name="Frame", palette=(oat,), frames=(frame,))))


@pytest.mark.parametrize("filling", ["ladder", "grid"])
def test_bars_fill_their_frame_in_its_plane(filling: str) -> None:
    bars = frame_alone(replace(FRAME, filling=filling)).geometry["Arch, bars"]
    drawn = bars_of(replace(FRAME, filling=filling))
    assert bars.body_count == len(drawn)
    length = sum(math.dist(*bar) for bar in drawn)
    # A tube of eight sides holds 0.90 of the round one: 8 / 2 * sin(45 deg) / pi.
    assert bars.volume == pytest.approx(0.90 * math.pi * 0.003**2 * length, rel=0.01)
    assert bars.bounds[:, 2].mean() == pytest.approx(0.5, abs=1e-3)


def test_shimmering_panels_close_their_frame_before_its_cover() -> None:
    scene = frame_alone(replace(FRAME, filling="shimmer", cover=COVER))
    panels, cover = scene.geometry["Arch, shimmer"], scene.geometry["Cover"]
    # By hand: an arch-top of 1.2 by 2.0 m has 1.2 * 1.4 m2 below its half round and pi * 0.36 / 2 m2 in it.
    assert panels.volume / 0.004 == pytest.approx(1.68 + math.pi * 0.18, rel=0.01)
    assert panels.bounds[1, 2] > cover.bounds[1, 2] > 0.5


def test_a_column_has_its_cover_round_it() -> None:
    scene = frame_alone(replace(FRAME, shape="column", width_m=0.3, cover=COVER))
    assert np.ptp(scene.geometry["Cover"].bounds[:, 0]) == pytest.approx(0.308, abs=1e-3)
    assert scene.geometry["Cover"].bounds[1, 1] == pytest.approx(2.0)


def test_a_sign_is_before_the_wall_of_balloons_that_it_covers() -> None:
    oat = PaletteColour(colour="oat", name="Oat", hex="#EFE6D6", share=1)
    wall = Wall(id="wall", width_m=2.0, height_m=2.0, size_in=11, sized_m=0.25)
    sign = Sign(item="sign", label="Sign", text="six!", width_m=0.6, height_m=0.4, x_m=0, y_m=1.0)
    takeoff = take_off(Design(version=2, name="Wall", palette=(oat,), walls=(wall,), signs=(sign,)))
    front = (takeoff.balloons.z + takeoff.balloons.radius).max()
    assert read_back(takeoff).geometry["six!"].bounds[0, 2] >= front - 1e-3


def test_what_is_printed_on_a_cover_lies_on_it_as_in_the_drawing() -> None:
    takeoff = take_off(OWN_PIECES["furnished"])
    (panel,) = takeoff.design.frames
    read = trimesh.load(io.BytesIO(glb(scene_of(takeoff), prints=PRINTS)), file_type="glb")
    assert isinstance(read, trimesh.Scene)
    assert panel.cover is not None
    board = read.geometry[panel.cover.label]
    picture = board.visual.material.baseColorTexture.convert("RGB")
    points = face(panel)
    (left, bottom), (right, top) = points.min(axis=0), points.max(axis=0)

    def colour_at(corner: int) -> tuple[int, int, int]:
        # trimesh counts the second coordinate from below, glTF from above.
        across, up = board.visual.uv[corner]
        x, y = across * (picture.width - 1), (1 - up) * (picture.height - 1)
        found: tuple[int, int, int] = picture.getpixel((int(x), int(y)))
        return found

    high, low = board.vertices[:, 1].argmax(), board.vertices[:, 1].argmin()
    assert colour_at(int(high))[0] > 150 > colour_at(int(high))[2], "red above"
    assert colour_at(int(low))[2] > 150 > colour_at(int(low))[0], "blue below"
    assert picture.width / picture.height == pytest.approx((right - left) / (top - bottom), rel=0.02)


def test_a_cover_whose_image_is_gone_keeps_its_own_colour() -> None:
    takeoff = take_off(OWN_PIECES["furnished"])
    plain = replace(
        takeoff.design, frames=tuple(replace(one, cover_print=None) for one in takeoff.design.frames)
    )
    assert glb(scene_of(takeoff)) == glb(scene_of(take_off(plain)))
    assert glb(scene_of(takeoff), prints={DIGEST: b"no image"}) == glb(scene_of(takeoff))


def test_a_balloon_within_another_is_there_in_its_own_colour() -> None:
    takeoff = take_off(OWN_PIECES["finishes"])
    scene = read_back(takeoff)
    nodes = [scene.graph.get(node) for node in scene.graph.nodes_geometry]
    outer, inner = (
        np.array(
            [[*matrix[:3, 3], np.linalg.norm(matrix[:3, 0])] for matrix, name in nodes if name == wanted]
        )
        for wanted in ("Deep", "Deep within")
    )
    assert len(inner) == len(outer) == int((takeoff.balloons.inner >= 0).sum())
    assert inner[:, :3] == pytest.approx(outer[:, :3])
    assert (inner[:, 3] < outer[:, 3]).all()
    # By hand: #5A2A4A is 90, 42 and 74; in linear light 0.1022, 0.0232 and 0.0685 (IEC 61966-2-1).
    plum = scene.geometry["Deep within"].visual.material.baseColorFactor
    assert [value / 255 for value in plum[:3]] == pytest.approx([0.1022, 0.0232, 0.0685], abs=0.004)
    assert scene.geometry["Deep"].visual.material.alphaMode == "BLEND"


def test_a_print_is_small_enough_for_a_phone() -> None:
    scene = scene_of(take_off(OWN_PIECES["furnished"]))
    noise = Image.fromarray(np.random.default_rng(4).integers(0, 255, (900, 600, 3), dtype=np.uint8))
    made = io.BytesIO()
    noise.save(made, "JPEG")
    assert len(glb(scene, prints={DIGEST: made.getvalue()})) - len(glb(scene)) < 60_000
