"""What cannot be is shown with its thing, its place and its figures."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import Point, box
from shapely.ops import unary_union

from quoting.craft.design.faults import FaultCode
from quoting.craft.design.letters import sign_letters, text_width
from quoting.craft.design.records import Design, Frame, Garland, Leg, Sign, Site
from quoting.craft.design.things import Lettering, Prop
from quoting.craft.table.drawing import USUAL_MIX
from quoting.craft.table.limits import Limit, hidden_words, limits
from quoting.craft.takeoff.sign_room import hidden_letters, sign_depth
from quoting.craft.takeoff.takeoff import take_off
from tests.quoting.craft.starter_designs import NAMES, starter
from tests.quoting.craft.table.tables import LOW, TALL, done, over_both_arches, table

Line = list[tuple[float, float]]


def through(points: Line, depths: tuple[float, ...] = ()) -> Garland:
    return Garland(id="g", route=(Leg(kind="through", points=tuple(points), depths=depths),), mix=USUAL_MIX)


def found(design: Design, code: FaultCode) -> list[Limit]:
    return [limit for limit in limits(design) if limit.fault.code is code]


def test_a_garland_that_crosses_itself_is_shown_there_once() -> None:
    # By hand: the strands y = 1.3 + 0.7 x and y = 1.2 - 0.6 x meet at x = -1/13.
    eight = replace(table(), garlands=(through([(-1, 0.6), (1, 2.0), (1, 0.6), (-1, 1.8)]),))
    (limit,) = found(eight, FaultCode.CROSSES_ITSELF)
    assert limit.thing == "garland:g"
    assert (limit.x_m, limit.y_m) == pytest.approx((-1 / 13, 1.3 - 0.7 / 13), abs=0.05)


def test_two_crossings_far_apart_are_shown_both() -> None:
    # By hand: a level line is crossed twice, at x = 0 and at x = 1.
    loops = [(-1.0, 1.5), (2.0, 1.5), (2.0, 0.8), (1.0, 0.8), (1.0, 2.2), (0.0, 2.2), (0.0, 0.8)]
    shown = found(replace(table(), garlands=(through(loops),)), FaultCode.CROSSES_ITSELF)
    assert sorted(round(limit.x_m, 1) for limit in shown) == [0.0, 1.0]


@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_what_reaches_out_of_the_room_is_shown_on_its_side(side: float) -> None:
    small = replace(table(replace(LOW, x_m=side * 0.6)), site=Site(width_m=2.0))
    (limit,) = limits(small)
    assert limit.x_m == pytest.approx(side * (0.6 + 0.535))


def test_a_closed_ring_of_garland_crosses_nothing() -> None:
    turn = np.linspace(0, 2 * np.pi, 25)
    ring = [(float(np.cos(t)), 1.5 + float(np.sin(t))) for t in turn]
    assert found(replace(table(), garlands=(through(ring),)), FaultCode.CROSSES_ITSELF) == []


@pytest.mark.parametrize("name", NAMES)
def test_nothing_of_a_starter_crosses_itself_or_stands_in_another(name: str) -> None:
    never = {FaultCode.CROSSES_ITSELF, FaultCode.FRAMES_IN_ONE_PLACE, FaultCode.ROUTE_TOO_SHORT}
    assert [limit for limit in limits(starter(name)) if limit.fault.code in never] == []


def test_two_frames_in_one_place_are_shown_on_the_second() -> None:
    (limit,) = limits(table(TALL, replace(TALL, id="again")))
    assert (limit.thing, limit.fault.code) == ("frame:again", FaultCode.FRAMES_IN_ONE_PLACE)


def test_a_sign_too_wide_and_too_heavy_for_its_frame_is_shown_twice() -> None:
    sign = Sign(
        item="s", label="S", text="S", width_m=1.4, height_m=0.3, x_m=-0.4, y_m=1, frame="low", weight_kg=4
    )
    shown = limits(replace(table(LOW), signs=(sign,)))
    assert [limit.fault.code for limit in shown] == [FaultCode.SIGN_TOO_WIDE, FaultCode.SIGN_TOO_HEAVY]
    assert {limit.thing for limit in shown} == {"sign:sign"}


def test_words_wider_than_their_frame_are_shown() -> None:
    words = Lettering(id="w", text="Happy birthday Maya", height_m=0.3, x_m=-0.4, y_m=1.0, frame="low")
    (limit,) = limits(replace(table(LOW), letterings=(words,)))
    assert (limit.thing, limit.fault.code) == ("lettering:w", FaultCode.WORDS_TOO_WIDE)


def test_beyond_the_room_and_above_its_height_say_how_far() -> None:
    small = replace(table(LOW), site=Site(width_m=1.6, height_m=1.7))
    sideways, above = limits(small)
    assert (sideways.fault.found, sideways.fault.high) == pytest.approx((0.42 + 0.535, 0.8))
    assert (above.fault.found, above.fault.high) == pytest.approx((1.83, 1.7), abs=1e-3)
    assert above.y_m == pytest.approx(1.83, abs=1e-3)


def test_the_balloons_of_a_garland_count_as_part_of_it() -> None:
    drawn = replace(table(), garlands=(through([(-1, 2.8), (1, 2.8)]),), site=Site(width_m=6, height_m=3.0))
    assert [limit.fault.code for limit in limits(drawn)] == [FaultCode.ABOVE_THE_CEILING]


def test_what_stands_at_the_venue_may_reach_its_ceiling() -> None:
    pillar = starter("column-wound").frames[0]
    assert limits(replace(table(pillar), site=Site(width_m=6, height_m=2.5))) == ()


def test_a_frame_that_fits_no_door_is_shown() -> None:
    # By hand: 2.5 m each way goes through no door of 0.9 m by 2.0 m, however it is turned.
    wide = replace(TALL, width_m=2.5, height_m=2.5)
    (limit,) = found(table(wide), FaultCode.NOT_THROUGH_THE_DOOR)
    assert (limit.fault.found, limit.fault.high) == (2.5, 2.0)


def test_a_prop_that_fits_no_door_is_shown_and_a_plinth_is_not() -> None:
    # By hand: a box of 2.4 m each way goes through no door of 0.9 m by 2.0 m; a plinth does.
    with_plinth = done(table(), "put-prop", look="plinth", x_m=1.5).design
    assert found(with_plinth, FaultCode.NOT_THROUGH_THE_DOOR) == []
    prop = replace(with_plinth.props[0], width_m=2.4, height_m=2.4, depth_m=2.4)
    (limit,) = found(replace(with_plinth, props=(prop,)), FaultCode.NOT_THROUGH_THE_DOOR)
    assert limit.thing == f"prop:{prop.id}"


def test_a_garland_too_short_to_string_is_shown() -> None:
    (limit,) = limits(replace(table(), garlands=(through([(0, 1), (0.2, 1)]),)))
    assert limit.fault.code is FaultCode.ROUTE_TOO_SHORT


@pytest.mark.parametrize(
    ("x_m", "y_m", "held"),
    [(2.5, 0.27, True), (2.5, 1.5, False), (-1.2, 1.2, True), (0.4, 1.2, True), (-1.7, 0.6, True)],
)
def test_a_round_lies_on_something_or_is_tied_to_something(x_m: float, y_m: float, held: bool) -> None:
    """On the floor, in the air by itself, beside a frame, before a frame, by the garland's pool."""
    design = done(table(TALL, LOW), "put-garland", points=over_both_arches()).design
    put = done(design, "put-round", size_in=24, x_m=x_m, y_m=y_m).design
    assert (found(put, FaultCode.NOTHING_HOLDS_IT) == []) == held


