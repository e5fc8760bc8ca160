"""What a parallel run keeps together."""

from __future__ import annotations

import pytest

from studio.local.place import CHECKOUT
from tests.scheduling import JOURNEYS, TOGETHER, group_of


def test_journeys_are_shared_by_two_processes_in_halves() -> None:
    groups = [group_of(f"{module}::test_it[a::b]") for module in JOURNEYS]
    assert set(groups) == {"journeys 0", "journeys 1"}
    assert abs(groups.count("journeys 0") - groups.count("journeys 1")) <= 1


@pytest.mark.parametrize(("module", "shared"), TOGETHER.items())
def test_tests_that_share_what_is_costly_to_set_up_stay_together(module: str, shared: str) -> None:
    assert (CHECKOUT / module).is_file()
    assert {group_of(f"{module}::{name}") for name in ("test_one", "test_other[3]")} == {shared}


def test_other_tests_are_alone() -> None:
    alone = [f"tests/stock/holds/test_holds.py::test_it[{number}]" for number in range(3)]
    assert [group_of(nodeid) for nodeid in alone] == alone
