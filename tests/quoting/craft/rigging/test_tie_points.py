"""Ties by hand are made fast to what is near, and the span from one to the next is what a tie bears."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import LineString, Point

from quoting.craft.design.checks import cross_faults
from quoting.craft.design.faults import FaultCode
from quoting.craft.design.frames import outline
from quoting.craft.design.records import Design, Floral, Leg, Site
from quoting.craft.rigging.tie_points import (
    EMPTY_260_M,
    MOST_ON_A_TIE_KG,
    NOTHING,
    OWN_LINE,
    WALL_CLIP,
    hanging_spans,
    tie_points,
    tie_spacing_m,
    weight_per_metre,
)
from quoting.craft.settle.build import alike_at_rest
from quoting.craft.settle.laying import routes_of
from quoting.craft.takeoff.takeoff import take_off
from tests.quoting.craft.starter_designs import NAMES, starter, straight_garland


def with_ties(design: Design, *ties: float) -> Design:
    return replace(design, garlands=(replace(design.garlands[0], ties=ties), *design.garlands[1:]))


def held(design: Design) -> list[str]:
    return [tie.holder for tie in tie_points(design, 0, routes_of(design)[0])]


@pytest.mark.parametrize("name", NAMES)
def test_ties_worked_out_are_nowhere_farther_apart_than_one_bears(name: str) -> None:
    design = starter(name)
    for index, route in enumerate(routes_of(design)):
        for span in hanging_spans(design, index, route):
            assert span.length_m <= span.most_m + 0.021


def test_ties_by_hand_are_where_they_were_put() -> None:
    design = with_ties(starter("garland-nested-arches"), 0.2, 0.5, 0.9)
    (route,) = routes_of(design)
    stations = [tie.station_m for tie in tie_points(design, 0, route)]
    assert stations == pytest.approx([0.2 * route.length_m, 0.5 * route.length_m, 0.9 * route.length_m])


def test_a_tie_is_clipped_to_a_frame_exactly_where_a_tail_reaches_its_outline() -> None:
    """Beside the arches; distances measured by shapely on their outlines."""
    arches = starter("garland-nested-arches")
    line = LineString(outline(arches.frames[1]).points)
    kinds = set()
    for step in range(20):
        x = -1.1 - 0.05 * step
        leg = Leg(kind="through", points=((x, 1.2), (x, 1.9)), depths=(0.0, 0.0))
        design = with_ties(replace(arches, garlands=(replace(arches.garlands[0], route=(leg,)),)), 0.5)
        (tie,) = tie_points(design, 0, routes_of(design)[0])
        away = (line.distance(Point(tie.x, tie.y)) ** 2 + (tie.z - arches.frames[1].z_m) ** 2) ** 0.5
        if abs(away - EMPTY_260_M) > 0.01:
            assert bool(tie.frame) == (away < EMPTY_260_M)
            kinds.add(bool(tie.frame))
    assert kinds == {True, False}


def test_in_the_air_a_tie_goes_to_the_wall_in_reach_else_to_the_ceiling_and_outdoors_to_nothing() -> None:
    bare = with_ties(straight_garland(3.0), 0.5)
    near, far = Site(wall_gap_m=0.3), Site(wall_gap_m=0.9)
    assert held(replace(bare, site=near)) == [WALL_CLIP]
    assert held(replace(bare, site=far)) == [OWN_LINE]
    assert held(replace(bare, site=replace(far, outdoors=True))) == [NOTHING]


def test_hardware_follows_the_ties_that_were_put_by_hand() -> None:
    bare = with_ties(replace(straight_garland(3.0), site=Site(wall_gap_m=0.3)), 0.1, 0.5, 0.9)
    lines = {line.code: line.quantity for line in take_off(bare).bill()}
    assert lines["clip-wall"] == 3
    assert "ceiling-hook" not in lines
    hung = replace(bare, site=Site(wall_gap_m=0.9))
    assert {line.code: line.quantity for line in take_off(hung).bill()}["ceiling-hook"] == 3


def test_what_a_tie_bears_sets_how_far_apart_ties_may_be() -> None:
    """By hand: so many kilograms a metre, over so many metres, are what one tie carries."""
    design = starter("garland-nested-arches")
    ivy = Floral(kind="greenery", item="green", label="Ivy", hex="#7E9A78", share=2.0)
    heavy = replace(design, florals=(ivy, replace(ivy, item="fern", label="Fern")))
    (route,) = routes_of(heavy)
    most = tie_spacing_m(heavy, 0, route, 2.0)
    assert most * weight_per_metre(heavy, heavy.garlands[0]) == pytest.approx(MOST_ON_A_TIE_KG)
    assert most < tie_spacing_m(design, 0, route, 2.0)


def test_what_lies_on_the_floor_needs_no_tie() -> None:
    design = with_ties(starter("garland-nested-arches"), 0.5)
    (route,) = routes_of(design)
    for span in hanging_spans(design, 0, route):
        for share in (0.0, 0.5, 1.0):
            x, y, _ = route.at(np.array([span.start_m + share * span.length_m]))[0].tolist()
            on_frame = min(LineString(outline(frame).points).distance(Point(x, y)) for frame in design.frames)
            assert y > 0.45 or on_frame < 0.2


def test_ties_out_of_order_are_a_fault_at_the_later_one() -> None:
    faults = cross_faults(with_ties(starter("garland-nested-arches"), 0.5, 0.4))
    assert [(fault.code, fault.field) for fault in faults] == [
        (FaultCode.PROFILE_ORDER, "garlands[0].ties[1]")
    ]


def test_ties_move_no_balloon() -> None:
    design = starter("table-garland")
    assert alike_at_rest(design, with_ties(design, 0.3, 0.6))
