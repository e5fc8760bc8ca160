"""What the tests reached, by room and feature, and each domain module below the bar: `make coverage` prints it.

A domain module is one that speaks of the trade: not a page, a form, a table, a task or a command.
"""

from __future__ import annotations

import json
import sys
import tempfile
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from coverage import Coverage

BAR_PERCENT = 90.0
NO_DOMAIN_FILES = {
    "views.py", "forms.py", "urls.py", "presenter.py", "tasks.py", "apps.py", "admin.py", "settings.py", "wsgi.py",
    "celery.py", "ports.py",
}  # fmt: skip
NO_DOMAIN_FOLDERS = {"models", "management", "migrations", "templatetags", "ui", "local"}


@dataclass
class Reached:
    """How many statements and branches there are, and how many of them were run."""

    statements: int = 0
    run: int = 0
    branches: int = 0
    taken: int = 0

    def add(self, other: Reached) -> None:
        """Count the other's in."""
        self.statements += other.statements
        self.run += other.run
        self.branches += other.branches
        self.taken += other.taken

    @property
    def lines_percent(self) -> float:
        """Of the statements; 100 where there are none."""
        return 100.0 * self.run / self.statements if self.statements else 100.0

    @property
    def branches_percent(self) -> float:
        """Of the branches; 100 where there are none."""
        return 100.0 * self.taken / self.branches if self.branches else 100.0


def main() -> int:
    """Print the table and what is below the bar."""
    by_file = measured()
    write = sys.stdout.write
    write(f"{'feature':34}{'statements':>11}{'lines':>9}{'branches':>9}{'domain branches':>17}\n")
    for feature, files in sorted(by_feature(by_file).items()):
        whole = summed(files.values())
        rules = summed(each for path, each in files.items() if is_domain(path))
        write(
            f"{feature:34}{whole.statements:>11}{whole.lines_percent:>8.1f}%{whole.branches_percent:>8.1f}%"
            f"{rules.branches_percent:>16.1f}%\n"
        )
    domain = {path: each for path, each in by_file.items() if is_domain(path)}
    below = {path: each for path, each in domain.items() if each.branches_percent < BAR_PERCENT}
    write(f"\nDomain modules: {summed(domain.values()).branches_percent:.1f} % of their branches\n")
    write(f"Below {BAR_PERCENT:.0f} %: {len(below)} of {len(domain)}\n")
    for path, each in sorted(below.items(), key=lambda item: item[1].branches_percent):
        write(f"  {each.branches_percent:5.1f}% of {each.branches:3} branches  {path}\n")
    return 0


def measured() -> dict[str, Reached]:
    """What the last run with coverage reached, by file."""
    coverage = Coverage()
    coverage.load()
    with tempfile.TemporaryDirectory() as folder:
        told = Path(folder) / "coverage.json"
        coverage.json_report(outfile=str(told))
        files = json.loads(told.read_text("utf-8"))["files"]
    return {path: _reached(facts["summary"]) for path, facts in files.items()}


def by_feature(by_file: dict[str, Reached]) -> dict[str, dict[str, Reached]]:
    """The files of each feature: a folder of a room or of the craft, or the room itself."""
    features: dict[str, dict[str, Reached]] = defaultdict(dict)
    for path, reached in by_file.items():
        folders = Path(path).parts[:-1]
        features["/".join(folders[: 3 if "craft" in folders else 2])][path] = reached
    return features


def summed(several: Iterable[Reached]) -> Reached:
    """All of them together."""
    total = Reached()
    for each in several:
        total.add(each)
    return total


def is_domain(path: str) -> bool:
    """Whether the module speaks of the trade."""
    parts = Path(path).parts
    name = parts[-1]
    return (
        name not in NO_DOMAIN_FILES
        and name != "__init__.py"
        and not name.endswith(("_views.py", "_forms.py", "_presenter.py"))
        and not NO_DOMAIN_FOLDERS & set(parts)
    )


def _reached(summary: dict[str, int]) -> Reached:
    return Reached(
        summary["num_statements"],
        summary["covered_lines"],
        summary["num_branches"],
        summary["covered_branches"],
    )


if __name__ == "__main__":
    sys.exit(main())