@pytest.mark.parametrize(
    ("x_m", "y_m", "held"),
    [(2.5, 1.5, False), (1.2, 1.2, True), (0.4, 1.2, True), (-1.7, 0.5, True), (2.5, 0.2, True)],
)
def test_foil_with_air_stands_on_something_or_is_tied_to_something(
    x_m: float, y_m: float, held: bool
) -> None:
    """In the air by itself, beside a frame, before a frame, by the garland's pool, on the floor."""
    design = done(table(TALL, LOW), "put-garland", points=over_both_arches()).design
    put = done(design, "put-foil", shape="star", x_m=x_m, y_m=y_m).design
    there = replace(put, foils=(replace(put.foils[0], x_m=x_m, y_m=y_m, flat_m=0.46),))
    assert (found(there, FaultCode.NOTHING_HOLDS_IT) == []) == held
    afloat = replace(there, foils=(replace(there.foils[0], gas="helium"),))
    assert found(afloat, FaultCode.NOTHING_HOLDS_IT) == []


def test_foil_and_rounds_before_a_wall_of_balloons_are_held_by_it() -> None:
    wall = done(table(), "put-wall").design
    put = done(
        done(wall, "put-foil", text="40", x_m=0, y_m=1.2).design, "put-round", size_in=24, x_m=0.5, y_m=1.5
    )
    assert found(put.design, FaultCode.NOTHING_HOLDS_IT) == []
    assert {limit.thing for limit in found(replace(put.design, walls=()), FaultCode.NOTHING_HOLDS_IT)} == {
        "foil:foil-1", "round:round-1",
    }  # fmt: skip


