"""A drawn stand-in for a photo of the finished piece: an arch of rounds before a wall."""

from __future__ import annotations

import io
import math
import random
from collections.abc import Sequence
from typing import Final

from PIL import Image, ImageDraw

SIZE: Final = (960, 720)
WALL, FLOOR, EDGE = "#E9E3D8", "#B9A78F", "#8A7B66"
ROUNDS: Final = 190


def snapshot(colours: Sequence[str], *, seed: int) -> io.BytesIO:
    """A JPEG of an arch in these colours (sRGB, ``#RRGGBB``); the same for the same seed."""
    dice = random.Random(seed)  # noqa: S311 -- a picture, no secret
    picture = Image.new("RGB", SIZE, WALL)
    draw = ImageDraw.Draw(picture)
    draw.rectangle((0, 600, *SIZE), fill=FLOOR)
    for number in range(ROUNDS):
        along = number / ROUNDS * math.pi
        radius = dice.choice((14, 20, 26, 26, 34, 48))
        x = 480 - 260 * math.cos(along) + dice.gauss(0, 22)
        y = 610 - 470 * math.sin(along) ** 0.8 + dice.gauss(0, 22)
        colour = dice.choice(colours)
        draw.ellipse((x - radius, y - radius, x + radius, y + radius), fill=colour, outline=EDGE)
        shine = radius / 4
        draw.ellipse((x - shine * 2, y - shine * 2, x - shine, y - shine), fill="#FFFFFF")
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=85)
    out.seek(0)
    return out
