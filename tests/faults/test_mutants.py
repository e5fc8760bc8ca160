"""Planted changes: off they change nothing, on they change what they say, and their places are the same every time."""

from __future__ import annotations

import ast
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.faults.mutants import planting, switch

SOURCE = '''
"""A module."""
LIMIT = 10
WORD = "ten"

def judged(number, seen):
    """Tell how a number lies."""
    if number < LIMIT and not seen:
        seen.append(number * 2)
    elif number in (11, 12):
        raise ValueError(f"{number - 1} {LIMIT}")
    return min(number, LIMIT) + 1
'''


@pytest.fixture
def module(tmp_path: Path) -> Path:
    path = tmp_path / "module.py"
    path.write_text(SOURCE, "utf-8")
    return path


@pytest.fixture(autouse=True)
def _switched_off(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(switch.Switch, "on", 0)
    monkeypatch.setattr(switch.Switch, "asked", None)


def loaded(numbers: dict[int, int]) -> Callable[[int, list[int]], int]:
    names: dict[str, Any] = {planting.CHANGED: switch.is_changed, planting.SCALED: switch.scaled}
    exec(compile(planting.planted(SOURCE, {"LIMIT"}, numbers), "module", "exec"), names)  # noqa: S102 - our own text
    judged: Callable[[int, list[int]], int] = names["judged"]
    return judged


def test_changes_are_found_in_rules_and_not_in_texts(module: Path) -> None:
    found = planting.changes_of(module, "module.py", {"LIMIT"})
    assert [change.words for change in found] == [
        "LIMIT larger", "< -> <=", "not goes", "and -> or", "2 -> 3", "* -> /", "the call goes", "11 -> 12",
        "12 -> 13", "in -> not in", "LIMIT larger", "min -> max", "1 -> 2", "+ -> -",
    ]  # fmt: skip
    assert planting.named_figures([module]) == {"LIMIT"}


def test_switched_off_everything_is_as_written() -> None:
    plain: dict[str, Callable[[int, list[int]], int]] = {}
    exec(SOURCE, plain)  # noqa: S102 - our own text
    judged = loaded({place: place + 1 for place in range(14)})
    for number in range(14):
        if number not in (11, 12):
            assert judged(number, []) == plain["judged"](number, [])


@pytest.mark.parametrize(
    ("place", "number", "normal", "changed"),
    [(0, 10, [], [20]), (1, 10, [], [20]), (4, 3, [6], [9]), (6, 3, [6], [])],
)
def test_switched_on_one_thing_is_otherwise(
    place: int, number: int, normal: list[int], changed: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    judged = loaded({place: 7})
    seen: list[int] = []
    judged(number, seen)
    monkeypatch.setattr(switch.Switch, "on", 7)
    otherwise: list[int] = []
    judged(number, otherwise)
    assert (seen, otherwise) == (normal, changed)


def test_what_is_asked_for_is_written_down(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(switch.Switch, "asked", set())
    loaded({4: 5, 8: 9})(3, [])
    assert switch.Switch.asked == {5}


def test_planted_code_is_python_in_every_module_of_the_rules() -> None:
    root = Path(__file__).parents[2]
    for path in sorted((root / "stock" / "ledger").glob("*.py")):
        number = len(planting.changes_of(path, path.name, set()))
        tree = planting.planted(path.read_text("utf-8"), set(), dict.fromkeys(range(number), 1))
        assert ast.unparse(tree).count(planting.CHANGED) >= number
