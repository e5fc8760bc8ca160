"""Files that can be read: no line over 120 characters, no source file over 500 lines."""

from __future__ import annotations

import re
import subprocess
import tomllib
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
LONGEST_LINE, LONGEST_FILE = 120, 500
SOURCES = {".py", ".html", ".js", ".mjs", ".css", ".md", ".txt", ".toml", ".csv", ".svg"}

WRITTEN_ELSEWHERE = (
    r"/vendor/|-OFL\.txt$",  # other people's scripts and licences
    r"^requirements/.*(\.txt|-lock\.json)$",  # pins
    r"/migrations/",  # SQL of triggers, as Django writes it down
    r"^tests/stored/",  # documents as an earlier version kept them
)
LONG_LINES_FOR_NOW = (
    r"^templates/",
    r"^quoting/craft/(README|MODEL)\.md$|^quoting/craft/starters/",
)
"""Files still to be rewritten: an entry goes as soon as nothing of it is too long."""
LONG_FILES_FOR_NOW = (r"^tests/events/(test_pages|transfers/test_transfers)\.py$",)


@cache
def text_files() -> dict[str, list[str]]:
    """The lines of every file under version control that we write and that is text, by its path."""
    listed = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT, capture_output=True, text=True, check=True,
    ).stdout.splitlines()  # fmt: skip
    found = {}
    for path in sorted(set(listed)):
        if any(re.search(pattern, path) for pattern in WRITTEN_ELSEWHERE) or not (ROOT / path).is_file():
            continue
        try:
            found[path] = (ROOT / path).read_text("utf-8").split("\n")
        except UnicodeDecodeError:
            continue  # a picture, a font
    return found


def with_long_lines() -> dict[str, list[str]]:
    """Where lines are too long, as ``path:number: length``, by path."""
    return {
        path: told
        for path, lines in text_files().items()
        if (
            told := [
                f"{path}:{number}: {len(line)}"
                for number, line in enumerate(lines, start=1)
                if len(line) > LONGEST_LINE
            ]
        )
    }


def long_files() -> dict[str, int]:
    """The sources that are too long, with their number of lines."""
    return {
        path: len(lines) - 1
        for path, lines in text_files().items()
        if Path(path).suffix in SOURCES and len(lines) - 1 > LONGEST_FILE
    }


def allowed(path: str, patterns: tuple[str, ...]) -> bool:
    return any(re.search(pattern, path) for pattern in patterns)


def test_no_line_is_longer_than_120_characters() -> None:
    assert "Makefile" in text_files()
    told = [
        line
        for path, lines in with_long_lines().items()
        if not allowed(path, LONG_LINES_FOR_NOW)
        for line in lines
    ]
    assert told == []


def test_no_source_file_is_longer_than_500_lines() -> None:
    assert {
        path: lines for path, lines in long_files().items() if not allowed(path, LONG_FILES_FOR_NOW)
    } == {}


def test_the_changelog_begins_with_the_version_that_is_being_made() -> None:
    with (ROOT / "pyproject.toml").open("rb") as project:
        version = tomllib.load(project)["project"]["version"].removesuffix(".dev0")
    newest = next(line for line in text_files()["CHANGELOG.md"] if line.startswith("## "))
    assert newest.startswith(f"## {version} - ")
