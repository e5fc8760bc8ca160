"""Drawings (SVG) as pictures of dots: for mails, lists and preview cards, where a drawing itself can't stand."""

from __future__ import annotations

import io
import re
from typing import Final

import resvg_py
from django.contrib.staticfiles import finders
from PIL import Image

FONTS: Final = ("studio/pdf/fraunces-600.ttf", "studio/pdf/figtree-400.ttf")
FOREIGN: Final = re.compile(r'\s(?:xlink:)?href="(?!data:|#)[^"]*"')
"""An address of anything but the drawing's own parts and what lies inside it: never looked up."""
COLOURS: Final = 256
NARROWER: Final = (1.0, 0.8, 0.65, 0.5, 0.35, 0.2)
"""Shares of the width that are tried until the picture is small enough (setting)."""


def png(svg: str, *, width_px: int) -> bytes:
    """The drawing as a PNG so many pixels wide, its text in our own fonts. Nothing is fetched for it.

    Raises ``ValueError`` where it is no drawing.
    """
    made = resvg_py.svg_to_bytes(
        svg_string=FOREIGN.sub("", svg),
        width=width_px,
        skip_system_fonts=True,
        font_files=[path for name in FONTS if isinstance(path := finders.find(name), str)],
    )
    return bytes(made)


def small_png(svg: str, *, width_px: int, most_bytes: int) -> bytes:
    """The drawing in 256 colours, at most so wide and of at most so many bytes.

    Raises ``ValueError`` where it is no drawing, or too large even at its smallest.
    """
    with Image.open(io.BytesIO(png(svg, width_px=width_px))) as drawn:
        whole = drawn.convert("RGB")
    for share in NARROWER:
        made = _in_few_colours(whole, round(width_px * share))
        if len(made) <= most_bytes:
            return made
    raise ValueError(f"No picture fits into {most_bytes} bytes.")


# --- Private ---


def _in_few_colours(whole: Image.Image, width_px: int) -> bytes:
    height_px = max(1, round(whole.height * width_px / whole.width))
    sized = whole.resize((width_px, height_px), Image.Resampling.LANCZOS)
    out = io.BytesIO()
    sized.quantize(COLOURS).save(out, "PNG", optimize=True)
    return out.getvalue()
