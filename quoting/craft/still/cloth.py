"""Covers as cloth: slubs of the weave, soft folds, a hem with its seam, and what is printed on them. As images that are
spread over a frame's face: its colours, and its height in relief.

All figures are settings of the look, by eye.
"""

from __future__ import annotations

import io
import zlib
from dataclasses import dataclass
from typing import Final

import numpy as np
from PIL import Image, ImageDraw, UnidentifiedImageError
from scipy.ndimage import distance_transform_edt, gaussian_filter

from quoting.craft.design.frames import face
from quoting.craft.design.prints import image_place
from quoting.craft.design.records import Frame
from quoting.craft.solid.meshes import Mesh
from quoting.craft.still.scene_file import SceneFile
from studio.trade.colour import srgb_from_hex
from studio.trade.ranges import FloatArray

# Settings of the look, by eye.
MOST_PX_PER_M, LONGEST_PX = 420.0, 1300.0
LIGHTEST_TONE: Final = 0.93
RELIEF_M: Final = 0.1
"""Between black and white of the relief."""
SLUB_M: Final = 0.00022
FOLD_M, FOLD_WIDE_M, FOLD_LONG_M = 0.0034, 0.05, 0.55
HEM_FOLD_M, HEM_HIGH_M, HEM_WAVE_M = 0.003, 0.3, 0.16
PLEAT_M, PLEAT_WIDE_M = 0.016, 0.04
SEAM_IN_M, SEAM_WIDE_M, SEAM_DEEP_M = 0.024, 0.004, 0.0016
EDGE_M, EDGE_DEEP_M = 0.012, 0.007
TABLE_BELOW_M: Final = 1.0
"""A covered board that is lower is a table, and its cloth hangs in pleats."""


@dataclass(frozen=True, slots=True)
class Face:
    """A frame's face as an image: its lower left corner and size [m], and whether each pixel lies on it."""

    left_m: float
    bottom_m: float
    width_m: float
    height_m: float
    px_per_m: float
    inside: FloatArray


def is_table(frame: Frame) -> bool:
    """Whether it is the front of a table with a cloth."""
    return frame.shape == "panel" and frame.cover is not None and frame.height_m < TABLE_BELOW_M


def put_cover(file: SceneFile, name: str, frame: Frame, image: bytes | None) -> None:
    """Write the cloth of a frame's cover, with the image that is printed on it."""
    seen = _face(frame)
    relief = _relief(frame, seen)
    tones, heights = (
        file.image(f"{name}-tones", _tones(frame, seen, relief, image)),
        file.image(f"{name}-relief", np.clip(0.5 + relief / RELIEF_M, 0, 1)),
    )
    file.put(f"textures.{name}-tones", type="imagemap", file=tones, gamma=2.2)
    file.put(f"textures.{name}-relief", type="imagemap", file=heights, gamma=1.0, gain=RELIEF_M)
    file.put(f"materials.{name}", type="matte", kd=f"{name}-tones", bumptex=f"{name}-relief")


def spread(frame: Frame, mesh: Mesh) -> FloatArray:
    """Where the corners of a cover's mesh lie on its images; these begin at the top."""
    seen = _face(frame)
    across = (mesh.places[:, 0] - seen.left_m) / seen.width_m
    down = (seen.bottom_m + seen.height_m - mesh.places[:, 1]) / seen.height_m
    return np.column_stack([across, down])


# Private


def _face(frame: Frame) -> Face:
    points = face(frame)
    (left, bottom), (right, top) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    scale = min(MOST_PX_PER_M, LONGEST_PX / max(right - left, top - bottom))
    wide, high = max(8, round((right - left) * scale)), max(8, round((top - bottom) * scale))
    mask = Image.new("L", (wide, high), 0)
    corners = [((x - left) * scale, (top - y) * scale) for x, y in points.tolist()]
    ImageDraw.Draw(mask).polygon(corners, fill=255)
    return Face(left, bottom, right - left, top - bottom, scale, np.asarray(mask, dtype=float) / 255)


