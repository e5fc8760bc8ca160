"""The room about the table: its depth and its door."""

from __future__ import annotations

from dataclasses import replace

import pytest

from quoting.craft.design.faults import FaultCode
from quoting.craft.design.records import Design
from quoting.craft.table.limits import Limit, limits
from tests.quoting.craft.table.tables import LOW, TALL, done, table


def in_room(design: Design, **facts: object) -> Design:
    return done(design, "site", fields=facts).design


def found(design: Design, code: FaultCode) -> list[Limit]:
    return [limit for limit in limits(design) if limit.fault.code is code]


def test_what_is_deeper_than_the_room_is_said_of_the_foremost_thing() -> None:
    # By hand: the rearmost frame at -0.2 m, the wall 0.4 m behind it; a crate of 0.3 m, its middle at 0.5 m.
    design = done(table(TALL, LOW), "put-prop", item="crate").design
    assert not found(in_room(design, depth_m=1.25), FaultCode.DEEPER_THAN_THE_ROOM)
    (limit,) = found(in_room(design, depth_m=1.2), FaultCode.DEEPER_THAN_THE_ROOM)
    assert limit.thing == "prop:prop-1"
    assert limit.fault.found == pytest.approx(0.65 + 0.2 + 0.4)


def test_without_frames_only_the_depth_of_the_things_counts() -> None:
    design = done(table(), "put-prop", look="table").design
    assert not found(in_room(design, depth_m=0.6), FaultCode.DEEPER_THAN_THE_ROOM)
    assert found(in_room(design, depth_m=0.5), FaultCode.DEEPER_THAN_THE_ROOM)


def test_what_stands_before_the_door_is_said_and_a_rug_is_none() -> None:
    design = done(table(LOW), "put-prop", look="rug", x_m=1.8).design
    design = done(design, "put-prop", item="crate", x_m=2.4).design
    blocked = found(in_room(design, door_x_m=2.2, door_width_m=0.9), FaultCode.BEFORE_THE_DOOR)
    assert [limit.thing for limit in blocked] == ["prop:prop-2"]
    assert not found(in_room(design, door_x_m=-2.5), FaultCode.BEFORE_THE_DOOR)
    assert not found(design, FaultCode.BEFORE_THE_DOOR), "no door is known of"


def test_over_the_door_things_may_hang() -> None:
    design = done(table(), "put-sign", item="board", x_m=1.0, y_m=2.4).design
    assert not found(in_room(design, door_x_m=1.0), FaultCode.BEFORE_THE_DOOR)
    low = done(design, "move", thing="sign:sign-1", x_m=1.0, y_m=1.4).design
    assert found(in_room(low, door_x_m=1.0), FaultCode.BEFORE_THE_DOOR)


def test_what_stands_at_the_venue_already_is_in_nobodys_way() -> None:
    pillar = replace(LOW, id="pillar", shape="column", width_m=0.5, height_m=3.0, weight_kg=400.0, cover=None)
    assert not found(in_room(table(pillar), door_x_m=pillar.x_m), FaultCode.BEFORE_THE_DOOR)
