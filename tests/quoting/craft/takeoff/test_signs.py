"""Several signs in one set piece: each is billed, hung, timed, carried, met by the wind and drawn."""

from __future__ import annotations

from dataclasses import replace

import pytest

from quoting.craft.change.scaling import spread
from quoting.craft.design.records import Design
from quoting.craft.design.signs import sign_faults, with_sign
from quoting.craft.picture.elevation import alt_text, elevation_svg
from quoting.craft.sheets.build_sheet import build_sheet
from quoting.craft.takeoff.carrying import loads
from quoting.craft.takeoff.sign_room import sign_room
from quoting.craft.takeoff.takeoff import TakeOff, take_off
from quoting.craft.takeoff.wind_load import brought_kg, wind_on
from studio.trade.packing import Packed
from tests.quoting.craft.starter_designs import starter


def signed(count: int) -> Design:
    """The half moon with its sign, and others beneath it by themselves and on the ring."""
    design = starter("ring-half-moon")
    (first,) = design.signs
    others = [
        replace(first, id=f"more-{k}", text=f"number {k}", label=f"Light sign “number {k}”", item=f"sign-{k}",
                y_m=first.y_m - 0.35 * k)
        for k in range(1, count)
    ]  # fmt: skip
    return replace(design, signs=(first, *others)[:count])


def billed(takeoff: TakeOff) -> dict[str, int]:
    return {line.code: line.quantity for line in takeoff.bill()}


def test_each_sign_is_billed_and_hung_with_line_and_pins_of_its_own() -> None:
    none, one, two = (billed(take_off(signed(count))) for count in (0, 1, 2))
    assert {"sign-light-at-last", "sign-1"} <= set(two)
    assert (none.get("cover-pin", 0), one["cover-pin"], two["cover-pin"]) == (0, 2, 4)
    assert two["fishing-line-m"] > one["fishing-line-m"]


def test_each_sign_has_its_minutes_its_step_and_its_load() -> None:
    takeoff = take_off(signed(3))
    (task,) = [task for task in takeoff.tasks if task.name == "Hang the sign"]
    assert task.minutes == pytest.approx(3 * 900 / 60)
    assert task.reason == ("3 signs",)
    steps = [step for step in build_sheet(takeoff).steps if step.startswith("Hang the sign")]
    assert steps[1:] == ["Hang the sign: Light sign “number 1”.", "Hang the sign: Light sign “number 2”."]
    one, three = (loads(signed(k), balloons=0, rounds=Packed(), parts=k).way_in for k in (1, 3))
    assert three == one + 2
    assert brought_kg(signed(3)) == pytest.approx(brought_kg(signed(1)) + 2 * signed(1).signs[0].weight_kg)


def test_the_wind_meets_every_sign() -> None:
    ballast = []
    for count in (1, 2):
        design = signed(count)
        beside = tuple(replace(one, x_m=3.0 + k, frame="") for k, one in enumerate(design.signs))
        windy = replace(design, signs=beside, site=replace(design.site, outdoors=True, gust_m_s=9.0))
        check = wind_on(windy, take_off(windy).balloons)
        assert check is not None
        ballast.append(check.ballast_for_sliding)
    assert ballast[1] > ballast[0]


def test_the_room_of_signs_is_that_of_the_one_that_is_seen_least() -> None:
    design = signed(2)
    takeoff = take_off(design)
    aside = replace(design, signs=(design.signs[0], replace(design.signs[1], x_m=9.0)))
    assert sign_room(aside, takeoff.balloons).outside == 1.0


def test_every_sign_is_drawn_told_and_moved_with_the_others() -> None:
    takeoff = take_off(signed(2))
    svg = elevation_svg(takeoff, things=True)
    assert 'data-thing="sign:sign"' in svg
    assert 'data-thing="sign:more-1"' in svg
    assert "A sign reads “at last”. A sign reads “number 1”." in alt_text(takeoff)
    ring = signed(2).frame(signed(2).signs[0].frame)
    aside = replace(signed(2), frames=tuple(replace(one, x_m=one.x_m + 1.0) for one in signed(2).frames))
    wider = spread(aside, 1.5).design
    assert ring is not None
    by = 1.5 * (ring.x_m + 1.0) - (ring.x_m + 1.0)
    assert [one.x_m - by for one in wider.signs] == pytest.approx([one.x_m for one in signed(2).signs])


def test_the_fault_of_a_sign_stands_at_its_own_place() -> None:
    design = signed(3)
    heavy = replace(design, signs=(*design.signs[:2], replace(design.signs[2], weight_kg=9.0)))
    assert [fault.field for fault in sign_faults(heavy)] == ["signs[2].weight_kg"]


def test_changing_the_first_sign_leaves_the_others_alone() -> None:
    design = signed(2)
    assert with_sign(design, None).signs == design.signs[1:]
    other = replace(design.signs[0], text="soon")
    assert with_sign(design, other).signs == (other, design.signs[1])


def test_a_sign_without_a_frame_is_set_up() -> None:
    (sign,) = signed(1).signs
    alone = take_off(replace(signed(1), signs=(replace(sign, frame=""),)))
    assert f"Set up the sign: {sign.label}." in build_sheet(alone).steps
