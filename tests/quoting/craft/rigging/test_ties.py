"""The bill of what holds a piece together is whole: checked from the places of balloons, ties and frames."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from quoting.craft.design.design_file import STARTERS, load_design
from quoting.craft.design.records import Design
from quoting.craft.takeoff.takeoff import TakeOff, take_off

NAMES = sorted(path.stem for path in STARTERS.glob("*.json"))


def starter(name: str) -> Design:
    return load_design(STARTERS / f"{name}.json")


def bill(takeoff: TakeOff) -> dict[str, int]:
    return {line.code: line.quantity for line in takeoff.bill()}


def test_every_big_round_that_is_tied_on_has_a_260_of_its_own() -> None:
    design = starter("garland-nested-arches")
    (garland,) = design.garlands
    without = replace(garland, mix=tuple(one for one in garland.mix if one.role != "accent"), fillers=0)
    bare = take_off(replace(design, garlands=(without,)))
    full = take_off(replace(design, garlands=(replace(garland, fillers=0),)))
    tied_on = int(np.count_nonzero(full.balloons.size_in == 24))
    assert tied_on > 0
    assert bill(full)["latex-260-oat"] - bill(bare)["latex-260-oat"] == tied_on + (
        len(full.rigging.ties) - len(bare.rigging.ties)
    )


@pytest.mark.parametrize("name", NAMES)
def test_no_tie_is_fixed_to_nothing(name: str) -> None:
    takeoff = take_off(starter(name))
    frames = {frame.id: frame for frame in takeoff.design.frames}
    hung = [tie for tie in takeoff.rigging.ties if not tie.frame]
    for tie in takeoff.rigging.ties:
        if tie.frame:
            frame = frames[tie.frame]
            # Within the reach of a tail of the frame's box: the tube is its edge or inside of it.
            beside = max(abs(tie.x - frame.x_m) - frame.width_m / 2, 0.0)
            above = max(tie.y - frame.base_m - frame.height_m, 0.0)
            assert math.hypot(beside, above) < 0.5
        else:
            assert tie.y >= 0.5
    lines = bill(takeoff)
    assert lines.get("ceiling-hook", 0) == len(hung)
    drops = sum(takeoff.design.site.ceiling_m - tie.y for tie in hung)
    assert lines.get("fishing-line-m", 0) >= drops


def test_a_swag_of_known_height_takes_the_line_of_its_drops() -> None:
    takeoff = take_off(starter("ceiling-swags"))
    heights = [tie.y for tie in takeoff.rigging.ties]
    assert len(heights) == 12
    # From the ceiling at 3.6 m, and half a metre for the knots of each.
    assert bill(takeoff)["fishing-line-m"] == math.ceil(sum(3.6 - y + 0.5 for y in heights))


def test_a_wall_is_tied_to_its_frame_column_by_column() -> None:
    design = replace(starter("ombre-wall"), sign=None)
    takeoff = take_off(design)
    middles = {
        round(float(takeoff.balloons.x[takeoff.balloons.quad == quad].mean()), 2)
        for quad in np.unique(takeoff.balloons.quad)
    }
    columns = len(middles)
    assert 4 <= columns <= 8
    lines = bill(takeoff)
    assert lines["clip-binder"] == 2 * columns
    assert lines["fishing-line-m"] == math.ceil(columns * (2.2 + 0.5))
    more = next(task for task in takeoff.tasks if task.name == "Clips and tails")
    assert more.minutes == pytest.approx(2 * columns * design.rates.tie_point_s / 60)


def test_a_sign_takes_the_line_of_its_real_drop() -> None:
    design = starter("stage-three-frames")
    sign = design.sign
    assert sign is not None
    lower = take_off(replace(design, sign=replace(sign, y_m=sign.y_m - 0.5)))
    # Half a metre lower: two drops, each half a metre longer before the tube and behind it.
    assert bill(lower)["fishing-line-m"] - bill(take_off(design))["fishing-line-m"] == 2
    # The arch is 2.44 m high; the top of the sign hangs at 1.61 m: twice 0.83 m up and down, and the knots.
    assert bill(take_off(design))["fishing-line-m"] == math.ceil(2 * (2 * (2.44 - 1.45 - 0.16) + 0.5))


def test_greenery_laid_twice_is_drawn_twice() -> None:
    design = starter("garland-nested-arches")
    leaves = {}
    for share in (1.0, 1.5, 2.0):
        green = replace(design.florals[0], share=share)
        takeoff = take_off(replace(design, florals=(green,)))
        leaves[share] = [leaf for leaf in takeoff.leaves if leaf.kind == "greenery"]
    assert len(leaves[2.0]) > 1.6 * len(leaves[1.0])
    assert len(leaves[1.0]) < len(leaves[1.5]) < len(leaves[2.0])
    places = {(round(leaf.x, 3), round(leaf.y, 3)) for leaf in leaves[2.0]}
    assert len(places) > 1.5 * len({(round(leaf.x, 3), round(leaf.y, 3)) for leaf in leaves[1.0]})
