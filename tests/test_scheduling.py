"""What a parallel run keeps together."""

from __future__ import annotations

from tests.scheduling import JOURNEYS, TOGETHER, group_of


def test_journeys_are_shared_by_two_processes_in_halves() -> None:
    groups = [group_of(f"{module}::test_it[a::b]") for module in JOURNEYS]
    assert set(groups) == {"journeys 0", "journeys 1"}
    assert abs(groups.count("journeys 0") - groups.count("journeys 1")) <= 1


def test_the_walks_over_addresses_stay_together_and_other_tests_are_alone() -> None:
    walks = {group_of(f"tests/studio/test_addresses.py::{name}") for name in ("test_one", "test_other")}
    assert walks == set(TOGETHER.values())
    alone = [f"tests/stock/holds/test_holds.py::test_it[{number}]" for number in range(3)]
    assert [group_of(nodeid) for nodeid in alone] == alone
