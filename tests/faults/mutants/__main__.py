"""The mutation run: ``make mutants`` or ``python -m tests.faults.mutants --sample 60 --seed 1``.

Every folder's rules are changed in small ways, a sample of them by the seed, and each change meets the tests of its own
folder (:mod:`tests.faults.mutants.plugin`). A change that no test notices is printed. It says nothing about whether a
test ought to: a change may make no difference.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import subprocess
import sys
import tempfile
import time
from collections import Counter, defaultdict
from dataclasses import dataclass
from pathlib import Path

from tests.faults.mutants.planting import Change, changes_of, named_figures

ROOT = Path(__file__).resolve().parents[3]
TESTS = {
    "quoting/craft": ("tests/quoting/craft", "tests/checks"),
    "quoting/pricing": ("tests/quoting/pricing",),
    "stock/holds": ("tests/stock/holds",),
    "stock/ledger": ("tests/stock/ledger",),
    "events/planner": ("tests/events/planner",),
}
PAGES = {"forms.py", "views.py", "urls.py", "presenter.py", "tasks.py"}
TEXTS = {
    "explain.py",
    "report.py",
    "command.py",
    "breach_words.py",
    "elevation.py",
    "drawing.py",
    "person.py",
    "schema.py",
}
"""Modules that word or draw what others work out."""
NO_TEST_RAN = 5
"""What pytest ends with where all its tests were run in forks."""


@dataclass(frozen=True)
class Outcome:
    """What became of one change."""

    change: Change
    end: str
    by: str


def main() -> int:
    """Run the folders that are asked for; print the survivors and the score of each folder."""
    asked = _arguments()
    for folder in asked.folders or TESTS:
        begun = time.monotonic()
        every = [
            change for path in modules_of(folder) for change in changes_of(path, _name(path), _figures())
        ]
        chosen = _sample(every, asked)
        found = tried(folder, chosen, asked.seconds)
        _print(folder, found, len(every), time.monotonic() - begun)
    return 0


def modules_of(folder: str) -> list[Path]:
    """The modules with rules: no pages, no texts, no pictures."""
    return sorted(
        path
        for path in (ROOT / folder).rglob("*.py")
        if path.name not in PAGES | TEXTS and path.name != "__init__.py"
    )


def tried(folder: str, chosen: list[Change], seconds: float) -> list[Outcome]:
    """Let the folder's tests meet every chosen change."""
    places: dict[str, dict[int, int]] = defaultdict(dict)
    for number, change in enumerate(chosen, start=1):
        places[change.path][change.place] = number
    task = {
        "chosen": places, "numbers": list(range(1, len(chosen) + 1)), "figures": sorted(_figures()),
        "seconds": seconds,
    }  # fmt: skip
    with tempfile.TemporaryDirectory() as place:
        job = Path(place) / "mutants.json"
        job.write_text(json.dumps(task), "utf-8")
        _run_tests(folder, job)
        ends: dict[str, list[str]] = json.loads(job.with_suffix(".out").read_text("utf-8"))
    return [Outcome(change, *ends[str(number)]) for number, change in enumerate(chosen, start=1)]


# Private


def _run_tests(folder: str, job: Path) -> None:
    command = [sys.executable, "-m", "pytest", *TESTS[folder], "-p", "tests.faults.mutants.plugin"]
    environment = os.environ | {"BILLOWBOOK_MUTANTS": str(job)}
    run = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False)
    if run.returncode not in (0, NO_TEST_RAN):
        raise SystemExit(run.stdout + run.stderr)


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument(
        "folders", nargs="*", choices=[*TESTS, []], help="which folders; all of them by default"
    )
    parser.add_argument("--sample", type=int, default=60, help="changes for each folder")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument(
        "--line", action="append", help="every change of this line, as path:line, in place of a sample"
    )
    parser.add_argument("--seconds", type=float, default=40, help="of tests that one change meets at most")
    return parser.parse_args()


def _sample(every: list[Change], asked: argparse.Namespace) -> list[Change]:
    if asked.line:
        return [change for change in every if f"{change.path}:{change.line}" in asked.line]
    drawn = random.Random(asked.seed).sample(every, min(asked.sample, len(every)))  # noqa: S311 - changes to try
    return sorted(drawn, key=_place)


def _figures() -> set[str]:
    return named_figures(
        [path for room in ("studio", "stock", "events", "quoting") for path in (ROOT / room).rglob("*.py")]
    )


def _name(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def _place(change: Change) -> tuple[str, int]:
    return change.path, change.place


def _print(folder: str, found: list[Outcome], of: int, seconds: float) -> None:
    for one in found:
        if not one.end.startswith("killed"):
            sys.stdout.write(
                f"{one.change.path}:{one.change.line}: {one.change.words}: {one.end}, {one.by}\n"
            )
    score = Counter(one.end for one in found)
    killed = sum(count for end, count in score.items() if end.startswith("killed"))
    sys.stdout.write(
        f"{folder}: {killed} of {len(found)} killed ({of} possible), {dict(score)}, {seconds:.0f} s\n"
    )
    sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main())
