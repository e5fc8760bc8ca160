"""Drawings as pictures of dots."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from studio.paper import raster

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 100">'
SHADED = (
    '<defs><radialGradient id="g"><stop offset="0" stop-color="#ffffff"/><stop offset="1" stop-color="#204060"/>'
    '</radialGradient></defs><circle cx="100" cy="50" r="50" fill="url(#g)"/>'
)


def dots(content: bytes) -> np.ndarray[tuple[int, ...], np.dtype[np.uint8]]:
    with Image.open(io.BytesIO(content)) as image:
        assert image.format == "PNG"
        return np.asarray(image.convert("RGB"))


def test_a_drawing_keeps_its_shape_and_colours() -> None:
    seen = dots(raster.png(f'{HEAD}<rect width="100" height="100" fill="#cc3300"/></svg>', width_px=80))
    assert seen.shape == (40, 80, 3)
    assert seen[20, 10].tolist() == [0xCC, 0x33, 0x00]


def test_a_round_is_shaded_as_the_standard_says() -> None:
    # SVG 2, section 14.2.3: halfway from the middle of a plain radial gradient stands the mean of its two colours.
    seen = dots(raster.png(f"{HEAD}{SHADED}</svg>", width_px=400))
    assert np.abs(seen[100, 250].astype(int) - [0x8F, 0x9F, 0xAF]).max() <= 2


def test_a_sign_is_written_in_our_own_letters() -> None:
    text = '<text x="10" y="70" font-size="60" font-family="Fraunces, Georgia, serif" fill="#000000">fifty</text>'
    seen = dots(raster.png(f'{HEAD}<rect width="200" height="100" fill="#fff"/>{text}</svg>', width_px=200))
    assert (seen < 128).any(axis=-1).sum() > 500


def test_nothing_is_looked_up_outside_the_drawing(tmp_path: object) -> None:
    path = f"{tmp_path}/secret.png"
    Image.new("RGB", (10, 10), "#ff0000").save(path)
    for address in (path, f"file://{path}", "http://127.0.0.1:9/x.png"):
        drawing = f'{HEAD}<image width="200" height="100" href="{address}"/></svg>'
        assert not dots(raster.png(drawing, width_px=40)).any()


def test_a_small_one_keeps_to_its_bytes() -> None:
    drawing = f"{HEAD}{SHADED}</svg>"
    free = raster.small_png(drawing, width_px=600, most_bytes=150_000)
    tight = raster.small_png(drawing, width_px=600, most_bytes=len(free) - 1)
    assert dots(free).shape[1] == 600
    assert len(tight) < len(free)
    assert dots(tight).shape[1] < 600
    with pytest.raises(ValueError, match="fits"):
        raster.small_png(drawing, width_px=600, most_bytes=50)


@pytest.mark.parametrize(("text", "words"), [("nothing", "unknown token"), ("<svg", "root node")])
def test_what_is_no_drawing_is_refused(text: str, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        raster.png(text, width_px=10)
