"""Carrying in and out, against somebody who walks every load, and through the task's minutes."""

from __future__ import annotations

from dataclasses import replace

import pytest

from quoting.craft.design.records import Design, Frame, Rates, Sign, Site
from quoting.craft.takeoff.carrying import Loads, carried, loads, seconds_a_load
from quoting.craft.takeoff.takeoff import packed_load, take_off
from studio.trade.packing import Packed
from tests.quoting.craft.starter_designs import starter, worked

BARE = Design(version=2, name="Bare", palette=())
RATES = Rates(load_s=50.0, walk_m_s=1.25, step_s=1.0, lift_s=75.0)
FRAME = Frame(id="a", shape="ring", item="ring", label="Ring", width_m=2.0, height_m=2.0, weight_kg=5.0)
SIGN = Sign(
    item="sign", label="Sign", text="love", width_m=1.0, height_m=0.3, x_m=0.0, y_m=2.0, weight_kg=0.6
)


def walked(count: int, way_m: int, steps: int = 0, rides: int = 0) -> float:
    """Seconds of one person who takes a load, goes metre by metre and step by step, and comes back for the next."""
    clock = 0.0
    for _ in range(count):
        clock += 50.0
        for _way in ("there", "back"):
            clock += sum(0.8 for _metre in range(way_m))
            clock += sum(1.0 for _step in range(steps)) + 75.0 * rides
    return clock


@pytest.mark.parametrize(
    ("site", "seconds"),
    [
        (Site(carry_m=0.0), walked(9, 0)),
        (Site(carry_m=40.0), walked(9, 40)),
        (Site(carry_m=40.0, steps=36), walked(9, 40, steps=36)),
        (Site(carry_m=40.0, steps=36, lift=True), walked(9, 40, rides=1)),
    ],
)
def test_nine_loads_take_as_long_as_walking_them_one_by_one(site: Site, seconds: float) -> None:
    assert 9 * seconds_a_load(site, RATES) == pytest.approx(seconds)


def test_loads_are_counted_by_bags_crates_and_weight() -> None:
    # 2.1 m³ of balloons are five times two bags; 40 parts without the sign are two crates.
    design = replace(BARE, frames=(FRAME, replace(FRAME, id="b", weight_kg=40.0)), signs=(SIGN,))
    found = loads(design, balloons=240, rounds=Packed(2.1), parts=41)
    # The light frame and the sign go by themselves, the heavy frame takes three people.
    assert found.way_in == 5 + 2 + 1 + 1 + 3
    # Burst, the balloons are one sack.
    assert found.way_out == 1 + 2 + 1 + 1 + 3


def test_nothing_is_carried_of_nothing_and_nobody_lifts_a_pillar() -> None:
    assert loads(BARE, balloons=0, rounds=Packed(), parts=0) == Loads(0, 0)
    pillar = replace(FRAME, weight_kg=400.0)
    assert loads(replace(BARE, frames=(pillar,)), balloons=0, rounds=Packed(), parts=0) == Loads(0, 0)


def test_a_farther_room_and_more_steps_take_longer_and_change_nothing_else() -> None:
    near = worked("ring-half-moon")
    far = take_off(replace(near.design, site=replace(near.design.site, carry_m=150.0, steps=60)))
    assert far.balloons.x.tolist() == near.balloons.x.tolist()
    before, after = dict(near.work()), dict(far.work())
    for task in ("Carry in", "Carry out"):
        assert after.pop(task) > 2 * before.pop(task)
    assert after == before


def test_carrying_is_the_first_task_of_the_install_and_the_last_of_the_strike() -> None:
    tasks = worked("garland-nested-arches").tasks
    assert next(task.name for task in tasks if task.phase == "install") == "Carry in"
    assert [task.name for task in tasks if task.phase == "strike"][-1] == "Carry out"


def test_a_starter_is_carried_in_by_two_within_a_quarter_of_an_hour() -> None:
    """By hand: 238 balloons of some 3 m³ are six or seven times two bags, two frames, two crates; 30 m and back."""
    takeoff = worked("garland-nested-arches")
    packed = packed_load(takeoff)
    bags = -(-packed.rounds.volume_m3 // 0.5)
    crates = -(-packed.parts // 24)
    minutes = (bags + crates + 2) * (40 + 60 / 1.07) / 60
    assert dict(takeoff.work())["Carry in"] == pytest.approx(minutes)
    assert 5 <= minutes / 2 <= 15


def test_washing_has_minutes_of_its_own_and_none_of_the_strike() -> None:
    design = starter("garland-nested-arches")
    bare = replace(design, frames=tuple(replace(frame, cover=None) for frame in design.frames))
    covered, uncovered = take_off(design), take_off(bare)
    covers = sum(frame.cover is not None for frame in design.frames)
    # Common practice, no source: 10 to 30 minutes a cover, hands on.
    assert 10 <= covered.minutes("washing") / covers <= 30
    assert uncovered.minutes("washing") == 0
    strike = [task.name for task in covered.tasks if task.phase == "strike"]
    assert strike == ["Take down balloons", "Strip and pack frames", "Carry out"]


def test_words_say_how_many_loads_go_how_far() -> None:
    assert carried(1, Site(carry_m=12.0)) == ("1 load, ", 12.0, " from the van")
    assert carried(7, Site(steps=1)) == ("7 loads, ", 30.0, " from the van, 1 step")
    assert carried(7, Site(steps=40, lift=True)) == ("7 loads, ", 30.0, " from the van, by lift")
