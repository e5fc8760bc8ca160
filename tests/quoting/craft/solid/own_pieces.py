"""Pieces that no starter is: things of every kind with a printed cover, finishes of every kind, and a large one."""

from __future__ import annotations

import io
from dataclasses import replace
from typing import Final

from PIL import Image

from quoting.craft.design.design_file import STARTERS, load_design
from quoting.craft.design.records import CoverPrint, Design, PaletteColour, Wall
from tests.quoting.craft.design.thing_designs import furnished

_FINISHES: Final = ("plain", "pearl", "metallic", "mirror", "crystal", "confetti")


def of_every_finish() -> Design:
    """The classic arch in a palette that has every finish, and one balloon within another."""
    share = 1 / (len(_FINISHES) + 1)
    single = tuple(
        PaletteColour(colour=finish, name=finish.title(), hex="#B8A1C4", share=share, finish=finish)
        for finish in _FINISHES
    )
    deep = PaletteColour(
        colour="deep", name="Deep", hex="#EFE6D6", share=share, finish="double-stuffed", inner="plum",
        inner_name="Plum", inner_hex="#5A2A4A",
    )  # fmt: skip
    return replace(load_design(STARTERS / "ceiling-swags.json"), palette=(*single, deep))


def large() -> Design:
    """Nested arches before a wall, together 1,598 balloons."""
    wall = Wall(id="wall", width_m=9, height_m=3.0, size_in=11, sized_m=0.22, z_m=-0.6)
    return replace(load_design(STARTERS / "garland-nested-arches.json"), walls=(wall,))


def two_tones() -> bytes:
    """An image whose upper half is red and whose lower half is blue, as a JPEG."""
    picture = Image.new("RGB", (60, 120), (200, 30, 30))
    picture.paste((30, 30, 200), (0, 60, 60, 120))
    made = io.BytesIO()
    picture.save(made, "JPEG", quality=95)
    return made.getvalue()


DIGEST: Final = "0" * 64
PRINTS: Final = {DIGEST: two_tones()}


def printed() -> Design:
    """The furnished piece with an image over its panel's cover."""
    design = furnished()
    (panel,) = design.frames
    return replace(design, frames=(replace(panel, cover_print=CoverPrint(digest=DIGEST, aspect=0.5)),))


OWN_PIECES: Final = {"furnished": printed(), "finishes": of_every_finish(), "large": large()}
