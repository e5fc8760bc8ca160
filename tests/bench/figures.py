"""What a bench measured, as one table at its end and as rows of a history: what, figure, floor, ratio, bar.

A figure stands beside a floor that was measured in the same run, so that a slow machine slows both: the ratio is held
to a bar and compared with the run before. A figure without a floor is a count or a size.
"""

from __future__ import annotations

import csv
import subprocess
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

HISTORY: Final = Path(__file__).resolve().parents[2] / "docs" / "bench-history.csv"
COLUMNS: Final = ("day", "commit", "what", "figure", "unit", "floor", "ratio", "bar")
SLOWER: Final = 1.25
"""A ratio that grew by more than this share since the run before is pointed out. Our choice: noise stays below it."""


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure. ``ratio`` is to the floor where there is one, else the figure itself; at most ``bar`` is wanted."""

    what: str
    figure: float
    unit: str
    floor: float | None = None
    bar: float | None = None

    @property
    def ratio(self) -> float:
        """What is held to the bar."""
        return self.figure / self.floor if self.floor else self.figure

    @property
    def holds(self) -> bool:
        """Whether it is within its bar."""
        return self.bar is None or self.ratio <= self.bar


@dataclass
class Figures:
    """The figures of one run, in the order in which they were measured."""

    found: list[Figure] = field(default_factory=list)

    def milliseconds(
        self, what: str, seconds: float, *, floor: float | None = None, bar: float | None = None
    ) -> Figure:
        """Note a time beside a floor, both in seconds; the bar is of their ratio, or of the milliseconds alone."""
        return self.add(Figure(what, 1000 * seconds, "ms", floor and 1000 * floor, bar))

    def add(self, figure: Figure) -> Figure:
        """Note a figure."""
        self.found.append(figure)
        return figure

    def table(self, before: dict[str, float]) -> list[str]:
        """The lines of the table; ``before`` are the ratios of an earlier run."""
        head = f"{'what':58}{'figure':>12}{'floor':>12}{'ratio':>9}{'bar':>8}{'before':>9}"
        return [head, *(_line(each, before.get(each.what)) for each in self.found)]


def read_history(path: Path = HISTORY) -> dict[str, float]:
    """The last ratio of each figure."""
    if not path.exists():
        return {}
    with path.open(encoding="utf-8", newline="") as file:
        return {row["what"]: float(row["ratio"]) for row in csv.DictReader(file)}


def write_history(found: Iterable[Figure], commit: str, path: Path = HISTORY) -> None:
    """Add the figures of a run."""
    is_new = not path.exists()
    day = datetime.now(UTC).date().isoformat()
    with path.open("a", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        if is_new:
            writer.writerow(COLUMNS)
        for each in found:
            floor = "" if each.floor is None else f"{each.floor:.4g}"
            bar = "" if each.bar is None else f"{each.bar:g}"
            writer.writerow(
                [day, commit, each.what, f"{each.figure:.4g}", each.unit, floor, f"{each.ratio:.3g}", bar]
            )


def present_commit() -> str:
    """The short name of the commit that is measured, with a mark where it was changed since."""
    described = ["git", "-C", str(HISTORY.parent), "describe", "--always", "--dirty", "--exclude=*"]
    return subprocess.run(described, check=True, capture_output=True, text=True).stdout.strip()


# Private


def _line(each: Figure, before: float | None) -> str:
    figure = f"{each.figure:,.4g} {each.unit}"
    floor = "" if each.floor is None else f"{each.floor:,.3g} {each.unit}"
    bar = "" if each.bar is None else f"{each.bar:g}"
    earlier = "" if before is None else f"{before:.3g}"
    words = "" if each.holds else "  over the bar"
    if before and each.ratio > before * SLOWER:
        words += f"  {each.ratio / before:.2f} x the run before"
    return f"{each.what:58}{figure:>12}{floor:>12}{each.ratio:>9.3g}{bar:>8}{earlier:>9}{words}"
