"""Covers as cloth: prints where the cloth is cut, folds that stay small, tables under cloths."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from quoting.craft.design.records import Cover, CoverPrint, Frame
from quoting.craft.solid.meshes import sheet
from quoting.craft.still.cloth import RELIEF_M, is_table, put_cover, spread
from quoting.craft.still.scene_file import SceneFile
from studio.trade.ranges import FloatArray

CLOTH = Cover(item="c", label="Cover", colour="oat", hex="#E8E0D0")
BOARD = Frame(id="b", shape="rectangle", item="b", label="B", width_m=1.0, height_m=2.0, cover=CLOTH)
PRINT = CoverPrint(digest="0" * 64, aspect=0.5, bleed_m=0.0)


def jpeg(left: str, right: str) -> bytes:
    out = io.BytesIO()
    picture = Image.new("RGB", (200, 400), left)
    picture.paste(right, (100, 0, 200, 400))
    picture.save(out, "JPEG", quality=95)
    return out.getvalue()


def written(frame: Frame, image: bytes | None, kind: str) -> FloatArray:
    file = SceneFile()
    put_cover(file, "cover", frame, image)
    with Image.open(io.BytesIO(file.files().parts[f"cover-{kind}.png"])) as picture:
        return np.asarray(picture, dtype=float) / (255 if picture.mode == "RGB" else 65535)


def test_a_print_fills_the_cloth_as_the_design_says() -> None:
    """By hand: an image half red, half blue that is as wide by its height as the face: red on the left half."""
    tones = written(replace(BOARD, cover_print=PRINT), jpeg("#C03030", "#3030C0"), "tones")
    rows, columns, _ = tones.shape
    left, right = (tones[rows // 2, columns * k // 4] for k in (1, 3))
    assert left[0] > 2 * left[2]
    assert right[2] > 2 * right[0]


def test_a_print_that_cannot_be_read_leaves_the_cover_plain() -> None:
    printed = replace(BOARD, cover_print=PRINT)
    assert np.array_equal(written(printed, b"no picture", "tones"), written(BOARD, None, "tones"))


def test_cloth_keeps_its_colour_and_lies_within_its_relief() -> None:
    tones, relief = written(BOARD, None, "tones"), written(BOARD, None, "relief")
    named = np.array([0xE8, 0xE0, 0xD0]) / 255
    assert np.median(tones.reshape(-1, 3), axis=0) == pytest.approx(named, abs=0.02)
    assert np.ptp(relief) * RELIEF_M > 0.005, "it has folds [m]"
    assert np.ptp(relief) * RELIEF_M < 0.035, "and they are shallow [m]"
    assert relief.min() > 0, "none is cut off"
    assert relief.max() < 1, "none is cut off"


def test_an_image_begins_at_the_upper_left_of_the_face() -> None:
    mesh = sheet(np.array([(-0.5, 0.0), (0.5, 0.0), (0.5, 2.0), (-0.5, 2.0)]), 0.004)
    placed = {
        tuple(place): tuple(at)
        for place, at in zip(mesh.places[:, :2].tolist(), spread(BOARD, mesh), strict=True)
    }
    assert placed[-0.5, 2.0] == pytest.approx((0.0, 0.0))
    assert placed[0.5, 0.0] == pytest.approx((1.0, 1.0))


def test_a_low_covered_board_is_a_table() -> None:
    low = replace(BOARD, shape="panel", height_m=0.75)
    assert is_table(low)
    assert not is_table(replace(low, cover=None))
    assert not is_table(replace(low, height_m=2.0))
