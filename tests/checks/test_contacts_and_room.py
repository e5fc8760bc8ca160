"""Whole set pieces measured again from the definitions in MODEL.md: contacts, what is hidden, and room in the van.

Every distance is taken between every two balloons; no search tree, no grid and no figure of the product.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.spatial.distance import cdist

from quoting.craft.takeoff.takeoff import TakeOff, packed_load
from tests.quoting.craft.starter_designs import NAMES, starter, worked

ORGANIC = [name for name in NAMES if any(garland.work == "organic" for garland in starter(name).garlands)]
HANGING_OR_ON_FRAMES = [name for name in ORGANIC if name != "column-wound"]


def touching(takeoff: TakeOff) -> NDArray[np.bool_]:
    """Whether two balloons touch, or would with 3 % more of their radii; none touches itself."""
    b = takeoff.balloons
    found: NDArray[np.bool_] = cdist(b.centres, b.centres) < 1.03 * (b.radius[:, None] + b.radius[None, :])
    np.fill_diagonal(found, val=False)
    return found


@pytest.mark.parametrize("name", NAMES)
def test_touching_pairs_and_those_of_one_colour_are_counted_right(name: str) -> None:
    takeoff = worked(name)
    pairs = np.triu(touching(takeoff))
    alike = takeoff.balloons.colour[:, None] == takeoff.balloons.colour[None, :]
    assert takeoff.evenness.contacts == pairs.sum()
    assert takeoff.evenness.same_colour == (pairs & alike).sum()


@pytest.mark.parametrize("name", ORGANIC)
def test_hardly_a_balloon_of_a_garland_touches_no_other(name: str) -> None:
    """A neck holds it to its quad, so that some air about it is no fault; a garland of such balloons would be."""
    takeoff = worked(name)
    strung = takeoff.balloons.garland < len(takeoff.design.garlands)
    touches = touching(takeoff).sum(axis=1)[strung]
    assert (touches == 0).mean() < 0.01
    assert touches.mean() > 3.5


def hidden_share(takeoff: TakeOff, to_either_side: float) -> float:
    """How much of a strip along the string lies behind a balloon, seen from straight ahead.

    The strip reaches so many diameters of the middlemost balloon to either side.
    """
    b, hidden = takeoff.balloons, []
    half_m = to_either_side * 2 * float(np.median(b.radius[b.size_in == 11]))
    for result in takeoff.garlands:
        along = np.arange(0.1, result.route.length_m - 0.1, 0.01)
        string = result.route.at(along)
        across = np.column_stack([-np.gradient(string[:, 1]), np.gradient(string[:, 0])])
        across /= np.maximum(np.linalg.norm(across, axis=1), 1e-9)[:, None]
        for offset in np.linspace(-half_m, half_m, 9):
            x, y = (string[:, :2] + offset * across).T
            gap = np.hypot(x[:, None] - b.x, y[:, None] - b.y)
            front = b.z + np.sqrt(np.maximum(b.radius**2 - gap**2, 0.0))
            hidden.append(((gap < b.radius) & (front > string[:, 2:])).any(axis=1))
    return float(np.concatenate(hidden).mean())


@pytest.mark.parametrize("name", HANGING_OR_ON_FRAMES)
def test_a_garland_hides_its_string_and_what_is_behind_it(name: str) -> None:
    """All but all of a strip as wide as one balloon, and 94 % of one that is wider by more than half."""
    assert hidden_share(worked(name), 0.5) > 0.985
    assert hidden_share(worked(name), 0.8) > 0.94


@pytest.mark.parametrize("name", NAMES)
def test_the_van_holds_what_is_drawn_and_billed(name: str) -> None:
    """Rounds at 0.85 of their inches fill half of their bags; frames 6 cm deep, those up to 100 kg; small parts 24 to
    0.12 m3; sand 1,600 kg to the m3; a cylinder in a box of 0.2 x 0.2 x 1 m: common practice, no source."""
    takeoff = worked(name)
    drawn = takeoff.balloons.size_in
    rounds = sum(math.pi / 6 * (0.85 * 0.0254 * inches) ** 3 for inches in drawn.tolist()) / 0.5
    brought = [frame for frame in takeoff.design.frames if frame.weight_kg <= 100]
    frames = sum(frame.width_m * frame.height_m * 0.06 for frame in brought)
    codes = {frame.item for frame in takeoff.design.frames}
    goods = {line.code: line.quantity for line in takeoff.bill() if not line.code.startswith("latex")}
    heavy = goods.pop("ballast-kg", 0) / 1600 + goods.pop("helium-cylinder-10l", 0) * 0.04
    parts = sum(quantity for code, quantity in goods.items() if code not in codes) / 24 * 0.12
    packed = packed_load(takeoff).together
    assert packed.volume_m3 == pytest.approx(rounds + frames + heavy + parts, rel=1e-9)
    sides = [side for frame in brought for side in (frame.width_m, frame.height_m)]
    assert packed.longest_m >= max(sides, default=0.0)
