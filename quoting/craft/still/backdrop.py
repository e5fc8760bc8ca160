"""A photo of the venue behind a still: the camera that took it, the light in it, and the piece put into it.

The camera is a pinhole that looks level, as for the picture of a whole room. The piece stands on a plain grey floor
under an even sky with one soft lamp, so that floor without a shadow has a brightness that is known; where it is darker
than that, the photo is made darker by the same share. Figures are settings, by eye, unless a source stands beside them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt
from PIL import Image
from scipy.ndimage import gaussian_filter

from quoting.craft.solid.meshes import Mesh
from quoting.craft.still.exposure import decoded, developed, encoded
from quoting.craft.still.paints import put_cloth
from quoting.craft.still.scene_file import SceneFile
from quoting.craft.still.skies import AHEAD_DEG, GAMMA, put_sky_image
from studio.trade.colour import linear, srgb_from_hex
from studio.trade.ranges import FloatArray

FLOOR: Final = "venue-floor"
FLOOR_ID: Final = 1
# Settings of the look, by eye.
FLOOR_HEX: Final = "#A0A0A0"
FLOOR_REACH_M: Final = 60.0
SKY_PX: Final = (256, 512)
AMBIENT: Final = 0.8
LAMP: Final = 5.0
LAMP_WIDE_DEG: Final = 14.0
LAMP_UP_DEG: Final = 42.0
LAMP_ASIDE_DEG: Final = 65.0
"""How far the lamp goes from behind the viewer to the side that is brighter."""
USUAL: Final = 0.22
"""Mean light of a photo that gets the lamps as they are."""
DIMMEST, BRIGHTEST = 0.55, 1.4
WHOLLY_ASIDE: Final = 0.35
"""Difference of the halves, as a share of both, from which on the lamp stands wholly on one side."""
NO_SHADE: Final = 0.97
"""Floor so near to its full brightness is in no shadow: what is left is noise."""
NEAR_PX, LEAST_NEAR = 2.0, 1e-3
"""How far around a pixel at a rim it takes after those that are wholly one thing."""
WHOLE, HALF = 0.999, 0.6
MOST_LIGHT: Final = 20.0


@dataclass(frozen=True, slots=True)
class PhotoLight:
    """Mean light of a photo, 0 to 1 and linear, and how much more of it comes from the left, -1 to 1."""

    mean: float = USUAL
    from_left: float = 0.0

    @property
    def level(self) -> float:
        """How bright the lamps are: the root of the photo's mean light over the usual, within limits.

        >>> PhotoLight(mean=USUAL).level
        1.0
        """
        return min(max(math.sqrt(self.mean / USUAL), DIMMEST), BRIGHTEST)


USUAL_LIGHT: Final = PhotoLight()


@dataclass(frozen=True, slots=True)
class Backdrop:
    """A photo and the piece's place in it. Pixels from its left and top; the camera's height above the floor, how far
    it was from the piece's front, and how far the piece's middle is to the right of the photo's middle [m]."""

    width_px: float
    height_px: float
    focal_px: float
    horizon_px: float
    camera_m: float
    distance_m: float
    x_m: float = 0.0
    light: PhotoLight = USUAL_LIGHT

    def seen_at(self, right_m: float, up_m: float, back_m: float = 0.0) -> tuple[float, float]:
        """Column and row of a point: to the right of the photo's middle, above the floor, behind the piece's front [m].

        >>> Backdrop(1600, 1200, 800.0, 500.0, 2.0, 4.0).seen_at(1.0, 0.0, 4.0)
        (900.0, 700.0)
        """
        scale = self.focal_px / (self.distance_m + back_m)
        return self.width_px / 2 + scale * right_m, self.horizon_px + scale * (self.camera_m - up_m)


@dataclass(frozen=True, slots=True)
class Window:
    """The part of a photo that a still shows, in its pixels."""

    left: float
    top: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class PhotoCamera:
    """An eye that looks level along ``ahead``; the borders of its picture as slopes: left, right, low, high."""

    eye: tuple[float, float, float]
    ahead: tuple[float, float, float]
    borders: tuple[float, float, float, float]


