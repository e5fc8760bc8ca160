"""Signs in the picture: in a colour of their own design, which reads on what is behind them."""

from __future__ import annotations

import numpy as np
import pytest

from quoting.craft.design.records import Sign
from quoting.craft.picture.elevation import elevation_svg
from quoting.craft.takeoff.takeoff import TakeOff, take_off
from tests.quoting.craft.starter_designs import starter

NAMES = ("ombre-wall", "ring-half-moon", "stage-three-frames")


def luminance(colour: str) -> float:
    """Relative luminance: Web Content Accessibility Guidelines 2.2."""
    shares = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    red, green, blue = (s / 12.92 if s <= 0.04045 else ((s + 0.055) / 1.055) ** 2.4 for s in shares)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def grounds(takeoff: TakeOff, sign: Sign) -> set[str]:
    """Colours behind a sign: of the cover of its frame, else of the balloons there."""
    frame = takeoff.design.frame(sign.frame)
    if frame is not None and frame.cover is not None:
        return {frame.cover.hex}
    b = takeoff.balloons
    behind = (np.abs(b.x - sign.x_m) < sign.width_m / 2) & (np.abs(b.y - sign.y_m) < sign.height_m / 2)
    return {takeoff.design.palette[k].hex for k in b.colour[behind].tolist()}


@pytest.mark.parametrize("name", NAMES)
def test_a_starters_sign_has_a_colour_of_its_palette(name: str) -> None:
    design = starter(name)
    assert {sign.hex for sign in design.signs} <= {colour.hex for colour in design.palette}


@pytest.mark.parametrize("name", NAMES)
def test_a_starters_sign_reads_on_its_ground(name: str) -> None:
    # Source: large text asks for 3 : 1, Web Content Accessibility Guidelines 2.2, 1.4.3.
    takeoff = take_off(starter(name))
    for sign in takeoff.design.signs:
        seen = grounds(takeoff, sign)
        assert seen
        assert min(contrast(sign.hex, ground) for ground in seen) >= 3


@pytest.mark.parametrize("name", NAMES)
def test_no_halo_lies_about_a_lit_sign(name: str) -> None:
    takeoff = take_off(starter(name))
    (sign,) = takeoff.design.signs
    assert sign.lit
    drawn = [part for part in elevation_svg(takeoff).split("<use ") if part.startswith('href="#t0"')]
    lines = [part for part in drawn if "stroke=" in part]
    assert len(drawn) == 4
    assert len(lines) == 1
