"""The critical path against networks printed in textbooks and lecture slides."""

from __future__ import annotations

import pytest

from studio.trade.critical_path import Activity, NotANetwork, critical, passes

# Activity, duration, predecessors, ES, EF, LS, LF, slack.
# Eight activities over 15 weeks: Render, Stair and Hanna, Quantitative Analysis for Management ("General Foundry"),
# and Heizer and Render, Operations Management ("Milwaukee Paper"); from memory, path A-C-E-G-H.
TEXTBOOK = (
    ("A", 2, "", 0, 2, 0, 2, 0),
    ("B", 3, "", 0, 3, 1, 4, 1),
    ("C", 2, "A", 2, 4, 2, 4, 0),
    ("D", 4, "A B", 3, 7, 4, 8, 1),
    ("E", 4, "C", 4, 8, 4, 8, 0),
    ("F", 3, "C", 4, 7, 10, 13, 6),
    ("G", 5, "D E", 8, 13, 8, 13, 0),
    ("H", 2, "F G", 13, 15, 13, 15, 0),
)
# Eight and eleven activities: lecture slides on project management, https://slideplayer.com/slide/3283910/
# (durations and all times as printed there; arrows read from them).
SLIDES = (
    ("A", 4, "", 0, 4, 0, 4, 0),
    ("B", 3, "A", 4, 7, 7, 10, 3),
    ("C", 5, "A", 4, 9, 4, 9, 0),
    ("D", 2, "A", 4, 6, 7, 9, 3),
    ("E", 5, "B C", 9, 14, 10, 15, 1),
    ("F", 6, "C D", 9, 15, 9, 15, 0),
    ("G", 4, "E F", 15, 19, 15, 19, 0),
    ("H", 3, "G", 19, 22, 19, 22, 0),
)
LONGER_SLIDES = (
    ("A", 4, "", 0, 4, 0, 4, 0),
    ("B", 6, "A", 4, 10, 4, 10, 0),
    ("C", 3, "A", 4, 7, 22, 25, 18),
    ("D", 6, "B", 10, 16, 10, 16, 0),
    ("E", 14, "D", 16, 30, 16, 30, 0),
    ("F", 5, "C", 7, 12, 25, 30, 18),
    ("G", 2, "E F", 30, 32, 30, 32, 0),
    ("H", 2, "G", 32, 34, 33, 35, 1),
    ("I", 3, "G", 32, 35, 32, 35, 0),
    ("J", 4, "H I", 35, 39, 35, 39, 0),
    ("K", 2, "J", 39, 41, 39, 41, 0),
)
NETWORKS = {"textbook, 15 weeks": TEXTBOOK, "slides, 22": SLIDES, "slides, 41": LONGER_SLIDES}


def network(rows: tuple[tuple[str, int, str, int, int, int, int, int], ...]) -> list[Activity]:
    return [Activity(name, duration, tuple(before.split())) for name, duration, before, *_ in rows]


@pytest.mark.parametrize("name", NETWORKS)
def test_early_and_late_times_and_slack_are_those_printed(name: str) -> None:
    rows = NETWORKS[name]
    times = passes(network(rows))
    for activity, _, _, *printed in rows:
        each = times[activity]
        assert [each.early_start, each.early_finish, each.late_start, each.late_finish, each.slack] == printed


@pytest.mark.parametrize(
    ("name", "path"),
    [
        ("textbook, 15 weeks", "ACEGH"),
        ("slides, 22", "ACFGH"),
        ("slides, 41", "ABDEGIJK"),
    ],
)
def test_the_critical_path_is_the_one_printed(name: str, path: str) -> None:
    assert critical(passes(network(NETWORKS[name]))) == tuple(path)


def test_an_end_that_cannot_be_kept_leaves_less_than_no_slack_on_the_same_path() -> None:
    times = passes(network(TEXTBOOK), finish=12)
    assert times["H"].slack == -3
    assert critical(times) == tuple("ACEGH")


def test_an_activity_waits_for_its_own_hour_too() -> None:
    times = passes([Activity("A", 2), Activity("B", 1, ("A",), not_before=6)])
    assert (times["B"].early_start, times["A"].slack, times["B"].slack) == (6, 4, 0)


@pytest.mark.parametrize(
    ("activities", "words"),
    [
        ([Activity("A", 1, ("B",)), Activity("B", 1, ("A",))], "wait for one another"),
        ([Activity("A", 1), Activity("A", 2)], "Two activities have one name"),
        ([Activity("A", 1, ("Z",))], "Nobody knows what Z is"),
    ],
)
def test_what_is_no_network_is_said(activities: list[Activity], words: str) -> None:
    with pytest.raises(NotANetwork, match=words):
        passes(activities)


def test_no_activities_take_no_time() -> None:
    assert passes([]) == {}
    assert critical({}) == ()