def light_in(photo: FloatArray) -> PhotoLight:
    """Measure a photo (h, w, 3), sRGB from 0 to 1: its mean light, and the light of its left half against its right.

    >>> bright, dark = np.ones((2, 2, 3)), np.zeros((2, 2, 3))
    >>> light_in(np.concatenate([bright, dark], axis=1))
    PhotoLight(mean=0.5, from_left=1.0)
    """
    light = decoded(photo).mean(axis=2)
    half = light.shape[1] // 2
    left, right = float(light[:, :half].mean()), float(light[:, -half:].mean())
    share = (left - right) / max(left + right, 1e-6) / WHOLLY_ASIDE
    return PhotoLight(float(light.mean()), min(max(share, -1.0), 1.0))


def window_of(backdrop: Backdrop, height_m: float, aspect: float) -> Window:
    """The largest part of the photo that is so many times as wide as high, as near round the piece as it goes.

    >>> window_of(Backdrop(1600, 1000, 800.0, 500.0, 1.5, 4.0, x_m=9.0), 2.0, 1.0)
    Window(left=600.0, top=0.0, width=1000.0, height=1000.0)
    """
    width = min(backdrop.width_px, backdrop.height_px * aspect)
    height = width / aspect
    column, row = backdrop.seen_at(backdrop.x_m, height_m / 2)
    left = min(max(column - width / 2, 0.0), backdrop.width_px - width)
    top = min(max(row - height / 2, 0.0), backdrop.height_px - height)
    return Window(left, top, width, height)


def photo_pixels(photo: FloatArray, window: Window, width: int, height: int) -> FloatArray:
    """The part of a photo that a still shows, in the still's pixels: sRGB from 0 to 1."""
    box = (window.left, window.top, window.left + window.width, window.top + window.height)
    whole = Image.fromarray(np.round(photo * 255).astype(np.uint8), "RGB")
    shown = whole.resize((width, height), Image.Resampling.LANCZOS, box=box)
    return np.asarray(shown, dtype=float) / 255


def photo_camera(
    backdrop: Backdrop, window: Window, front: FloatArray, pivot: FloatArray, turn_deg: float, edge: float
) -> PhotoCamera:
    """The eye that sees the piece where the photo's camera would have; a turn goes round the piece's own middle.

    ``front``: the middle of the piece's front; ``pivot``: what it is turned round [m]; ``edge``: how much more is seen
    on each side, as a share of the window's width.
    """
    turn = math.radians(turn_deg)
    cos, sin = math.cos(turn), math.sin(turn)
    x = float(front[0] - pivot[0]) - backdrop.x_m
    z = float(front[2] - pivot[2]) + backdrop.distance_m
    eye = (float(pivot[0]) + cos * x + sin * z, backdrop.camera_m, float(pivot[2]) - sin * x + cos * z)
    more, middle = edge * window.width, backdrop.width_px / 2
    return PhotoCamera(
        eye,
        (-sin, 0.0, -cos),
        (
            (window.left - more - middle) / backdrop.focal_px,
            (window.left + window.width + more - middle) / backdrop.focal_px,
            (backdrop.horizon_px - window.top - window.height - more) / backdrop.focal_px,
            (backdrop.horizon_px - window.top + more) / backdrop.focal_px,
        ),
    )


def put_photo_camera(file: SceneFile, camera: PhotoCamera) -> None:
    """Write the eye. An opening of a right angle makes the borders slopes."""
    aim = tuple(place + way for place, way in zip(camera.eye, camera.ahead, strict=True))
    file.put(
        "camera",
        type="perspective",
        lookat_orig=camera.eye,
        lookat_target=aim,
        up=(0.0, 1.0, 0.0),
        fieldofview=90.0,
        screenwindow=camera.borders,
    )


def put_venue(file: SceneFile, light: PhotoLight, place: tuple[float, float], turn_deg: float) -> None:
    """Write the floor round a place and the light: the same from all sides, and one soft lamp in the sky."""
    put_cloth(file, FLOOR, FLOOR_HEX)
    (x, z), reach = place, FLOOR_REACH_M
    corners = np.array([(x + a * reach, 0.0, z + b * reach) for a, b in ((-1, 1), (1, 1), (1, -1), (-1, -1))])
    file.body(FLOOR, Mesh(corners, np.tile([0.0, 1.0, 0.0], (4, 1)), np.array([[0, 1, 2], [0, 2, 3]])), FLOOR)
    file.put(f"objects.{FLOOR}", id=FLOOR_ID)
    sky = _sky(light, turn_deg)
    put_sky_image(file, (sky / sky.max()) ** (1 / GAMMA), float(sky.max()))


