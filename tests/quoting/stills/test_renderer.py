"""The renderer itself, on scenes whose pictures can be worked out by hand. ``make test-render`` runs these."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from quoting.craft.design.design_file import STARTERS, load_design
from quoting.craft.design.frames import face
from quoting.craft.design.records import Cover, CoverPrint, Frame
from quoting.craft.design.things import FINISHES
from quoting.craft.solid.meshes import Mesh, balloon, sheet
from quoting.craft.solid.scene import Ball, Paint, Scene, scene_of
from quoting.craft.still.backdrop import Backdrop, photo_pixels
from quoting.craft.still.camera import Camera
from quoting.craft.still.cloth import put_cover, spread
from quoting.craft.still.exposure import EXPOSURE
from quoting.craft.still.paints import put_cloth, put_lamp, put_latex
from quoting.craft.still.scene_file import SceneFile, StillFiles
from quoting.craft.still.still import Look, put_camera, still_files, window_in_photo
from quoting.craft.takeoff.takeoff import take_off
from quoting.stills.rendering import rendered
from studio.trade.colour import lab_from_srgb
from studio.trade.colour_difference import ciede2000
from studio.trade.ranges import FloatArray

pytestmark = pytest.mark.render
LOOK = Look(width=240, height=192)
CAMERA = Camera(eye=(0.4, 1.6, 4.0), aim=(0.0, 1.0, 0.0), opening_deg=40.0)


def pixels(files: StillFiles, *, samples_aside: int = 3) -> FloatArray:
    """The picture as sRGB from 0 to 1, shape (height, width, 3)."""
    made = rendered(files, LOOK, lambda _: None, samples_aside=samples_aside)
    with Image.open(io.BytesIO(made.large)) as picture:
        return np.asarray(picture.convert("RGB"), dtype=float) / 255


def at(picture: FloatArray, point: FloatArray) -> tuple[float, float]:
    """Column and row of a point, as the camera of the arithmetic sees it."""
    right, up = CAMERA.seen_at(point)
    half = LOOK.height / 2
    return LOOK.width / 2 + right * half, LOOK.height / 2 - up * half


def a_ball(file: SceneFile, centre: FloatArray, radius_m: float, material: str) -> None:
    file.shape("ball", balloon(48, 40))
    place = np.diag([radius_m, radius_m, radius_m, 1.0])
    place[:3, 3] = centre
    file.object("ball", shape="ball", material=material, place=place)


def even_light(file: SceneFile, gain: float) -> None:
    file.put("lights.sky", type="constantinfinite", color=(1.0, 1.0, 1.0), gain=(gain,) * 3)


def test_a_ball_is_where_the_camera_puts_it() -> None:
    """A dark ball under an even sky: the middle of its pixels against the projection worked out by hand."""
    file, centre = SceneFile(), np.array([0.5, 1.3, 0.2])
    put_cloth(file, "dark", "#101010")
    a_ball(file, centre, 0.12, "dark")
    even_light(file, 1.0)
    put_camera(file, CAMERA, LOOK.aspect)
    dark = pixels(file.files()).mean(axis=2) < 0.5
    rows, columns = np.nonzero(dark)
    column, row = at(np.zeros(1), centre)
    assert columns.mean() == pytest.approx(column, abs=1.5)
    assert rows.mean() == pytest.approx(row, abs=2.5), "its neck hangs a little lower"


@pytest.mark.parametrize("code", ["#C9CDB9", "#D9B45B", "#5B6E8C", "#B8481F"])
def test_latex_in_even_light_has_the_colour_that_the_studio_named(code: str) -> None:
    """In light from everywhere a surface shows its own colour: within 4 by CIEDE2000."""
    file = SceneFile()
    put_latex(file, "latex", code, "plain")
    a_ball(file, np.array([0.0, 1.0, 0.0]), 0.6, "latex")
    even_light(file, 1 / EXPOSURE)
    put_camera(file, CAMERA, LOOK.aspect)
    picture = pixels(file.files())
    column, row = (round(value) for value in at(picture, np.array([0.0, 1.0, 0.0])))
    seen = picture[row - 6 : row + 7, column - 6 : column + 7].reshape(-1, 3).mean(axis=0)
    named = np.array([int(code[k : k + 2], 16) for k in (1, 3, 5)]) / 255
    assert ciede2000(lab_from_srgb(seen), lab_from_srgb(named)) < 4


def test_a_shadow_lies_where_the_light_says() -> None:
    """By hand: a lamp at (0, 3, 0), a ball at (0.3, 1.5, 0); the line through both meets the floor at (0.6, 0, 0)."""
    file = SceneFile()
    put_cloth(file, "floor", "#E0E0E0")
    put_cloth(file, "dark", "#404040")
    put_lamp(file, "lamp", (1.0, 1.0, 1.0), 4000)
    file.body("floor", flat(3.0, 0.0, up=True), "floor")
    file.body("lamp", flat(0.02, 3.0, up=False), "lamp")
    a_ball(file, np.array([0.3, 1.5, 0.0]), 0.1, "dark")
    camera = Camera(eye=(0.0, 2.6, 3.0), aim=(0.6, 0.0, 0.0), opening_deg=30.0)
    put_camera(file, camera, LOOK.aspect)
    picture = pixels(file.files()).mean(axis=2)
    middle = picture[
        LOOK.height // 2 - 30 : LOOK.height // 2 + 30, LOOK.width // 2 - 40 : LOOK.width // 2 + 40
    ]
    rows, columns = np.nonzero(middle < 0.5 * np.median(middle))
    assert len(rows) > 50, "there is a shadow"
    assert columns.mean() == pytest.approx(40, abs=3)
    assert rows.mean() == pytest.approx(30, abs=3)


def test_a_print_lies_on_its_cover_the_right_way_round() -> None:
    """An image of four colours on a square cover: each is seen in the corner that it has on the image."""
    corners = {(0, 0): "#C03030", (1, 0): "#30A040", (0, 1): "#3040C0", (1, 1): "#C0B030"}
    image = Image.new("RGB", (200, 200))
    for (right, down), code in corners.items():
        image.paste(code, (100 * right, 100 * down, 100 * right + 100, 100 * down + 100))
    out = io.BytesIO()
    image.save(out, "PNG")
    cloth = Cover(item="c", label="Cover", colour="oat", hex="#E8E0D0")
    print_ = CoverPrint(digest="0" * 64, aspect=1.0, bleed_m=0.0)
    frame = Frame(
        id="b", shape="rectangle", item="b", label="B", width_m=1.6, height_m=1.6, base_m=0.2,
        cover=cloth, cover_print=print_,
    )  # fmt: skip
    mesh, file = sheet(face(frame), 0.004), SceneFile()
    put_cover(file, "cover", frame, out.getvalue())
    file.body("cover", mesh, "cover", spread(frame, mesh))
    even_light(file, 1 / EXPOSURE)
    put_camera(file, CAMERA, LOOK.aspect)
    picture = pixels(file.files())
    for (right, down), code in corners.items():
        column, row = at(picture, np.array([0.8 * right - 0.4, 1.4 - 0.8 * down, 0.0]))
        seen = picture[round(row), round(column)]
        named = np.array([int(code[k : k + 2], 16) for k in (1, 3, 5)]) / 255
        assert ciede2000(lab_from_srgb(seen), lab_from_srgb(named)) < 8, code


@pytest.mark.parametrize("finish", FINISHES)
def test_black_and_mirror_keep_a_shape_in_a_plain_room(finish: str) -> None:
    """A black ball of every finish in the studio: neither all black nor all white, and not a number left out."""
    ball = Ball((0.0, 0.6, 0.0), 0.5, (0.0, -1.0, 0.0), 0, "11 in black", 0, -1)
    paint = Paint("black", "Black", "#000000", finish, "#000000")
    picture = pixels(still_files(Scene("A ball", (paint,), (ball,), ()), LOOK))
    middle = picture[
        LOOK.height // 2 - 60 : LOOK.height // 2 + 50, LOOK.width // 2 - 50 : LOOK.width // 2 + 50
    ]
    assert np.isfinite(picture).all()
    assert float(middle.max() - middle.min()) > 0.15


def flat(half_m: float, y_m: float, *, up: bool) -> Mesh:
    corners = np.array([[-1, 0, -1], [-1, 0, 1], [1, 0, 1], [1, 0, -1]]) * half_m + np.array([0.0, y_m, 0.0])
    faces = np.array([[0, 1, 2], [0, 2, 3]])
    return Mesh(corners, np.tile([0.0, 1.0 if up else -1.0, 0.0], (4, 1)), faces if up else faces[:, ::-1])


def test_the_same_scene_gives_the_same_picture() -> None:
    files = still_files(scene_of(take_off(load_design(STARTERS / "table-garland.json")), fine=True), LOOK)
    first, second = pixels(files, samples_aside=2), pixels(files, samples_aside=2)
    assert np.array_equal(first, second)


def test_a_photo_of_a_floor_gets_darker_under_the_piece_and_stays_far_from_it() -> None:
    """A dark ball on the floor: it is where the photo's pinhole has it, its shadow is beside it, and no more."""
    paint = Paint("ink", "Ink", "#202020", "standard")
    ball = Ball((0.0, 0.3, 0.0), 0.3, (0.0, -1.0, 0.0), 0, "Ink 24", 0, -1)
    scene = Scene("A ball", (paint,), (ball,), ())
    backdrop = Backdrop(800, 640, 800.0, 200.0, 1.4, 3.7)
    look = replace(LOOK, room="venue", backdrop=backdrop, height=192)
    window = window_in_photo(scene, look, backdrop)
    photo = photo_pixels(np.full((640, 800, 3), 0.6), window, look.width, look.height)
    made = rendered(still_files(scene, look), look, lambda _: None, behind=photo)
    with Image.open(io.BytesIO(made.large)) as picture:
        found = np.asarray(picture.convert("L"), dtype=float) / 255

    def pixel(right_m: float, up_m: float, back_m: float) -> tuple[int, int]:
        """Row and column of the still."""
        column, row = backdrop.seen_at(right_m, up_m, back_m)
        share = look.width / window.width
        return round((row - window.top) * share), round((column - window.left) * share)

    rows, columns = np.nonzero(found < 0.35)
    assert (rows.mean(), columns.mean()) == pytest.approx(pixel(0.0, 0.3, 0.3), abs=3)
    assert found[pixel(0.0, 0.0, 0.0)] < 0.58, "before it"
    assert max(found[pixel(side, 0.0, 0.3)] for side in (-0.28, 0.28)) < 0.56, "beside its foot"
    assert np.abs(found[:, :20] - 0.6).max() < 0.02
    assert np.abs(found[:40] - 0.6).max() < 0.02
