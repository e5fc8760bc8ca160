"""Files that can be read: no line over 120 characters, no source file over 500 lines."""

from __future__ import annotations

import re
import subprocess
import tomllib
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
LONGEST_LINE, LONGEST_FILE = 120, 500
SOURCES = {".py", ".html", ".js", ".mjs", ".css", ".md", ".txt", ".toml", ".csv", ".json", ".svg"}

WRITTEN_ELSEWHERE = (
    r"/vendor/|-OFL\.txt$",  # other people's scripts and licences
    r"^requirements/.*(\.txt|-lock\.json)$",  # pins
    r"/migrations/",  # SQL of triggers, as Django writes it down
    r"^tests/stored/",  # documents as an earlier version kept them
)
MADE_FROM_RECORDS = ("quoting/craft/design.schema.json",)
"""Long, and made from the records of a design: nobody edits it."""


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
        if Path(path).suffix in SOURCES and path not in MADE_FROM_RECORDS and len(lines) - 1 > LONGEST_FILE
    }


def test_no_line_is_longer_than_120_characters() -> None:
    assert "Makefile" in text_files()
    assert [line for lines in with_long_lines().values() for line in lines] == []


def test_no_source_file_is_longer_than_500_lines() -> None:
    assert long_files() == {}


def test_the_changelog_begins_with_the_version_that_is_being_made() -> None:
    with (ROOT / "pyproject.toml").open("rb") as project:
        version = tomllib.load(project)["project"]["version"].removesuffix(".dev0")
    newest = next(line for line in text_files()["CHANGELOG.md"] if line.startswith("## "))
    assert newest.startswith(f"## {version} - ")
