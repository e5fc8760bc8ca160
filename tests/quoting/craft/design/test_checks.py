"""Faults that only show between fields of a design: each is named at its field, with the figures it needs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from quoting.craft.design.checks import cross_faults
from quoting.craft.design.design_file import load_design
from quoting.craft.design.faults import FaultCode
from quoting.craft.design.records import Design, Frame, Leg, Sign
from quoting.design_library.library import STARTERS

LEGS = "garlands[0].route"
MIX = "garlands[0].mix"


def arches() -> Design:
    return load_design(STARTERS / "garland-nested-arches.json")


def with_frame(frame: Frame) -> Design:
    design = arches()
    return replace(design, frames=(*design.frames, frame))


def with_route(*legs: Leg) -> Design:
    design = arches()
    return replace(design, garlands=(replace(design.garlands[0], route=legs),))


def with_mix(**changes: object) -> Design:
    """The first size of the first garland changed."""
    design = arches()
    first, *others = design.garlands[0].mix
    changed = replace(first, **changes)  # type: ignore[arg-type] # of a field's own type each
    return replace(design, garlands=(replace(design.garlands[0], mix=(changed, *others)),))


def with_garland(**changes: object) -> Design:
    design = arches()
    garland = replace(design.garlands[0], **changes)  # type: ignore[arg-type] # of a field's own type each
    return replace(design, garlands=(garland,))


def twice(design: Design) -> Design:
    return replace(design, frames=(*design.frames, design.frames[0]))


LOW_ARCH = Frame(id="low", shape="arch-top", item="any", label="Low", width_m=2.0, height_m=0.9)
NO_RING = Frame(
    id="dot", shape="part-ring", item="any", label="Dot", width_m=2.0, height_m=2.0, start_deg=90.0, end_deg=93.0
)  # fmt: skip
ONE_POINT = Frame(
    id="free", shape="free", item="any", label="Free", width_m=2.0, height_m=2.0, points=((0.0, 0.0),)
)
FAR_POINT = replace(ONE_POINT, points=((0.0, 0.0), (5.0, 1.0)))
ON_ONE_LINE = replace(ONE_POINT, points=((-0.5, 0.0), (0.0, 0.5), (0.5, 1.0)))
SIGN = Sign(
    text="Hello", item="sign", label="Sign", frame="nowhere", width_m=0.5, height_m=0.3, x_m=0.0, y_m=1.5
)
FRAME = arches().frames[0].id
SPOILED: dict[str, tuple[Callable[[], Design], FaultCode, str]] = {
    "nothing to build": (
        lambda: replace(arches(), frames=(), garlands=(), walls=(), bouquets=(), signs=()),
        FaultCode.EMPTY_DESIGN, "garlands",
    ),
    "two frames of one name": (
        lambda: twice(arches()), FaultCode.REPEATED, f"frames[{len(arches().frames)}].id"
    ),
    "an arch lower than its half round": (
        lambda: with_frame(LOW_ARCH), FaultCode.ARCH_TOO_LOW, f"frames[{len(arches().frames)}].height_m"
    ),
    "a part of a ring that is a dot": (
        lambda: with_frame(NO_RING), FaultCode.RING_SPAN, f"frames[{len(arches().frames)}].end_deg"
    ),
    "an outline of one point": (
        lambda: with_frame(ONE_POINT), FaultCode.POINT_COUNT, f"frames[{len(arches().frames)}].points"
    ),
    "an outline in a point": (
        lambda: with_frame(replace(ONE_POINT, points=((0.5, 1.0),) * 3)), FaultCode.OUTLINE_IN_A_POINT,
        f"frames[{len(arches().frames)}].points",
    ),
    "a cover over a line": (
        lambda: with_frame(replace(ON_ONE_LINE, cover=arches().frames[0].cover)), FaultCode.NO_FACE,
        f"frames[{len(arches().frames)}].points",
    ),
    "bars in a line": (
        lambda: with_frame(replace(ON_ONE_LINE, filling="ladder")), FaultCode.NO_FACE,
        f"frames[{len(arches().frames)}].points",
    ),
    "a point far off its frame": (
        lambda: with_frame(FAR_POINT), FaultCode.POINT_OUTSIDE_FRAME,
        f"frames[{len(arches().frames)}].points[1][0]",
    ),
    "a sign on a frame that is not there": (
        lambda: replace(arches(), signs=(SIGN,)), FaultCode.UNKNOWN_FRAME, "signs[0].frame"
    ),
    "a stretch along a frame that is not there": (
        lambda: with_route(Leg(kind="along", frame="nowhere")), FaultCode.UNKNOWN_FRAME, f"{LEGS}[0].frame"
    ),
    "a stretch from a place to itself": (
        lambda: with_route(Leg(kind="along", frame=FRAME, start=0.5, end=0.5)),
        FaultCode.NO_STRETCH, f"{LEGS}[0].end",
    ),
    "a line through one point": (
        lambda: with_route(Leg(kind="through", points=((0.0, 1.0),))), FaultCode.POINT_COUNT, f"{LEGS}[0].points"
    ),
    "a swag with one end": (
        lambda: with_route(Leg(kind="hang", points=((0.0, 2.0),))), FaultCode.HANG_POINTS, f"{LEGS}[0].points"
    ),
    "a pool of no length": (
        lambda: with_route(Leg(kind="pool", points=((0.0, 0.0),))), FaultCode.POOL_TOO_SHORT, f"{LEGS}[0].length_m"
    ),
    "a pool first that begins nowhere": (
        lambda: with_route(Leg(kind="pool", length_m=2.0)), FaultCode.POOL_START, f"{LEGS}[0].points"
    ),
    "no size for the quads": (lambda: with_garland(mix=arches().garlands[0].mix[-1:]), FaultCode.NO_BODY_SIZE, MIX),
    "two sizes in classic work": (lambda: with_garland(work="classic"), FaultCode.ONE_SIZE_ONLY, MIX),
    "a smallest above the largest": (
        lambda: with_mix(sized_low_m=0.26, sized_high_m=0.2), FaultCode.SIZED_ORDER, f"{MIX}[0].sized_low_m"
    ),
    "a size that nobody sells": (lambda: with_mix(size_in=13), FaultCode.UNKNOWN_SIZE, f"{MIX}[0].size_in"),
    "a balloon above its own size": (
        lambda: with_mix(sized_high_m=0.9), FaultCode.SIZED_OUT_OF_RANGE, f"{MIX}[0].sized_high_m"
    ),
    "shares that are no whole": (lambda: with_mix(share=0.01), FaultCode.SHARES_TOTAL, MIX),
    "a profile that goes back": (
        lambda: with_garland(profile=((0.5, 1.0), (0.4, 1.0))), FaultCode.PROFILE_ORDER, "garlands[0].profile[1][0]"
    ),
}  # fmt: skip


def test_the_design_that_is_spoiled_here_has_no_fault() -> None:
    assert cross_faults(arches()) == []


@pytest.mark.parametrize(("spoiled", "code", "field"), SPOILED.values(), ids=SPOILED)
def test_a_fault_between_fields_is_named_at_its_field(
    spoiled: Callable[[], Design], code: FaultCode, field: str
) -> None:
    assert (code, field) in {(fault.code, fault.field) for fault in cross_faults(spoiled())}
