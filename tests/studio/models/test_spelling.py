"""One English a studio: its words are spelled as its locale spells them, and none is left out."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from studio.models.spelling import BRITISH, cheque, spelled

ROOT = Path(__file__).resolve().parents[3]
DIFFERS = re.compile(rf"\b({'|'.join(BRITISH)}|{'|'.join(BRITISH.values())})s?\b", re.IGNORECASE)
"""A word that the two spellings write differently."""

NOT_ON_A_PAGE = re.compile(
    r"/migrations/|^studio/local/|^quoting/craft/|^studio/trade/|^quoting/demo/|/models/|/apps\.py$"
)
"""The trade's arithmetic speaks American English; models' own labels are replaced in the forms that show them."""


@pytest.mark.parametrize(
    ("locale", "words"),
    [
        ("en_US", "Colors by the meter, labor by the hour; canceled"),
        ("en_GB", "Colours by the metre, labour by the hour; cancelled"),
        ("en_AU", "Colours by the metre, labour by the hour; cancelled"),
        ("de_DE", "Colours by the metre, labour by the hour; cancelled"),
    ],
)
def test_words_are_spelled_by_the_locale(locale: str, words: str) -> None:
    assert spelled("Colors by the meter, labor by the hour; canceled", locale) == words


@pytest.mark.parametrize(
    ("locale", "word"), [("en_US", "check"), ("en_GB", "cheque"), ("en_AU", "cheque"), ("de_DE", "cheque")]
)
def test_a_cheque_is_a_check_where_american_is_written(locale: str, word: str) -> None:
    assert cheque(locale) == word


def test_other_words_stay() -> None:
    assert spelled("Perimeter, colorful, parameter", "en_GB") == "Perimeter, colorful, parameter"


def test_every_word_of_a_template_that_differs_is_spelled() -> None:
    assert [f"{path}: {text}" for path in templates() for text in unspelled(path.read_text("utf-8"))] == []


def test_every_word_of_a_module_that_differs_is_spelled() -> None:
    assert [
        f"{path}:{node.lineno}: {node.value!r}" for path in modules() for node in unspelled_strings(path)
    ] == []


@pytest.mark.parametrize(
    ("source", "left"),
    [
        ("<p>No colours yet.</p>", ["No colours yet."]),
        ('<p aria-label="Colors">{{ "Colors"|spelled }}</p>', ["Colors"]),
        ("{% spell %}No colors yet.{% endspell %}{{ colour }}", []),
        ('{% include "x.html" with text="No colors."|spelled %}<b style="color:red">', []),
    ],
)
def test_the_search_finds_what_is_left_out(source: str, left: list[str]) -> None:
    assert unspelled(source) == left


# --- The search ---


def templates() -> list[Path]:
    """Every template of ours."""
    return sorted(path for kind in ("html", "txt") for path in (ROOT / "templates").rglob(f"*.{kind}"))


def unspelled(source: str) -> list[str]:
    """Texts of a template, between tags or in attributes, that hold such a word and aren't spelled."""
    rest = re.sub(
        r"\{% spell %\}.*?\{% endspell %\}|\{#.*?#\}|<style.*?</style>", "", source, flags=re.DOTALL
    )
    rest = re.sub(r'"[^"]*"\|spelled', '""', rest)
    shown = re.findall(r'\b(?:aria-label|title|placeholder|alt|text)="([^"]*)"', rest)
    between = re.sub(r"\{%.*?%\}|\{\{.*?\}\}", "", rest, flags=re.DOTALL)
    shown += re.split(r"<[^>]*>", between)
    return [text.strip() for text in shown if DIFFERS.search(text)]


def modules() -> list[Path]:
    """Every module whose words may reach a page."""
    found = [
        path for room in ("studio", "stock", "events", "quoting") for path in (ROOT / room).rglob("*.py")
    ]
    return sorted(path for path in found if not NOT_ON_A_PAGE.search(path.relative_to(ROOT).as_posix()))


def unspelled_strings(path: Path) -> list[ast.Constant]:
    """Sentences and labels of a module that hold such a word and aren't given to ``spelled``."""
    tree = ast.parse(path.read_text("utf-8"))
    allowed = {
        id(part) for call in ast.walk(tree) if is_spelled(call) for part in ast.walk(call)
    } | docstrings(tree)
    return [
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in allowed
        and is_shown(node.value)
    ]  # fmt: skip


def is_spelled(node: ast.AST) -> bool:
    """Whether this is a call of ``spelled`` or ``spelled_lazy``."""
    return (
        isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id.startswith("spelled")
    )


def docstrings(tree: ast.Module) -> set[int]:
    """Every string that stands as a statement."""
    return {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}


def is_shown(text: str) -> bool:
    """Whether a string looks like words for a page: several of them, or one with a capital letter."""
    return bool(DIFFERS.search(text)) and (" " in text.strip() or text.istitle())
