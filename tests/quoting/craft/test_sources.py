"""Every figure of the trade's arithmetic says where it comes from."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from itertools import zip_longest
from pathlib import Path

import pytest

import quoting.craft
import studio.trade

ROOT = Path(__file__).parents[3]
MODULES = sorted(
    path
    for package in (quoting.craft, studio.trade)
    for folder in package.__path__
    for path in Path(folder).rglob("*.py")
)
CAPITALS = re.compile(r"[A-Z][A-Z0-9_]+")
SOURCED = re.compile(r"\bsource\b|from memory|\bmeasured\b|\bexact\b|\bsettings?\b", re.IGNORECASE)
"""A source, or the word that there is none; memory; what was measured on settled designs; an exact definition; a
setting of the method, which is no fact of the trade."""


def figures(path: Path) -> Iterator[tuple[str, str]]:
    """Public names of a module that hold a figure, each with the comments and the docstring that belong to it."""
    source = path.read_text("utf-8")
    lines = source.splitlines()
    body = ast.parse(source).body
    for statement, after in zip_longest(body, body[1:]):
        if not isinstance(statement, ast.Assign | ast.AnnAssign) or not holds_figure(statement.value):
            continue
        targets = statement.targets if isinstance(statement, ast.Assign) else [statement.target]
        names = [name for target in targets for name in CAPITALS.findall(ast.unparse(target))]
        if names and not ast.unparse(targets[0]).startswith("_"):
            yield ", ".join(names), comments(lines, statement) + docstring(after)


def holds_figure(value: ast.expr | None) -> bool:
    """Tell whether a number other than nought and one is assigned; limits in a pattern and empty records are none."""
    if value is None or (
        isinstance(value, ast.Call) and ast.unparse(value.func) in ("re.compile", "Filling")
    ):
        return False
    found = [part.value for part in ast.walk(value) if isinstance(part, ast.Constant)]
    return any(isinstance(one, int | float) and one not in (0, 1) for one in found)


def comments(lines: list[str], statement: ast.stmt) -> str:
    """Comments on the statement's own lines, and those that head the lines it stands among without a gap."""
    first = statement.lineno - 1
    found = [line for line in lines[first : statement.end_lineno] if "#" in line]
    while first and lines[first - 1].strip():
        first -= 1
        if lines[first].startswith("#"):
            found.insert(0, lines[first])
    return " ".join(line.partition("#")[2] for line in found)


def docstring(after: ast.stmt | None) -> str:
    if (
        isinstance(after, ast.Expr)
        and isinstance(after.value, ast.Constant)
        and isinstance(after.value.value, str)
    ):
        return f" {after.value.value}"
    return ""


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_every_figure_names_its_source_or_says_that_it_has_none(path: Path) -> None:
    assert [name for name, words in figures(path) if not SOURCED.search(words)] == []


def test_the_walk_meets_the_figures_and_tells_one_without_a_source() -> None:
    assert sum(len(list(figures(path))) for path in MODULES) > 120
    lines = "# Settings of the search.\nSTEPS = 3\n\nBARE = 4\n".splitlines()
    settled, bare = ast.parse("\n".join(lines)).body
    assert SOURCED.search(comments(lines, settled))
    assert not SOURCED.search(comments(lines, bare))
