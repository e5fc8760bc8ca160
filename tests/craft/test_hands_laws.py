"""Laws of hands, transport and cautions."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from quoting.craft import cautions, transport
from quoting.craft.errors import CraftError
from quoting.craft.hands import AT_STUDIO, Quantities, Rates, Task, minutes_by_task

quantities = st.builds(
    Quantities,
    balloons=st.dictionaries(st.sampled_from([5, 11, 17, 24, 36]), st.integers(0, 400), max_size=5),
    rings=st.integers(0, 200),
    fillers=st.integers(0, 100),
    frames=st.integers(0, 6),
    tie_points=st.integers(0, 20),
    garland_length=st.floats(0, 30),
    greenery_length=st.floats(0, 30),
    stems=st.integers(0, 60),
)
sides = st.tuples(st.floats(0.05, 4), st.floats(0.05, 4), st.floats(0.05, 4))


@given(quantities, st.integers(1, 12))
def test_a_larger_crew_is_done_no_later_and_paid_no_less(work: Quantities, crew: int) -> None:
    fewer, more = minutes_by_task(work, crew=crew), minutes_by_task(work, crew=crew + 1)
    for one, other in zip(fewer, more, strict=True):
        assert other.clock_minutes <= one.clock_minutes
        assert other.clock_minutes * (crew + 1) >= one.clock_minutes * crew * (1 - 1e-12)
        assert other.person_minutes == one.person_minutes


@given(quantities)
def test_tasks_come_in_working_order_and_only_where_there_is_something_to_do(work: Quantities) -> None:
    tasks = [one.task for one in minutes_by_task(work)]
    assert tasks == [task for task in Task if task in tasks]
    assert (Task.DRESS in tasks) == (work.frames > 0)
    assert (Task.TIE in tasks) == (sum(work.balloons.values()) > 0)


@given(quantities)
def test_strike_is_its_share_of_the_work_on_site(work: Quantities) -> None:
    minutes = {one.task: one.person_minutes for one in minutes_by_task(work, Rates(strike=0.4))}
    on_site = sum(amount for task, amount in minutes.items() if task not in (*AT_STUDIO, Task.STRIKE))
    assert minutes.get(Task.STRIKE, 0.0) == pytest.approx(0.4 * on_site)


def test_minutes_are_counts_times_the_studios_own_rates() -> None:
    work = Quantities(
        balloons={5: 40, 11: 100}, rings=25, fillers=5, frames=2, tie_points=4, garland_length=3.0
    )
    rates = Rates(
        inflate={5: 0.1, 11: 0.2},
        tie=0.1,
        string=0.4,
        frame=5.0,
        rig=2.0,
        install=6.0,
        filler=1.0,
        strike=0.5,
    )
    alone = {one.task: one.person_minutes for one in minutes_by_task(work, rates)}
    assert alone == pytest.approx(
        {
            Task.INFLATE: 24.0,
            Task.TIE: 14.0,
            Task.STRING: 10.0,
            Task.DRESS: 10.0,
            Task.RIG: 8.0,
            Task.INSTALL: 23.0,
            Task.STRIKE: 20.5,
        }
    )
    pair = {one.task: one.clock_minutes for one in minutes_by_task(work, rates, crew=2, further_hand=1.0)}
    assert pair[Task.INFLATE] == pytest.approx(12.0)
    three = {one.task: one.clock_minutes for one in minutes_by_task(work, rates, crew=3, further_hand=0.5)}
    assert three[Task.INFLATE] == pytest.approx(12.0)


def test_a_size_without_a_rate_of_its_own_lies_between_its_neighbours() -> None:
    rates = Rates(inflate={11: 0.2, 17: 0.5})
    minutes = [
        minutes_by_task(Quantities(balloons={size: 10}), rates)[0].person_minutes for size in (9, 14, 24)
    ]
    assert minutes == pytest.approx([2.0, 3.5, 5.0])


@given(sides, st.floats(0.5, 2), st.floats(1.5, 3))
def test_what_goes_through_a_door_goes_through_a_larger_one_in_any_order_of_sides(
    box: tuple[float, float, float], width: float, height: float
) -> None:
    answer = transport.goes_through(transport.Box(box), width=width, height=height)
    turned = transport.goes_through(transport.Box(box[::-1]), width=width, height=height)
    wider = transport.goes_through(transport.Box(box), width=width * 1.1, height=height * 1.1)
    assert answer.passes == turned.passes
    assert wider.passes or not answer.passes
    if answer.passes:
        across = sorted(box)
        across.remove(answer.along)
        assert math.prod(across) <= width * height


def fits_at_some_angle(inner: tuple[float, float], outer: tuple[float, float]) -> bool:
    """Whether one of ten thousand angles lets a rectangle into another, by the box round the turned one."""
    angle = np.linspace(0, math.pi / 2, 10_001)
    p, q = inner
    wide = p * np.cos(angle) + q * np.sin(angle)
    high = p * np.sin(angle) + q * np.cos(angle)
    return bool(np.any((wide <= outer[0]) & (high <= outer[1])))


@given(st.tuples(st.floats(0.1, 3), st.floats(0.1, 3)), st.tuples(st.floats(0.1, 3), st.floats(0.1, 3)))
def test_carvers_rule_says_what_turning_the_rectangle_finds(
    inner: tuple[float, float], outer: tuple[float, float]
) -> None:
    """Carver 1957, Amer. Math. Monthly 64, 114, against trying every angle; a hair apart either may be
    right."""
    if transport.rectangle_fits(inner, outer):
        assert fits_at_some_angle(inner, (outer[0] * 1.0005, outer[1] * 1.0005))
    else:
        assert not fits_at_some_angle(inner, (outer[0] * 0.9995, outer[1] * 0.9995))


def test_a_thin_panel_wider_than_the_door_goes_through_on_edge_and_a_deep_one_does_not() -> None:
    """The least public door: 32 in by 80 in clear, ADA Standards 404.2.3."""
    panel = transport.goes_through(transport.Box((1.2, 2.0, 0.05)))
    assert panel.passes
    assert not panel.tilted
    assert not transport.goes_through(transport.Box((1.2, 2.2, 2.1))).passes
    board = transport.goes_through(transport.Box((2.1, 2.15, 0.05)))
    assert board.passes
    assert board.tilted


def test_the_longest_pole_round_a_corner_touches_both_walls_and_the_corner() -> None:
    """Against a search over every angle: the shortest chord that touches the inner corner is the longest
    pole."""
    a, b = 1.2, 1.5
    angle = np.linspace(0.01, math.pi / 2 - 0.01, 100_001)
    shortest = (a / np.cos(angle) + b / np.sin(angle)).min()
    assert transport.longest_round_corner(a, b) == pytest.approx(shortest, rel=1e-8)


@given(st.lists(st.tuples(st.floats(0.1, 0.9), st.integers(0, 200)), max_size=5))
def test_packed_balloons_take_more_than_their_own_volume(balloons: list[tuple[float, int]]) -> None:
    own = sum(count * math.pi / 6 * diameter**3 for diameter, count in balloons)
    assert transport.packed_balloons(balloons) == pytest.approx(own / 0.5)


def test_a_load_adds_up_and_names_its_longest_piece() -> None:
    frame, crate = transport.Box((2.1, 0.3, 0.1)), transport.Box((0.6, 0.4, 0.4))
    whole = transport.load(1.5, [(frame, 6.0, 2), (crate, 9.0, 1), (transport.Box((9.0, 1.0, 1.0)), 1.0, 0)])
    assert whole.volume == pytest.approx(1.5 + 2 * 0.063 + 0.096)
    assert whole.longest == 2.1
    assert whole.mass == 21.0


def test_a_soft_garland_squeezes_through_a_door() -> None:
    assert transport.bendy_goes_through(0.85)
    assert not transport.bendy_goes_through(0.95)


@pytest.mark.parametrize(
    ("fault", "message"),
    [
        (lambda: minutes_by_task(Quantities(), crew=0), "crew is 0; it must be a whole number from 1 to 20"),
        (lambda: Quantities(rings=-1), "rings is -1; it must be 0 or more"),
        (lambda: Rates(inflate={}), "minutes to inflate are empty"),
        (lambda: Rates(tie=-0.1), "minutes to tie is -0.1"),
        (
            lambda: transport.Box((1.0, 0.0, 1.0)),
            "side is an array with a value outside; it must be above 0 m",
        ),
        (
            lambda: transport.packed_balloons([(0.2, 5)], packing=0.9),
            "packing is 0.9; it must be from 0.05 to 0.740",
        ),
    ],
)
def test_what_cannot_be_is_refused_in_words(fault: object, message: str) -> None:
    assert callable(fault)
    with pytest.raises(CraftError, match=message):
        fault()


def test_the_choking_warnings_are_worded_as_the_law_has_them() -> None:
    """16 CFR 1500.19(b)(2); European Commission statement on balloons, October 2011."""
    tail = (
        "can choke or suffocate on uninflated or broken balloons. Adult supervision required. "
        "Keep uninflated balloons from children. Discard broken balloons at once."
    )
    assert cautions.CHOKING_US.text == f"WARNING: CHOKING HAZARD--Children under 8 yrs. {tail}"
    assert cautions.CHOKING_EU.text == f"Warning! Children under eight years {tail}"


def test_every_caution_defers_to_local_codes_and_names_its_source() -> None:
    assert len({caution.name for caution in cautions.ALL}) == len(cautions.ALL) == 10
    for caution in cautions.ALL:
        assert caution.shown.endswith(cautions.DEFER)
        assert caution.source


def test_cautions_apply_where_their_matter_is() -> None:
    names = [one.name for one in cautions.cautions_for(latex=True, helium=True, outdoors=True, european=True)]
    assert names == ["choking-eu", "helium", "wind", "latex-allergy", "release"]
    assert cautions.cautions_for() == ()
    heavy = cautions.cautions_for(foil=True, above_reach=True, heaviest_lift=20.0, fabric_or_florals=True)
    assert [one.name for one in heavy] == ["foil", "ladder", "lifting", "flame"]
    assert cautions.cautions_for(heaviest_lift=14.9) == ()
