"""Things moved, resized, turned, copied and taken away; what hangs on a frame goes with it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point, affinity

from quoting.craft.design.faults import DesignError, FaultCode
from quoting.craft.design.frames import outline
from quoting.craft.design.records import Design, Frame, Garland, Leg, Sign
from quoting.craft.design.things import Foil, Lettering, Round
from quoting.craft.settle.laying import route_in
from quoting.craft.table.acted import SaidCode
from quoting.craft.table.drawing import USUAL_MIX
from quoting.craft.table.handles import table_view
from quoting.craft.table.things import all_things, ref_of
from quoting.craft.takeoff.takeoff import take_off
from tests.quoting.craft.table.tables import ARCHES, LOW, TALL, along, codes, done, over_both_arches, table

SIGN = Sign(
    id="six",
    item="s",
    label="Sign “six!”",
    text="six!",
    width_m=0.5,
    height_m=0.3,
    x_m=-0.4,
    y_m=1.1,
    frame="low",
)
WORDS = Lettering(id="words", text="Maya", height_m=0.1, x_m=-0.42, y_m=0.6, frame="low")
BALL = Round(id="ball", size_in=24, sized_m=0.55, colour="oat", x_m=-0.9, y_m=1.5, z_m=0.3, frame="low")


def drawn() -> Design:
    """Two arches with a garland over both, a sign, letters and a round on the low one."""
    design = done(table(TALL, LOW), "put-garland", points=over_both_arches()).design
    return replace(design, signs=(SIGN,), letterings=(WORDS,), rounds=(BALL,))


def string(design: Design, index: int = 0) -> LineString:
    return LineString(route_in(design, index).points[:, :2])


def test_what_hangs_on_a_frame_moves_with_it() -> None:
    acted = done(drawn(), "move", thing="frame:low", x_m=-0.8, y_m=0.1, exact=True)
    after = acted.design
    assert (after.signs[0].x_m, after.signs[0].y_m) == pytest.approx((-0.78, 1.2))
    assert (after.letterings[0].x_m, after.rounds[0].x_m) == pytest.approx((-0.8, -1.28))
    follows = [said.other for said in acted.said if said.code is SaidCode.FOLLOWS]
    assert follows == ["Sign “six!”", "Maya", "Big round", "Garland"]


def test_the_garlands_stretch_follows_a_moved_frame_exactly() -> None:
    # Source: shapely, the string's stretch on the frame, shifted by hand.
    before, after = drawn(), done(drawn(), "move", thing="frame:low", x_m=-0.8, exact=True).design
    assert after.garlands[0].route[1:] == before.garlands[0].route[1:]
    up_the_side = [route_in(design, 0) for design in (before, after)]
    old, new = (
        LineString([point[:2] for point, leg in zip(one.points, one.legs, strict=True) if leg == 1])
        for one in up_the_side
    )
    assert affinity.translate(old, -0.38).hausdorff_distance(new) < 0.06


def test_a_pool_goes_with_the_frame_that_it_leads_to() -> None:
    before, after = drawn(), done(drawn(), "move", thing="frame:low", x_m=-0.8, exact=True).design
    (old, _), (new, _) = (design.garlands[0].route[0].points[0] for design in (before, after))
    assert new == pytest.approx(old - 0.38, abs=1e-3)


def test_points_in_the_air_stay_and_it_is_said() -> None:
    design = done(table(LOW), "put-garland", points=[(-1.3, 0.9), (0.6, 1.4)]).design
    acted = done(design, "move", thing="frame:low", x_m=-0.8, exact=True)
    assert acted.design.garlands == design.garlands
    (said,) = [one for one in acted.said if one.code is SaidCode.POINTS_STAY]
    near = [
        p
        for p in design.garlands[0].route[0].points
        if LineString(outline(LOW).points).distance(Point(p)) < 0.5
    ]
    assert said.figures == {"count": len(near)}


@given(st.floats(-3, 3), st.floats(0, 3))
def test_moved_and_moved_back_it_is_the_same_design(x_m: float, y_m: float) -> None:
    before = replace(drawn(), signs=(), letterings=(), rounds=())
    there = done(before, "move", thing="frame:low", x_m=x_m, y_m=y_m, exact=True).design
    back = done(there, "move", thing="frame:low", x_m=LOW.x_m, y_m=0.0, exact=True).design
    assert back.frames == before.frames
    assert back.garlands[0].route[1:] == before.garlands[0].route[1:]
    assert string(back).hausdorff_distance(string(before)) < 0.01


def test_a_garland_is_moved_as_far_as_frames_let_it() -> None:
    design = done(
        table(LOW), "put-garland", points=[*[(-0.955, y) for y in np.linspace(0, 1.2, 9)], (0.9, 2.0)]
    ).design
    acted = done(design, "move", thing="garland:garland-1", x_m=3.0, y_m=1.0)
    assert codes(acted) == [SaidCode.MOVED, SaidCode.HELD_BY_FRAMES]
    old, new = design.garlands[0].route, acted.design.garlands[0].route
    assert new[0] == old[0]
    assert new[1].points[-1][0] > old[1].points[-1][0]


def test_a_garland_moved_over_a_frame_goes_before_it() -> None:
    near = replace(LOW, x_m=2.5, z_m=0.5)
    leg = Leg(kind="through", points=((-1.0, 1.0), (0.0, 1.0), (1.0, 1.0)), depths=(0.1, 0.1, 0.1))
    design = replace(table(near), garlands=(Garland(id="garland-1", route=(leg,), mix=USUAL_MIX),))
    after = done(design, "move", thing="garland:garland-1", x_m=2.5, y_m=1.0).design
    first, middle, last = after.garlands[0].route[0].depths
    assert (first, last) == (0.1, 0.1)
    assert middle > near.z_m + near.tube_m / 2


def test_a_sign_moved_to_another_frame_hangs_there() -> None:
    acted = done(drawn(), "move", thing="sign:six", x_m=0.8, y_m=1.2)
    assert acted.design.signs[0].frame == "tall"
    assert done(drawn(), "move", thing="sign:six", x_m=2.8, y_m=1.2).design.signs[0].frame == ""


def test_letters_stay_with_their_frame_where_no_cover_is() -> None:
    assert (
        done(drawn(), "move", thing="lettering:words", x_m=2.8, y_m=1.2).design.letterings[0].frame == "low"
    )


def test_a_frame_brought_forward_takes_its_rounds_along() -> None:
    acted = done(drawn(), "depth", thing="frame:low", z_m=0.5)
    assert (acted.design.frames[1].z_m, acted.design.rounds[0].z_m) == (0.5, 0.8)


def test_a_garland_in_the_air_is_brought_forward_as_a_whole() -> None:
    design = done(table(), "put-garland", points=[(-1.0, 1.0), (1.0, 1.4)]).design
    after = done(design, "depth", thing="garland:garland-1", z_m=1.0).design
    assert set(after.garlands[0].route[0].depths) == {1.0}
    assert route_in(after, 0).points[:, 2] == pytest.approx(1.0)


def test_an_owned_frame_takes_the_nearest_owned_size() -> None:
    owned = replace(LOW, sizes=ARCHES)
    acted = done(table(owned), "resize", thing="frame:low", width_m=1.3, height_m=2.2)
    assert (acted.design.frames[0].item, acted.design.frames[0].height_m) == ("arch-7ft", 2.13)
    assert codes(acted) == [SaidCode.RESIZED, SaidCode.NEAREST_SIZE]


def test_a_frame_made_to_measure_takes_the_size_asked_for() -> None:
    acted = done(table(LOW), "resize", thing="frame:low", width_m=1.4, height_m=2.2)
    assert (acted.design.frames[0].width_m, acted.design.frames[0].height_m) == (1.4, 2.2)


def test_what_hangs_on_a_frame_keeps_its_place_of_it_when_it_grows() -> None:
    after = done(drawn(), "resize", thing="frame:low", width_m=2 * LOW.width_m, height_m=2.745).design
    assert (after.signs[0].x_m, after.signs[0].y_m) == pytest.approx((LOW.x_m + 2 * 0.02, 1.65))
    assert after.letterings[0].y_m == pytest.approx(0.9)


def test_a_round_moved_to_another_frame_is_tied_there_and_on_the_floor_to_none() -> None:
    assert done(drawn(), "move", thing="round:ball", x_m=0.9, y_m=1.5).design.rounds[0].frame == "tall"
    assert done(drawn(), "move", thing="round:ball", x_m=0.9, y_m=0.28).design.rounds[0].frame == ""


@pytest.mark.parametrize(("width_m", "size_in"), [(0.25, 11), (0.38, 17), (0.7, 30), (0.9, 36)])
def test_a_round_takes_the_nominal_size_that_comes_nearest(width_m: float, size_in: int) -> None:
    acted = done(drawn(), "resize", thing="round:ball", width_m=width_m, height_m=width_m)
    assert acted.design.rounds[0].size_in == size_in


def test_a_size_that_the_file_does_not_take_is_a_fault_at_the_act() -> None:
    with pytest.raises(DesignError) as refused:
        done(table(LOW), "resize", thing="frame:low", width_m=13, height_m=2.2)
    assert [fault.field for fault in refused.value.faults] == ["width_m"]


def test_foil_balloons_turn_and_signs_do_not() -> None:
    foil = Foil(
        id="f", item="f", label="Six", shape="glyphs", text="6", flat_m=0.8, hex="#D9B45B", x_m=0, y_m=1
    )
    assert (
        done(replace(drawn(), foils=(foil,)), "turn", thing="foil:f", deg=15).design.foils[0].turn_deg == 15
    )
    with pytest.raises(DesignError) as refused:
        done(drawn(), "turn", thing="sign:six", deg=15)
    assert [fault.code for fault in refused.value.faults] == [FaultCode.NOT_FOR_THIS]


def test_a_mirrored_garland_runs_over_the_mirror_image_of_its_frames() -> None:
    # Source: shapely. A frame alike on both sides, so that the string's mirror image lies on it as well.
    middle = replace(LOW, x_m=0.2)
    stroke = [*along(middle, 0.0, 0.4), (0.3, 2.2), (0.9, 2.4)]
    design = done(table(middle), "put-garland", points=stroke).design
    after = done(design, "mirror", thing="garland:garland-1").design
    image = affinity.scale(string(design), xfact=-1, origin=(0.2, 0))
    assert image.hausdorff_distance(string(after)) < 0.03


@pytest.mark.parametrize("frames", [(TALL, LOW), (replace(LOW, shape="half-arch"),)])
def test_a_garland_whose_frames_are_not_alike_on_both_sides_has_no_mirror_image(
    frames: tuple[Frame, ...],
) -> None:
    points = over_both_arches() if len(frames) == 2 else along(frames[0], 0.1, 0.9)
    design = done(table(*frames), "put-garland", points=points).design
    with pytest.raises(DesignError) as refused:
        done(design, "mirror", thing="garland:garland-1")
    assert [(one.code, one.field) for one in refused.value.faults] == [(FaultCode.NO_MIRROR_IMAGE, "thing")]
    garland = next(one for one in table_view(design).things if one.ref == "garland:garland-1")
    assert "mirror" not in garland.takes


def test_a_mirrored_column_is_the_same_column() -> None:
    column = done(table(), "put-column", x_m=-1.0).design
    assert done(column, "mirror", thing="garland:column-1").design == column


def test_a_copy_hangs_from_what_is_at_its_place() -> None:
    beside = replace(table(LOW), signs=(replace(SIGN, x_m=-0.1),))
    assert done(beside, "copy", thing="sign:six").design.signs[1].frame == ""
    onward = replace(drawn(), rounds=(replace(BALL, x_m=0.6),), frames=(LOW, replace(TALL, x_m=1.3)))
    assert done(onward, "copy", thing="round:ball").design.rounds[1].frame == "tall"
    words = replace(drawn(), letterings=(replace(WORDS, x_m=0.1),))
    assert done(words, "copy", thing="lettering:words").design.letterings[1].frame == "tall"


def test_the_whole_design_mirrored_twice_is_itself() -> None:
    twice = done(done(drawn(), "mirror").design, "mirror").design
    assert twice == drawn()


def test_ids_stay_unique_when_everything_is_copied() -> None:
    design = drawn()
    for thing in all_things(design):
        design = done(design, "copy", thing=ref_of(thing)).design
    ids = [ref_of(thing) for thing in all_things(design)]
    assert len(ids) == len(set(ids)) == 2 * len(all_things(drawn()))


def test_a_copied_garland_keeps_its_shape_beside_the_first() -> None:
    design = done(drawn(), "copy", thing="garland:garland-1").design
    assert affinity.translate(string(design, 0), 0.3).hausdorff_distance(string(design, 1)) < 0.08


def test_a_column_is_copied_and_moved_as_a_whole_and_goes_with_its_pole() -> None:
    one = done(table(), "put-column", x_m=-1.0).design
    two = done(one, "copy", thing="garland:column-1").design
    assert (
        [frame.id for frame in two.frames]
        == [garland.id for garland in two.garlands]
        == ["column-1", "column-2"]
    )
    moved = done(two, "move", thing="garland:column-2", x_m=1.5).design
    assert moved.frames[1].x_m == 1.5
    assert len(take_off(moved).balloons) == 2 * len(take_off(one).balloons)
    gone = done(moved, "remove", thing="frame:column-1").design
    assert [ref_of(thing) for thing in all_things(gone)] == ["frame:column-2", "garland:column-2"]


def test_a_garland_keeps_its_place_when_its_frame_goes() -> None:
    acted = done(drawn(), "remove", thing="frame:low")
    assert string(drawn()).hausdorff_distance(string(acted.design)) < 0.08
    assert acted.design.signs[0].frame == acted.design.rounds[0].frame == ""
    assert acted.design.letterings == ()
    assert codes(acted) == [
        SaidCode.REMOVED,
        SaidCode.STAYS_IN_THE_AIR,
        SaidCode.STANDS_BY_ITSELF,
        SaidCode.STANDS_BY_ITSELF,
        SaidCode.GOES_WITH_IT,
    ]


def test_everything_can_be_taken_away() -> None:
    design = drawn()
    for thing in all_things(drawn()):
        if ref_of(thing) in {ref_of(one) for one in all_things(design)}:
            design = done(design, "remove", thing=ref_of(thing)).design
    assert all_things(design) == ()


def test_a_thing_that_is_not_there_is_a_fault_at_thing() -> None:
    for ref in ("frame:none", "nothing", "", "garland:low"):
        with pytest.raises(DesignError) as refused:
            done(drawn(), "move", thing=ref, x_m=0)
        assert [(fault.code, fault.field) for fault in refused.value.faults] == [
            (FaultCode.NOT_IN_PIECE, "thing")
        ]
