"""A piece before a photo of the venue: where its points are seen, how it is lit, and what of the photo stays."""

from __future__ import annotations

import math

import numpy as np
import pytest

from quoting.craft.picture.room_scene import VenuePhoto
from quoting.craft.still import backdrop as backdrops
from quoting.craft.still.backdrop import (
    AMBIENT,
    FLOOR_HEX,
    Backdrop,
    PhotoCamera,
    PhotoLight,
    Window,
    composed,
    floor_light,
    light_in,
    photo_camera,
    photo_pixels,
    window_of,
)
from quoting.craft.still.exposure import decoded
from quoting.craft.still.skies import AHEAD_DEG
from studio.trade.colour import linear, srgb_from_hex
from studio.trade.ranges import FloatArray

BACKDROP = Backdrop(1600, 1200, focal_px=800.0, horizon_px=500.0, camera_m=2.0, distance_m=4.0, x_m=0.5)
WINDOW = Window(100.0, 50.0, 1280.0, 1000.0)
FRONT, PIVOT = np.array([1.0, 0.0, 0.4]), np.array([1.0, 1.1, 0.1])


def seen_by(camera: PhotoCamera, point: FloatArray) -> tuple[float, float]:
    """Column and row in the photo of a point of the design: the pinhole worked out by hand."""
    ahead = np.array(camera.ahead)
    right = np.array([-ahead[2], 0.0, ahead[0]])
    away = point - np.array(camera.eye)
    slopes = float(away @ right) / float(away @ ahead), float(away[1]) / float(away @ ahead)
    left, far, low, high = camera.borders
    return (
        WINDOW.left + (slopes[0] - left) / (far - left) * WINDOW.width,
        WINDOW.top + (high - slopes[1]) / (high - low) * WINDOW.height,
    )


def test_a_point_is_where_the_picture_of_the_whole_room_has_it() -> None:
    """The same marks as in the example of ``VenuePhoto.at_depth``: 200 pixels a metre, floor at 900, 4 m away."""
    photo = VenuePhoto("hall.jpg", 1600, 1200, 200.0, 900.0, 500.0, 4.0)
    scale, floor = photo.at_depth(2.5)
    assert BACKDROP.seen_at(1.5, 0.0, 2.5) == pytest.approx((800 + 1.5 * scale, floor))
    assert BACKDROP.seen_at(1.5, 2.0, 2.5)[1] == pytest.approx(floor - 2.0 * scale)


@pytest.mark.parametrize(("across", "up", "behind"), [(0.0, 0.0, 0.0), (-1.2, 2.3, 0.0), (0.7, 0.4, 1.5)])
def test_the_eye_sees_a_point_at_the_pixel_of_the_photo(across: float, up: float, behind: float) -> None:
    camera = photo_camera(BACKDROP, WINDOW, FRONT, PIVOT, 0.0, 0.0)
    found = seen_by(camera, FRONT + np.array([across, up, -behind]))
    assert found == pytest.approx(BACKDROP.seen_at(0.5 + across, up, behind))


def test_a_turn_goes_round_the_middle_of_the_piece_and_shows_its_right_side() -> None:
    straight, turned = (photo_camera(BACKDROP, WINDOW, FRONT, PIVOT, turn, 0.0) for turn in (0.0, 25.0))
    assert seen_by(turned, PIVOT) == pytest.approx(seen_by(straight, PIVOT))
    assert turned.eye[0] > straight.eye[0]
    assert turned.eye[1] == straight.eye[1]
    side = PIVOT + np.array([1.0, 0.0, 0.0])
    turn = math.radians(25)
    depth = 4.3 - math.sin(turn)
    assert seen_by(turned, side)[0] == pytest.approx(800 + 800 * (0.5 + math.cos(turn)) / depth)


def test_the_edge_for_the_denoiser_is_seen_beyond_the_window() -> None:
    left, right, low, high = photo_camera(BACKDROP, WINDOW, FRONT, PIVOT, 0.0, 0.01).borders
    assert (left, right) == pytest.approx(((100 - 12.8 - 800) / 800, (1380 + 12.8 - 800) / 800))
    assert (low, high) == pytest.approx(((500 - 1050 - 12.8) / 800, (500 - 50 + 12.8) / 800))


