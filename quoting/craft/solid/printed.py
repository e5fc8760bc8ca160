"""A printed cover in a model: its image cut to the frame's face, small enough for a phone."""

from __future__ import annotations

import io
from typing import Final

import numpy as np
from PIL import Image, UnidentifiedImageError

from quoting.craft.design.frames import face
from quoting.craft.design.prints import image_place
from quoting.craft.design.records import Frame
from quoting.craft.solid.meshes import Mesh
from studio.trade.ranges import FloatArray

# Settings of the look, by eye.
PX_PER_M: Final = 160.0
LONGEST_PX: Final = 384.0
QUALITY: Final = 70  # of a JPEG, as libjpeg counts it


def printed_face(frame: Frame, image: bytes) -> bytes | None:
    """The frame's face as a JPEG, its cover's colour and on it the print; None where it has none or the image can't be
    read.

    >>> printed_face(Frame(id="a", shape="panel", item="a", label="A", width_m=1.0, height_m=2.0), b"") is None
    True
    """
    if frame.cover is None or frame.cover_print is None:
        return None
    left, top, width, height = _face(frame)
    scale = min(PX_PER_M, LONGEST_PX / max(width, height))
    sheet = Image.new("RGB", (max(1, round(width * scale)), max(1, round(height * scale))), frame.cover.hex)
    place = image_place(frame, frame.cover_print)
    size = (max(1, round(place.width_m * scale)), max(1, round(place.height_m * scale)))
    try:
        with Image.open(io.BytesIO(image)) as found:
            found.draft("RGB", size)
            picture = found.convert("RGB").resize(size, Image.Resampling.LANCZOS)
    except (UnidentifiedImageError, OSError, ValueError, Image.DecompressionBombError):
        return None
    sheet.paste(picture, (round((place.left_m - left) * scale), round((top - place.top_m) * scale)))
    made = io.BytesIO()
    sheet.save(made, "JPEG", quality=QUALITY, optimize=True)
    return made.getvalue()


def spots(frame: Frame, mesh: Mesh) -> FloatArray:
    """Where the corners of a cover's mesh lie on that image (n, 2), from its upper left corner, 0 to 1 (glTF 2.0,
    3.8.3).

    >>> frame = Frame(id="a", shape="rectangle", item="a", label="A", width_m=1.0, height_m=2.0, x_m=3.0)
    >>> spots(frame, Mesh(np.array([[2.5, 2.0, 0.0]]), np.zeros((1, 3)), np.zeros((0, 3), np.int64))).tolist()
    [[0.0, 0.0]]
    """
    left, top, width, height = _face(frame)
    across, down = (mesh.places[:, 0] - left) / width, (top - mesh.places[:, 1]) / height
    return np.clip(np.column_stack([across, down]), 0.0, 1.0)


# Private


def _face(frame: Frame) -> tuple[float, float, float, float]:
    """Left, top, width and height of the face [m]."""
    points = face(frame)
    (left, bottom), (right, top) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    return left, top, right - left, top - bottom
