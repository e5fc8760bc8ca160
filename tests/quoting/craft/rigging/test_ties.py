"""The bill of what holds a piece together is whole: checked from the places of balloons, ties and frames."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from quoting.craft.design.records import ROLES, Leg
from quoting.craft.design.things import Round
from quoting.craft.rigging.ties import rig
from quoting.craft.settle.laying import routes_of
from quoting.craft.takeoff.takeoff import TakeOff, take_off
from tests.quoting.craft.starter_designs import NAMES, starter, straight_garland, worked


def bill(takeoff: TakeOff) -> dict[str, int]:
    return {line.code: line.quantity for line in takeoff.bill()}


@pytest.mark.parametrize(("feet", "strings"), [(12, 9), (20, 15), (25, 19)])
def test_a_garland_of_so_many_feet_takes_so_many_260s_as_string(feet: int, strings: int) -> None:
    """By hand, in inches: an empty 260 reaches 18 in as a string, and a tenth is lost in turns round the quads.

    Common practice, no source: 12 ft are 144 in, with a tenth 158.4 in, which 9 of them span.
    """
    takeoff = take_off(straight_garland(feet * 0.3048))
    (line,) = [line for line in takeoff.rigging.lines if line.code.startswith("latex-260-")]
    assert line.quantity - other_260s(takeoff) == strings
    assert f"{strings} as string" in line.reason


@pytest.mark.parametrize("name", [name for name in NAMES if name not in ("column-wound", "ombre-wall")])
def test_the_string_that_is_billed_reaches_from_quad_to_quad_as_drawn(name: str) -> None:
    """The quads of a wound garland open outward, so that their middles are no place of the string."""
    takeoff = worked(name)
    path_m = sum(path_of_quads(takeoff, garland) for garland in range(len(takeoff.garlands)))
    (quantity,) = [n for code, n in bill(takeoff).items() if code.startswith("latex-260-")]
    string_m = (quantity - other_260s(takeoff)) * 18 * 0.0254
    # The least that does, one more for every garland, and the tenth that goes into turns.
    assert path_m <= string_m < 1.1 * path_m + 18 * 0.0254 * (1 + 2 * len(takeoff.garlands))


def path_of_quads(takeoff: TakeOff, garland: int) -> float:
    """From the middle of each strung quad to that of the next."""
    balloons = takeoff.balloons
    strung = (balloons.garland == garland) & (balloons.quad >= 0)
    strung &= balloons.quad < takeoff.garlands[garland].quads
    quads = np.unique(balloons.quad[strung])
    middles = np.array([balloons.centres[strung & (balloons.quad == quad)].mean(axis=0) for quad in quads])
    return float(np.linalg.norm(np.diff(middles, axis=0), axis=1).sum())


def other_260s(takeoff: TakeOff) -> int:
    """A tail for each tie, half a 260 for each filler of eight 5s, one for each big round and each end quad."""
    drawn = takeoff.balloons
    fives = int(np.count_nonzero(drawn.size_in == 5))
    tied_on = int(np.count_nonzero(drawn.role == ROLES.index("accent")))
    ends = sum(end.count for end in takeoff.ends)
    return len(takeoff.rigging.ties) + math.ceil(fives / 16) + tied_on + ends


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
    takeoff = worked(name)
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
    design = replace(starter("ombre-wall"), signs=())
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
    lower = take_off(replace(design, signs=(replace(sign, y_m=sign.y_m - 0.5),)))
    # Half a metre lower: two drops, each half a metre longer before the tube and behind it.
    assert bill(lower)["fishing-line-m"] - bill(take_off(design))["fishing-line-m"] == 2
    # The arch is 2.44 m high; the top of the sign hangs at 1.33 m: twice 1.11 m up and down, and the knots.
    assert bill(take_off(design))["fishing-line-m"] == math.ceil(2 * (2 * (2.44 - 1.15 - 0.18) + 0.5))


def test_a_stretch_through_the_air_is_clipped_to_a_frame_in_reach_and_else_hung() -> None:
    design = starter("garland-nested-arches")
    low = next(frame for frame in design.frames if frame.id == "low")
    edge = low.x_m - low.width_m / 2
    near = Leg(kind="through", points=((edge - 0.2, 0.6), (edge - 0.2, 1.6)), depths=(0.15, 0.15))
    far = replace(near, points=((edge - 0.6, 0.6), (edge - 0.6, 1.6)))
    deep = replace(near, depths=(0.8, 0.8))
    holders = []
    for leg in (near, far, deep):
        drawn = replace(design, garlands=(replace(design.garlands[0], route=(leg,)),))
        holders.append({tie.frame for tie in rig(drawn, routes_of(drawn), fillers=0).ties})
    # By hand, with the reach of 0.46 m of an empty 260: 0.25 m away it holds, 0.62 m and 0.82 m away it doesn't.
    assert holders == [{"low"}, {""}, {""}]


@pytest.mark.parametrize(("above_m", "uses"), [(0.35, "1 to tie rounds to other balloons"), (1.5, "")])
def test_a_round_held_by_a_garland_alone_has_a_260_of_its_own(above_m: float, uses: str) -> None:
    design = starter("table-garland")
    x_m, y_m, _ = max(routes_of(design)[0].points.tolist(), key=lambda place: place[1])
    ball = Round(
        id="r", size_in=24, sized_m=0.55, colour=design.palette[0].colour, x_m=x_m, y_m=y_m + above_m
    )
    with_it = replace(design, rounds=(ball,))
    before, after = (rig(one, routes_of(one), fillers=0).lines[0] for one in (design, with_it))
    assert after.quantity - before.quantity == bool(uses)
    assert uses in after.reason
    tied = rig(replace(with_it, rounds=(replace(ball, gas="helium"),)), routes_of(design), fillers=0).lines[0]
    assert tied.quantity == before.quantity