def composed(light: FloatArray, masks: FloatArray, photo: FloatArray, lamps: PhotoLight) -> FloatArray:
    """Put what was rendered into the photo (h, w, 3), sRGB from 0 to 1; both are as many pixels.

    ``light``: linear; ``masks`` (h, w, 2): how much of a pixel is piece or floor, and how much is floor.
    """
    whole, floor = np.clip(masks[..., 0], 0.0, 1.0), np.clip(masks[..., 1], 0.0, 1.0)
    piece = np.clip(whole - floor, 0.0, 1.0)
    shade = _shade(light.mean(axis=2) / floor_light(lamps), floor)
    around = floor * shade * floor_light(lamps) + (1 - whole) * AMBIENT * lamps.level
    own = np.clip((light - around[..., None]) / np.maximum(piece, 1e-3)[..., None], 0.0, MOST_LIGHT)
    own = _beside(own, piece > WHOLE, piece < HALF)
    shown = decoded(developed(np.where(piece[..., None] > 0, own, 0.0)))
    share = piece[..., None]
    return encoded(share * shown + (1 - share) * shade[..., None] * decoded(photo))


def floor_light(light: PhotoLight) -> float:
    """What floor in no shadow throws back: its share of all light that comes from above, by the cosine law."""
    sky = _sky(light, 0.0)
    up = _up(SKY_PX[0])
    from_above = np.where(up > 0, np.sin(up) * np.cos(up), 0.0)[:, None] * sky
    whole = float(from_above.sum()) * (math.pi / SKY_PX[0]) * (2 * math.pi / SKY_PX[1])
    return whole / math.pi * float(linear(srgb_from_hex(FLOOR_HEX))[0])


# Private


def _sky(light: PhotoLight, turn_deg: float) -> FloatArray:
    """All directions, as the renderer takes them: the lamp turns the other way where the viewer goes round."""
    up, around = _up(SKY_PX[0])[:, None], np.radians((np.arange(SKY_PX[1]) + 0.5) / SKY_PX[1] * 360 - 180)
    aside = 180.0 - LAMP_ASIDE_DEG * abs(light.from_left)
    lamp = math.radians(AHEAD_DEG - (-aside if light.from_left > 0 else aside) + turn_deg)
    height = math.radians(LAMP_UP_DEG)
    cosine = np.sin(up) * math.sin(height) + np.cos(up) * math.cos(height) * np.cos(around - lamp)
    apart = np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0)))
    return np.asarray(light.level * (AMBIENT + LAMP * np.exp(-((apart / LAMP_WIDE_DEG) ** 2) / 2)))


def _up(rows: int) -> FloatArray:
    """How high each row of a sky looks [rad]."""
    return np.asarray(np.radians(90 - (np.arange(rows) + 0.5) / rows * 180))


def _shade(ratio: FloatArray, floor: FloatArray) -> FloatArray:
    """How much light is left on each pixel's floor; at a rim, that of the floor beside it; 1 where there is none."""
    left = _beside(ratio[..., None], floor > WHOLE, (floor > 0) & (floor <= WHOLE))[..., 0]
    return np.asarray(np.clip(np.where(floor > 0, left, 1.0) / NO_SHADE, 0.0, 1.0))


def _beside(values: FloatArray, known: npt.NDArray[np.bool_], wanted: npt.NDArray[np.bool_]) -> FloatArray:
    """Values (h, w, n), where wanted as a mean of those near by that are known; others as they are."""
    weight = gaussian_filter(known.astype(float), NEAR_PX)[..., None]
    mean = gaussian_filter(values * known[..., None], (NEAR_PX, NEAR_PX, 0)) / np.maximum(weight, LEAST_NEAR)
    return np.asarray(np.where(wanted[..., None] & (weight > LEAST_NEAR), mean, values))