def _relief(frame: Frame, seen: Face) -> FloatArray:
    """How far the cloth stands out from the frame's plane [m], shape (height, width)."""
    chance = np.random.default_rng(zlib.crc32(frame.id.encode()))
    shape, scale = seen.inside.shape, seen.px_per_m
    pleated = is_table(frame)
    wide = (PLEAT_WIDE_M if pleated else FOLD_WIDE_M) * scale
    folds = _noise(chance, shape, FOLD_LONG_M * scale, wide) * (PLEAT_M if pleated else FOLD_M)
    slubs = _noise(chance, shape, 1.0, 9.0) + _noise(chance, shape, 9.0, 1.0)
    up = (shape[0] - np.arange(shape[0]))[:, None] / scale
    along = np.arange(shape[1])[None, :] / scale + 0.05 * _noise(chance, shape, 0.2 * scale, 0.2 * scale)
    hem = HEM_FOLD_M * np.exp(-up / HEM_HIGH_M) * np.sin(2 * np.pi * along / HEM_WAVE_M)
    edge = _from_edge(seen)
    rolled = EDGE_DEEP_M * np.exp(-edge / EDGE_M) + SEAM_DEEP_M * _seam(edge)
    return np.asarray(folds + hem + SLUB_M * slubs - rolled)


def _noise(chance: np.random.Generator, shape: tuple[int, ...], high: float, wide: float) -> FloatArray:
    """Soft noise of these sizes [pixels], of a spread of about 1, nowhere beyond 2."""
    soft = gaussian_filter(chance.normal(size=shape), (high, wide), mode="nearest")
    return np.asarray(2 * np.tanh(soft / max(float(soft.std()), 1e-9) / 2))


def _from_edge(seen: Face) -> FloatArray:
    """How far each pixel lies within the face [m]."""
    framed = np.pad(seen.inside > 0.5, 1)
    return np.asarray(distance_transform_edt(framed)[1:-1, 1:-1] / seen.px_per_m)


def _seam(edge: FloatArray) -> FloatArray:
    return np.asarray(np.exp(-(((edge - SEAM_IN_M) / SEAM_WIDE_M) ** 2)))


def _tones(frame: Frame, seen: Face, relief: FloatArray, image: bytes | None) -> FloatArray:
    """The cover's colours, darker in its hollows and its seam."""
    hollow = gaussian_filter(relief, 2.0) - gaussian_filter(relief, 0.05 * seen.px_per_m)
    shade = 1.0 + np.clip(9.0 * hollow, -0.06, 0.03) - 0.09 * _seam(_from_edge(seen))
    assert frame.cover is not None
    cloth = np.broadcast_to(srgb_from_hex(frame.cover.hex), (*relief.shape, 3))
    printed = _printed(frame, seen, cloth, image) if image else cloth
    return np.asarray(np.clip(printed * shade[..., None], 0, LIGHTEST_TONE))


def _printed(frame: Frame, seen: Face, cloth: FloatArray, image: bytes) -> FloatArray:
    """The cloth with its print; plain where the image can't be read."""
    if frame.cover_print is None:
        return cloth
    try:
        with Image.open(io.BytesIO(image)) as found:
            found.draft("RGB", (int(LONGEST_PX), int(LONGEST_PX)))
            picture = found.convert("RGB")
    except (UnidentifiedImageError, OSError, ValueError, Image.DecompressionBombError):
        return cloth
    place, scale = image_place(frame, frame.cover_print), seen.px_per_m
    size = (max(1, round(place.width_m * scale)), max(1, round(place.height_m * scale)))
    corner = (
        round((place.left_m - seen.left_m) * scale),
        round((seen.bottom_m + seen.height_m - place.top_m) * scale),
    )
    sheet = Image.fromarray(np.round(cloth * 255).astype(np.uint8), "RGB")
    sheet.paste(picture.resize(size, Image.Resampling.LANCZOS), corner)
    return np.asarray(sheet, dtype=float) / 255
