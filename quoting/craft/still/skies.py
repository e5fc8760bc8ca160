"""What is around a room and lights it from afar, as an image of all directions (equirectangular): pure arithmetic.

Columns go once round from the viewer's right over what is ahead, the left and behind; rows from straight up to straight
down. All figures are settings of the look, by eye.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import numpy as np
from PIL import Image, ImageDraw, ImageFilter

from quoting.craft.still.scene_file import SceneFile, png
from studio.trade.ranges import FloatArray

# Settings of the look, by eye.
WIDE_PX: Final = 4096
GAMMA: Final = 2.2
UPRIGHT: Final = np.array([[1.0, 0, 0, 0], [0, 0, 1.0, 0], [0, -1.0, 0, 0], [0, 0, 0, 1.0]])
"""The renderer's skies stand on their z; ours on y, with the middle of the image on the viewer's left."""
AHEAD_DEG: Final = -90.0
"""Which column is straight ahead, from the middle of the image; what is further right has a lower one."""
SUN_AT_DEG: Final = (-62.0, 9.0)
HORIZON, PEACH, HIGH, TOP = (1.0, 0.8, 0.56), (0.98, 0.83, 0.72), (0.7, 0.78, 0.9), (0.45, 0.56, 0.78)
SKY_STEPS_DEG: Final = (-90.0, 0.0, 9.0, 24.0, 90.0)
TREE_TONES: Final = ((70, 84, 50), (92, 104, 60), (52, 68, 46), (120, 118, 66), (82, 88, 58))
TREES, BOKEH = 7000, 110
LAMPS: Final = (255, 226, 160)


def put_sky_image(file: SceneFile, pixels: FloatArray, gain: float) -> None:
    """Light the scene from an image of all directions."""
    _put_light(file, file.image("sky", pixels), gain)


def put_evening_sky(file: SceneFile, gain: float) -> None:
    """Light the scene from :func:`evening_sky`."""
    _put_light(file, file.image_file("sky", _evening_file()), gain)


def evening_sky() -> Image.Image:
    """An evening: warm low over the horizon, blue above; trees out of focus, and lamps among them. sRGB."""
    image = Image.fromarray(np.round(_evening() * 255).astype(np.uint8), "RGB")
    draw, chance = ImageDraw.Draw(image, "RGBA"), np.random.default_rng(11)
    for _ in range(TREES):
        _tree(draw, chance)
    image = image.filter(ImageFilter.GaussianBlur(2.0))
    draw = ImageDraw.Draw(image, "RGBA")
    for _ in range(BOKEH):
        _disc(
            draw,
            chance.uniform(0, WIDE_PX),
            chance.uniform(0.5, 7.0),
            chance.uniform(2.2, 4.5),
            (*LAMPS, 120),
        )
    return image.filter(ImageFilter.GaussianBlur(0.8))


def room_sky(above: float, ahead: float, below: float) -> FloatArray:
    """Even light of a room: bright ceiling, dim walls, a dim floor. Grey, sRGB, 0 to 1."""
    up = np.linspace(90, -90, 64)
    grey = np.interp(up, [-90, -8, 8, 55, 90], [below, ahead, ahead, above, above])
    return np.repeat(np.repeat(grey[:, None, None], 128, axis=1), 3, axis=2)


# Private


def _put_light(file: SceneFile, image: str, gain: float) -> None:
    turn = UPRIGHT.T.ravel().tolist()
    file.put(
        "lights.sky",
        type="infinite",
        file=image,
        gamma=GAMMA,
        storage="half",
        gain=(gain,) * 3,
        transformation=turn,
    )


@lru_cache(maxsize=1)
def _evening_file() -> bytes:
    """Kept as the file that it becomes: as numbers it would take 200 MB."""
    return png(evening_sky())


def _evening() -> FloatArray:
    high = WIDE_PX // 2
    up = np.linspace(90, -90, high)[:, None]
    around = np.linspace(-180, 180, WIDE_PX)[None, :]
    tones = np.array([HORIZON, HORIZON, PEACH, HIGH, TOP])
    sky = np.stack([np.interp(up, SKY_STEPS_DEG, tones[:, k]) for k in range(3)], axis=-1)
    glow = np.exp(-(((around - SUN_AT_DEG[0]) / 42) ** 2) - ((up - SUN_AT_DEG[1]) / 16) ** 2)[..., None]
    lit = sky + glow * (np.array([1.0, 0.86, 0.6]) - sky) * 0.9
    return np.where(
        up[..., None] < -1, np.array([0.33, 0.36, 0.22]), np.broadcast_to(lit, (high, WIDE_PX, 3))
    )


def _crown_deg(x: float) -> float:
    """How high the trees stand at a column, in degrees."""
    turn = 2 * np.pi * x / WIDE_PX
    return float(9.5 + 2.6 * np.sin(5 * turn + 0.4) + 2.0 * np.sin(13 * turn + 2.0) + 1.2 * np.sin(29 * turn))


def _tree(draw: ImageDraw.ImageDraw, chance: np.random.Generator) -> None:
    x = chance.uniform(0, WIDE_PX)
    share = chance.beta(1.0, 1.5)
    tone = TREE_TONES[int(chance.integers(len(TREE_TONES)))]
    light = 0.62 + 0.75 * share
    shade = tuple(min(255, round(c * light * w)) for c, w in zip(tone, (1.12, 1.0, 0.9), strict=True))
    _disc(
        draw,
        x,
        -1.5 + share * (_crown_deg(x) + 1.5),
        chance.uniform(4, 13) * (1.2 - 0.6 * share),
        (*shade, 200),
    )


def _disc(draw: ImageDraw.ImageDraw, x: float, up_deg: float, radius: float, tone: tuple[int, ...]) -> None:
    y = (90 - up_deg) / 180 * WIDE_PX / 2
    draw.ellipse((x - radius, y - radius, x + radius, y + radius), fill=tone)
