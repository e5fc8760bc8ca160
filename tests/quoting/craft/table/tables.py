"""What the tests of the drawing table stand on: a shelf, frames, shaky strokes, and acts done one after another."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from quoting.craft.design.design_file import read_design, write_design
from quoting.craft.design.frames import outline
from quoting.craft.design.records import Cover, Design, Frame, Garland, OwnedSize, PaletteColour
from quoting.craft.table.acted import Acted, SaidCode
from quoting.craft.table.acts import apply, read_act
from quoting.craft.table.shelf import (
    Shelf,
    ShelfColour,
    ShelfCover,
    ShelfFloral,
    ShelfFoil,
    ShelfPrint,
    ShelfProp,
    ShelfSign,
)
from quoting.craft.table.starting import empty_design

Points = list[tuple[float, float]]

ARCHES = (
    OwnedSize(item="arch-6ft", label="Arch frame 6 ft", width_m=1.07, height_m=1.83, weight_kg=6.5),
    OwnedSize(item="arch-7ft", label="Arch frame 7 ft", width_m=1.22, height_m=2.13, weight_kg=7.5),
)
IMAGE = "ab" * 32
SHELF = Shelf(
    frames={"arch-top": ARCHES},
    covers={"cover-sage": ShelfCover(label="Cover, sage", colour="sage", hex="#C6CDBA")},
    signs={
        "sign-hello": ShelfSign(label="Light sign “hello”", width_m=0.6, lit=True),
        "board": ShelfSign(label="Acrylic board", weight_kg=4.0),
    },
    colours={"ink": ShelfColour(name="Ink", hex="#2E4454")},
    florals={"fern": ShelfFloral(label="Fern spray")},
    props={"crate": ShelfProp(label="Crate", look="box", width_m=0.4, height_m=0.3, depth_m=0.3)},
    prints={IMAGE: ShelfPrint(label="Forest", aspect=1.5)},
    foils={"digits": ShelfFoil(label="Foil digits", shape="glyphs", flat_m=0.86)},
)
OAT = PaletteColour(colour="oat", name="Oat", hex="#EFE6D6", share=0.6)
INK = PaletteColour(colour="ink", name="Ink", hex="#2E4454", share=0.4)
COVER = Cover(item="cover", label="Cover", colour="oat", hex="#F3EBDD")
LOW = Frame(
    id="low",
    shape="arch-top",
    item="arch-6ft",
    label="Low arch",
    width_m=1.07,
    height_m=1.83,
    x_m=-0.42,
    cover=COVER,
)
TALL = Frame(
    id="tall", shape="arch-top", item="arch-7ft", label="Tall arch", width_m=1.22, height_m=2.13, x_m=0.42,
    z_m=-0.2, cover=COVER,
)  # fmt: skip


def table(*frames: Frame, garlands: tuple[Garland, ...] = ()) -> Design:
    """A design with frames and garlands, and nothing else."""
    empty = empty_design("Maya is six", (OAT, INK))
    return type(empty)(
        version=empty.version, name=empty.name, palette=empty.palette, frames=frames, garlands=garlands
    )


def done(design: Design, name: str, **values: object) -> Acted:
    """Do an act by its name, and make sure that what comes back is written and read as it is."""
    acted = apply(design, read_act(name, values), SHELF)
    assert read_design(write_design(acted.design), may_be_empty=True) == acted.design
    return acted


def codes(acted: Acted) -> list[SaidCode]:
    """The codes of what is said of an act."""
    return [said.code for said in acted.said]


def shaky(points: Sequence[tuple[float, float]], seed: int = 1, tremor_m: float = 0.04) -> Points:
    """A line as an unsteady finger draws it: a point every 1.5 cm, off by ``tremor_m`` on the average, slowly."""
    line, rng = np.array(points), np.random.default_rng(seed)
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    even = np.arange(0, max(along[-1], 0.04), 0.015)
    drawn = np.column_stack([np.interp(even, along, line[:, k]) for k in (0, 1)])
    bell = np.exp(-0.5 * (np.arange(-12, 13) / 5) ** 2)
    noise = rng.normal(0, tremor_m, drawn.shape)
    bell /= np.sqrt(np.sum(bell**2))
    noise = np.column_stack([np.convolve(noise[:, k], bell, "same")[: len(drawn)] for k in (0, 1)])
    return [(float(x), float(y)) for x, y in drawn + noise]


def along(frame: Frame, start: float, end: float) -> Points:
    """Points on the outline of a frame from one share of it to another."""
    return [(float(x), float(y)) for x, y in outline(frame).at(np.linspace(start, end, 60))]


def over_both_arches() -> Points:
    """From the floor left of the low arch, up its side, over both arches, down the right leg of the tall one."""
    return [(-1.7, 0.06), (-1.02, 0.05), *along(LOW, 0.02, 0.56), *along(TALL, 0.3, 1.0)]
