"""How many are away at once, and when enough are back."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stock.holds.occupancy import Stay, last_return, levels, next_free, peak
from studio.measures.times import Window

MIDNIGHT = datetime(2026, 6, 1, tzinfo=UTC)


def at(hour: float) -> datetime:
    return MIDNIGHT + timedelta(hours=hour)


def stay(start: float, end: float, quantity: int = 1) -> Stay:
    return Stay(at(start), at(end), quantity)


# Ten lectures that need three rooms: Kleinberg & Tardos, Algorithm Design, section 4.1, interval
# partitioning (the answer 3 is the book's; the times are from memory of its slides).
LECTURES = [
    (9, 10.5), (9, 12.5), (9, 10.5), (11, 12.5), (11, 14), (13, 14.5), (13, 14.5), (14, 16.5), (15, 16.5),
    (15, 16.5),
]  # fmt: skip


def test_ten_lectures_need_three_rooms() -> None:
    assert peak([stay(*times) for times in LECTURES], Window(at(0), at(24))) == 3


def test_twelve_intervals_need_six_rooms() -> None:
    # cs.csustan.edu, CS 4440 Theory of Algorithms (2020), exercise 3, "Interval Partitioning": its solution needs the
    # classrooms A to F; 11-14 follows 8-11 in the same one.
    intervals = (
        (13, 15), (17, 22), (12, 17), (9, 10), (12, 15), (9, 11),
        (11, 14), (10, 15), (16, 19), (12, 14), (18, 23), (8, 11),
    )  # fmt: skip
    day = datetime(2026, 5, 4, tzinfo=UTC)
    stays = [Stay(day + timedelta(hours=start), day + timedelta(hours=end), 1) for start, end in intervals]
    assert peak(stays, Window(day, day + timedelta(days=1))) == 6


def test_what_comes_back_at_a_moment_can_leave_at_that_moment() -> None:
    assert peak([stay(8, 12), stay(12, 16)], Window(at(0), at(24))) == 1


def test_a_stay_that_touches_the_window_does_not_count() -> None:
    assert peak([stay(0, 8), stay(16, 20)], Window(at(8), at(16))) == 0


def test_quantities_add_up_while_they_overlap() -> None:
    assert levels([stay(6, 10, 2), stay(8, 12, 3)], Window(at(7), at(11))) == [
        (at(7), 2),
        (at(8), 5),
        (at(10), 3),
    ]


# A busy machine draws slowly; that is no fault of the rule.
unhurried = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])

INTERVALS = st.lists(
    st.tuples(st.integers(0, 60), st.integers(1, 20), st.integers(1, 9)).map(
        lambda each: stay(each[0], each[0] + each[1], each[2])
    ),
    max_size=14,
)


@unhurried
@given(INTERVALS, st.integers(0, 60), st.integers(1, 30))
def test_the_peak_is_the_most_of_every_half_hour(stays: list[Stay], start: int, length: int) -> None:
    """Against counting heads at every half hour: starts and ends lie on whole hours, so none is missed."""
    window = Window(at(start), at(start + length))
    moments = [window.start + timedelta(minutes=30 * step) for step in range(2 * length)]
    heads = [sum(each.quantity for each in stays if each.start <= moment < each.end) for moment in moments]
    assert peak(stays, window) == max(heads)


@unhurried
@given(INTERVALS, st.integers(0, 60), st.integers(1, 12), st.integers(1, 12), st.integers(1, 12))
def test_the_next_free_moment_is_free_and_no_whole_hour_before_it_is(
    stays: list[Stay], start: int, length: int, owned: int, needed: int
) -> None:
    found = next_free(stays, start=at(start), length=timedelta(hours=length), owned=owned, needed=needed)
    if needed > owned:
        assert found is None
        return
    assert found is not None
    assert found >= at(start)
    assert peak(stays, Window(found, found + timedelta(hours=length))) + needed <= owned
    earlier = at(start)
    while earlier < found:
        assert peak(stays, Window(earlier, earlier + timedelta(hours=length))) + needed > owned
        earlier += timedelta(hours=1)


def test_the_return_that_frees_enough_is_named() -> None:
    early = Stay(at(0), at(10), 1, "supper")
    late = Stay(at(0), at(12), 1, "ball")
    assert last_return([early, late], now=at(5), until=at(20), owned=2, needed=1) == early
    assert last_return([early, late], now=at(5), until=at(20), owned=2, needed=2) == late


def test_no_return_is_named_where_enough_are_here_all_along() -> None:
    assert last_return([stay(0, 10)], now=at(5), until=at(20), owned=2, needed=1) is None
    assert last_return([stay(0, 4)], now=at(5), until=at(20), owned=1, needed=1) is None
