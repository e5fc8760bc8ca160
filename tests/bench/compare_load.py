"""The load run against several trees in turn: ``python -m tests.bench.compare_load /path/to/before /path/to/now``.

Each tree starts its own product once, with its own copy of :mod:`tests.bench.load_quotes`; then they are asked one
after the other, again and again, so that a busy machine slows all of them. Prints one table: each run, and the middle
one of each tree. Options of the load run come after ``--``.
"""

from __future__ import annotations

import argparse
import json
import statistics
import subprocess
import sys
from contextlib import ExitStack
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from tests.bench.load_quotes import READY

P95_BAR_MS, LONGEST_BAR_MS = 500, 1500
COLUMNS: Final = ("median", "p95", "longest")


@dataclass
class Tree:
    """A tree whose product runs, and what its runs said."""

    folder: Path
    process: subprocess.Popen[str]
    # What the runs print as JSON.
    runs: list[dict[str, Any]] = field(default_factory=list)

    def wait(self) -> None:
        """Until its product is ready."""
        while (line := self._line()) != READY:
            sys.stdout.write(f"{self.folder.name}: {line}\n")

    def measure(self) -> None:
        """One run."""
        assert self.process.stdin is not None
        self.process.stdin.write("go\n")
        self.process.stdin.flush()
        while not (line := self._line()).startswith("{"):
            sys.stdout.write(f"{self.folder.name}: {line}\n")
        self.runs.append(json.loads(line))
        sys.stdout.write(_row(f"{self.folder.name}, run {len(self.runs)}", self.runs[-1]["edits"]) + "\n")

    def end(self) -> None:
        """Stop its product."""
        assert self.process.stdin is not None
        self.process.stdin.close()
        self.process.wait()

    def _line(self) -> str:
        assert self.process.stdout is not None
        line = self.process.stdout.readline()
        if not line:
            raise SystemExit(f"{self.folder}: the load run ended")
        return line.rstrip("\n")


def main() -> int:
    """Run them; 1 where the last tree is over a bar, or anything went wrong in it."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("trees", nargs="+", type=Path)
    asked.add_argument("--repeats", type=int, default=3)
    own, _, of_load = (" ".join(sys.argv[1:])).partition(" -- ")
    given = asked.parse_args(own.split())
    with ExitStack() as stack:
        trees = [_start(folder.resolve(), of_load.split()) for folder in given.trees]
        for tree in trees:
            stack.callback(tree.end)
        for tree in trees:
            tree.wait()
        for _ in range(given.repeats):
            for tree in trees:
                tree.measure()
    return _tell(trees)


# --- Private ---


def _start(folder: Path, options: list[str]) -> Tree:
    command = [
        str(folder / ".venv" / "bin" / "python"),
        "-m",
        "tests.bench.load_quotes",
        "--each-line",
        *options,
    ]
    process = subprocess.Popen(
        command, cwd=folder, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, bufsize=1
    )
    return Tree(folder, process)


def _tell(trees: list[Tree]) -> int:
    head = "".join(f"{name:>10}" for name in ("edits", *COLUMNS))
    sys.stdout.write(f"\n{'middle of the runs, ms':28}{head}    errors\n")
    for tree in trees:
        sys.stdout.write(_row(tree.folder.name, _middle(tree)) + f"{_errors(tree):>10}\n")
    last = _middle(trees[-1])
    fails = last["p95"] > P95_BAR_MS or last["longest"] > LONGEST_BAR_MS or _errors(trees[-1])
    sys.stdout.write(
        f"bars: p95 {P95_BAR_MS} ms, longest {LONGEST_BAR_MS} ms, no error: {'no' if fails else 'held'}\n"
    )
    return 1 if fails else 0


def _middle(tree: Tree) -> dict[str, float]:
    return {name: statistics.median(run["edits"][name] for run in tree.runs) for name in ("count", *COLUMNS)}


def _errors(tree: Tree) -> int:
    return sum(run["errors"] for run in tree.runs)


def _row(name: str, figures: dict[str, float]) -> str:
    return f"{name:28}" + "".join(f"{figures[column]:>10.0f}" for column in ("count", *COLUMNS))


if __name__ == "__main__":
    sys.exit(main())
