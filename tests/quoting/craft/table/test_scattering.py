"""Several stems put along a garland or a frame by one act."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import LineString, Point

from quoting.craft.change.extent import garland_reach
from quoting.craft.design.faults import DesignError, FaultCode
from quoting.craft.design.frames import outline
from quoting.craft.design.records import Design
from quoting.craft.settle.laying import route_in
from quoting.craft.table.acted import SaidCode
from quoting.craft.takeoff.takeoff import take_off
from tests.quoting.craft.table.tables import LOW, TALL, codes, done, over_both_arches, table

REF = "garland:garland-1"


def drawn() -> Design:
    return done(table(TALL, LOW), "put-garland", points=over_both_arches()).design


def test_stems_lie_by_the_garland_each_in_its_own_part_of_the_way() -> None:
    # Source: shapely, the place on a line that is nearest to a point.
    acted = done(drawn(), "scatter", thing=REF, item="fern", count=8, start=0.2, end=0.8)
    assert codes(acted) == [SaidCode.SCATTERED]
    assert acted.said[0].figures == {"count": 8}
    line = LineString(route_in(acted.design, 0).points[:, :2])
    stems = [Point(stem.x_m, stem.y_m) for stem in acted.design.sprays]
    reach = garland_reach(acted.design.garlands[0])
    assert len(stems) == 8
    assert all(line.distance(stem) < reach for stem in stems)
    middles = 0.2 + 0.6 * (np.arange(8) + 0.5) / 8
    assert all(
        stem.distance(line.interpolate(middle, normalized=True)) < reach
        for stem, middle in zip(stems, middles.tolist(), strict=True)
    )


def test_they_go_to_both_sides_and_point_away_from_the_garland() -> None:
    design = done(table(), "put-garland", points=[(-2, 1.5), (2, 1.5)]).design
    stems = done(design, "scatter", thing=REF, item="fern", count=9).design.sprays
    sides = [np.sign(stem.y_m - 1.5) for stem in stems]
    assert {-1.0, 1.0} == set(sides)
    assert all(
        np.sign(np.cos(np.radians(stem.turn_deg))) == side for stem, side in zip(stems, sides, strict=True)
    )


def test_the_same_asked_again_gives_the_same() -> None:
    first, second = (done(drawn(), "scatter", thing=REF, item="fern", count=7).design for _ in range(2))
    assert first == second


def test_on_a_frame_they_lie_along_its_outline() -> None:
    stems = done(
        table(LOW), "scatter", thing="frame:low", item="fern", count=5, start=0.5, end=1.0
    ).design.sprays
    line = LineString(outline(LOW).points)
    places = [line.project(Point(stem.x_m, stem.y_m), normalized=True) for stem in stems]
    assert places == sorted(places)
    assert places[0] > 0.5
    assert max(line.distance(Point(stem.x_m, stem.y_m)) for stem in stems) < 0.07
    assert all(stem.z_m > LOW.z_m for stem in stems)


def test_each_stem_is_billed() -> None:
    bare = drawn()
    acted = done(bare, "scatter", thing=REF, item="fern", count=11)
    billed = {line.code: line.quantity for line in take_off(acted.design).bill()}
    assert billed["fern"] == 11


def test_what_cannot_be_scattered_is_refused() -> None:
    with pytest.raises(DesignError) as refused:
        done(drawn(), "scatter", thing=REF, item="rose", count=3)
    assert refused.value.faults[0].code is FaultCode.NOT_OWNED
    with pytest.raises(DesignError) as refused:
        done(drawn(), "scatter", thing=REF, item="fern", count=3, start=0.4, end=0.4)
    assert refused.value.faults[0].field == "end"
    board = done(table(), "put-sign", item="board", y_m=1.0).design
    with pytest.raises(DesignError) as refused:
        done(board, "scatter", thing="sign:sign-1", item="fern", count=3)
    assert refused.value.faults[0].code is FaultCode.NOT_FOR_THIS
    full = drawn()
    with pytest.raises(DesignError) as refused:
        for _ in range(20):
            full = done(full, "scatter", thing=REF, item="fern", count=40).design
    assert refused.value.faults[0].code is FaultCode.TOO_MANY_THINGS
