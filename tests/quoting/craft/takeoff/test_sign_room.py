"""What is out of sight of a sign, against rays shot at places of their own; and where a sign is hung."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from quoting.craft.change.edit import mirrored
from quoting.craft.design.records import Design, Sign
from quoting.craft.design.signs import with_sign
from quoting.craft.takeoff.sign_room import hung_in_the_open, sign_depth, sign_room
from quoting.craft.takeoff.takeoff import TakeOff, take_off
from tests.quoting.craft.starter_designs import NAMES, starter, worked

SIGNED = [name for name in NAMES if starter(name).sign]


def signed(design: Design) -> Sign:
    assert design.sign is not None
    return design.sign


def hidden_by_rays(takeoff: TakeOff, rays: int = 4000) -> float:
    """Share of rays from straight ahead that meet a balloon before the sign."""
    sign, b = signed(takeoff.design), takeoff.balloons
    depth = sign_depth(takeoff.design, sign, b)
    rng = np.random.default_rng(3)
    x = sign.x_m + rng.uniform(-0.5, 0.5, rays) * sign.width_m
    y = sign.y_m + rng.uniform(-0.5, 0.5, rays) * sign.height_m
    off = np.hypot(x[:, None] - b.x, y[:, None] - b.y)
    surface = b.z + np.sqrt(np.maximum(b.radius**2 - off**2, 0.0))
    return float(((off < b.radius) & (surface > depth)).any(axis=1).mean())


@pytest.mark.parametrize("name", SIGNED)
@pytest.mark.parametrize("aside_m", [0.0, 0.35, -0.35])
def test_as_much_of_a_sign_is_hidden_as_rays_find(name: str, aside_m: float) -> None:
    takeoff = worked(name)
    sign = signed(takeoff.design)
    moved = replace(takeoff, design=replace(takeoff.design, signs=(replace(sign, x_m=sign.x_m + aside_m),)))
    assert sign_room(moved.design, moved.balloons).hidden == pytest.approx(hidden_by_rays(moved), abs=0.03)


def test_some_of_those_signs_are_hidden_in_part() -> None:
    takeoff = worked("ring-half-moon")
    sign = signed(takeoff.design)
    found = [
        sign_room(
            replace(takeoff.design, signs=(replace(sign, x_m=sign.x_m + aside),)), takeoff.balloons
        ).hidden
        for aside in (-0.7, 0.0)
    ]
    assert found[0] > 0.2 > found[1]


def test_a_sign_on_a_wall_of_balloons_hangs_before_those_behind_it() -> None:
    takeoff = worked("ombre-wall")
    sign, b = signed(takeoff.design), takeoff.balloons
    behind = (np.abs(b.x - sign.x_m) < sign.width_m / 2) & (np.abs(b.y - sign.y_m) < sign.height_m / 2)
    assert behind.any()
    assert sign_depth(takeoff.design, sign, b) >= (b.z + b.radius)[behind].max()
    assert sign_room(takeoff.design, b).hidden == 0
    assert sign_depth(takeoff.design, replace(sign, x_m=sign.x_m + 20.0), b) < (b.z + b.radius).max()


@pytest.mark.parametrize("name", [name for name in SIGNED if signed(starter(name)).frame])
def test_a_sign_is_hung_within_its_frame_where_it_is_seen_and_in_the_mirror_image_on_the_other_side(
    name: str,
) -> None:
    takeoff = worked(name)
    sign = hung_in_the_open(takeoff.design, signed(takeoff.design), takeoff.balloons)
    hung = with_sign(takeoff.design, sign)
    frame = next(one for one in hung.frames if one.id == sign.frame)
    assert abs(sign.x_m - frame.x_m) + sign.width_m / 2 <= frame.width_m / 2 + 1e-6
    assert sign_room(hung, takeoff.balloons).out_of_sight <= max(
        0.03, sign_room(takeoff.design, takeoff.balloons).out_of_sight
    )
    other = take_off(mirrored(takeoff.design))
    there = hung_in_the_open(other.design, signed(other.design), other.balloons)
    assert there.width_m == pytest.approx(sign.width_m)
    assert abs(there.x_m) == pytest.approx(abs(sign.x_m), abs=0.15)


def test_nothing_is_out_of_sight_without_a_sign() -> None:
    takeoff = worked(SIGNED[0])
    bare = replace(takeoff.design, signs=())
    assert sign_room(bare, takeoff.balloons).out_of_sight == 0.0


def test_a_sign_without_a_frame_stays_where_it_is_and_stands_out_past_none() -> None:
    takeoff = worked(SIGNED[0])
    alone = replace(takeoff.design, signs=(replace(signed(takeoff.design), frame="", x_m=9.0),))
    assert hung_in_the_open(alone, signed(alone), takeoff.balloons) is signed(alone)
    assert sign_room(alone, takeoff.balloons).outside == 0.0


def test_a_sign_beside_its_frame_stands_out_past_it_whole() -> None:
    takeoff = worked(SIGNED[0])
    aside = replace(takeoff.design, signs=(replace(signed(takeoff.design), x_m=9.0),))
    assert sign_room(aside, takeoff.balloons).outside == 1.0