@pytest.mark.parametrize(("size", "x"), [((1600, 1200), -9.0), ((900, 1600), 0.0), ((1600, 700), 9.0)])
def test_the_window_lies_in_the_photo_and_has_the_shape_of_the_still(size: tuple[int, int], x: float) -> None:
    window = window_of(Backdrop(*size, 800.0, 500.0, 1.5, 4.0, x), 2.4, 1.28)
    assert window.width / window.height == pytest.approx(1.28)
    assert (window.width, window.height) <= size
    assert 0 <= window.left <= size[0] - window.width
    assert 0 <= window.top <= size[1] - window.height


def test_light_is_measured_as_light_and_not_as_numbers_of_the_file() -> None:
    """sRGB 0.5 is 21.4 % of the light (IEC 61966-2-1)."""
    assert light_in(np.full((4, 4, 3), 0.5)).mean == pytest.approx(0.2140, abs=1e-4)


def test_the_lamp_stands_on_the_brighter_side_and_turns_with_the_viewer() -> None:
    photo = np.full((4, 8, 3), 0.2)
    photo[:, :4] = 0.8
    light = light_in(photo)
    assert light.from_left == 1.0
    assert light_in(photo[:, ::-1]).from_left == -1.0

    def lamp_deg(light: PhotoLight, turn_deg: float) -> float:
        """To the viewer's right, from straight ahead in the design."""
        sky = backdrops._sky(light, turn_deg)
        column = int(sky.max(axis=0).argmax())
        middle = (column + 0.5) / sky.shape[1] * 360 - 180
        return float((AHEAD_DEG - middle + 180) % 360 - 180)

    assert lamp_deg(light, 0.0) == pytest.approx(-115, abs=1)
    assert lamp_deg(PhotoLight(from_left=-1.0), 0.0) == pytest.approx(115, abs=1)
    assert lamp_deg(light, 20.0) == pytest.approx(-135, abs=1)


def test_dark_and_bright_photos_dim_and_raise_the_lamps_within_limits() -> None:
    levels = [PhotoLight(mean=mean).level for mean in (0.0, 0.15, 0.22, 0.3, 1.0)]
    assert levels == sorted(levels)
    assert (levels[0], levels[-1]) == (backdrops.DIMMEST, backdrops.BRIGHTEST)


def test_floor_under_an_even_sky_throws_back_its_own_share(monkeypatch: pytest.MonkeyPatch) -> None:
    """Lambert's cosine law: under a sky of radiance L a surface that throws back a share of it has that share of L."""
    monkeypatch.setattr(backdrops, "LAMP", 0.0)
    share = float(linear(srgb_from_hex(FLOOR_HEX))[0])
    assert floor_light(PhotoLight()) == pytest.approx(share * AMBIENT, rel=1e-3)


def test_what_is_in_no_shadow_stays_and_floor_in_half_the_light_halves_the_photo() -> None:
    chance = np.random.default_rng(5)
    photo = chance.uniform(0.2, 0.9, (40, 60, 3))
    masks = np.zeros((40, 60, 2))
    masks[20:] = 1.0
    light = np.full((40, 60, 3), AMBIENT)
    light[20:] = floor_light(PhotoLight())
    light[30:, 30:] *= 0.5 * backdrops.NO_SHADE
    made = composed(light, masks, photo, PhotoLight())
    assert made[:30] == pytest.approx(photo[:30])
    half = decoded(photo[35, 45]) / 2
    assert decoded(made[35, 45]) == pytest.approx(half)


def test_a_rim_is_part_piece_and_part_photo() -> None:
    photo = np.full((20, 20, 3), 0.5)
    masks, light = np.zeros((20, 20, 2)), np.full((20, 20, 3), AMBIENT)
    masks[:, :10, 0] = 1.0
    masks[:, 10, 0] = 0.5
    light[:, :10] = 0.2
    light[:, 10] = 0.5 * 0.2 + 0.5 * AMBIENT
    made = decoded(composed(light, masks, photo, PhotoLight()))
    assert made[5, 10] == pytest.approx((made[5, 0] + made[5, 19]) / 2, rel=1e-3)
    assert made[5, 19] == pytest.approx(decoded(photo[5, 19]))


def test_the_part_of_the_photo_is_shown_in_the_pixels_of_the_still() -> None:
    photo = np.zeros((100, 200, 3))
    photo[:, 100:] = 1.0
    shown = photo_pixels(photo, Window(50.0, 0.0, 100.0, 100.0), 40, 40)
    assert shown.shape == (40, 40, 3)
    assert shown[:, :18].max() < 0.05
    assert shown[:, 22:].min() > 0.95