def test_a_prop_of_the_venue_may_reach_out_of_the_room_and_a_lighter_one_may_not() -> None:
    stone = Prop(
        id="stone", item="stone", label="Stone", look="table", width_m=5, height_m=0.8, depth_m=1, x_m=2, weight_kg=180
    )  # fmt: skip
    assert limits(replace(table(LOW), props=(stone,))) == ()
    light = replace(table(LOW), props=(replace(stone, weight_kg=20),))
    assert [limit.thing for limit in found(light, FaultCode.OUTSIDE_THE_ROOM)] == ["prop:stone"]


def test_outdoors_a_garland_needs_a_frame_to_hang_from() -> None:
    across = done(table(TALL, LOW), "put-garland", points=[(-2.4, 1.4), (2.4, 1.6)]).design
    outside = replace(across, site=Site(outdoors=True))
    assert found(across, FaultCode.NOTHING_HOLDS_IT) == []
    (limit,) = found(outside, FaultCode.NOTHING_HOLDS_IT)
    assert limit.thing == "garland:garland-1"
    assert limit.x_m == pytest.approx(-2.4, abs=0.2)


def test_outdoors_a_garland_along_its_frames_is_held() -> None:
    drawn = done(table(TALL, LOW), "put-garland", points=over_both_arches()).design
    assert limits(replace(drawn, site=Site(outdoors=True))) == ()


def test_a_sign_past_its_frame_is_shown_at_the_sign() -> None:
    """By hand: a panel of 1.2 m ends at x = 0.6; of a sign of 0.8 m around x = 0.5 three of eight parts are past it."""
    panel = Frame(id="p", shape="panel", item="panel", label="Panel", width_m=1.2, height_m=2.0)
    sign = Sign(item="s", label="Sign", text="hello", width_m=0.8, height_m=0.3, x_m=0.5, y_m=1.4, frame="p")
    (limit,) = limits(replace(table(panel), signs=(sign,)))
    assert limit.thing == f"sign:{sign.id}"
    assert (limit.x_m, limit.y_m) == pytest.approx((0.5, 1.55)), "above its words"
    assert limit.fault.code is FaultCode.SIGN_PAST_ITS_FRAME
    assert limit.fault.found == pytest.approx(3 / 8, abs=0.02)
    assert limits(replace(table(panel), signs=(replace(sign, x_m=0.2),))) == ()


def test_a_sign_wider_than_its_frame_is_told_once() -> None:
    panel = Frame(id="p", shape="panel", item="panel", label="Panel", width_m=1.2, height_m=2.0)
    sign = Sign(item="s", label="Sign", text="hello", width_m=1.6, height_m=0.3, x_m=0, y_m=1.4, frame="p")
    (limit,) = limits(replace(table(panel), signs=(sign,)))
    assert limit.fault.code is FaultCode.SIGN_TOO_WIDE


def test_a_sign_behind_balloons_names_the_letters_that_nobody_reads() -> None:
    stage = starter("stage-three-frames")
    takeoff = take_off(stage)
    assert list(hidden_words(takeoff)) == []
    (sign,) = stage.signs
    before = replace(sign, width_m=0.8, height_m=0.32, x_m=-0.2, y_m=1.45)
    (limit,) = hidden_words(replace(takeoff, design=replace(stage, signs=(before,))))
    assert limit.thing == f"sign:{sign.id}"
    assert limit.fault.code is FaultCode.LETTERS_HIDDEN
    assert limit.fault.what == "fi"
    assert (limit.x_m, limit.y_m) == pytest.approx((-0.2, 1.61)), "above its words"


@pytest.mark.parametrize("x_m", [-0.4, -0.2, 0.0, 0.2])
def test_a_letter_counts_as_hidden_from_a_third_of_it_on(x_m: float) -> None:
    # Source: shapely cuts the discs of all balloons in front out of each letter's box; those near a third are left out.
    stage = starter("stage-three-frames")
    takeoff, b = take_off(stage), take_off(stage).balloons
    sign = replace(stage.signs[0], width_m=0.8, height_m=0.32, x_m=x_m, y_m=1.45)
    front = b.z > sign_depth(stage, sign, b)
    discs = unary_union(
        [Point(x, y).buffer(r) for x, y, r in zip(b.x[front], b.y[front], b.radius[front], strict=True)]
    )
    size = sign_letters(sign).size_m
    left = x_m - text_width(sign.text, "serif") * size / 2
    hidden = hidden_letters(stage, sign, takeoff.balloons)
    for letter in "ity":
        start = left + text_width(sign.text[: sign.text.index(letter)], "serif") * size
        area = box(start, 1.45 - 0.16, start + text_width(letter, "serif") * size, 1.45 + 0.16)
        share = area.intersection(discs).area / area.area
        if abs(share - 1 / 3) > 0.1:
            assert (letter in hidden) == (share > 1 / 3)
