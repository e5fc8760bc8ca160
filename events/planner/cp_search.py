"""One search by OR-tools' CP-SAT: for so long at most, alike at every run, and left off where nobody wants it."""

from __future__ import annotations

import contextvars
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpModel, CpSolver, CpSolverStatus

Goes = Callable[[], None]
"""Raises an error where nobody wants the plan any more."""

SEED: Final = 1
LOOK_SECONDS: Final = 0.5
"""Between two looks at whether anybody still wants the plan."""
ROUNDING: Final = 1e-6


def search(
    model: CpModel, *, seconds: float, workers: int, goes_on: Goes, steady: float | None = None
) -> tuple[CpSolver, CpSolverStatus]:
    """Search until it is proven, or for so long; ``steady`` limits OR-tools' own count of its work as well, which is
    the same on every machine."""
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    if steady is not None:
        solver.parameters.max_deterministic_time = steady
    solver.parameters.num_workers = workers
    solver.parameters.random_seed = SEED
    solver.parameters.relative_gap_limit = 0.0
    with _stopped_by(goes_on, solver):
        return solver, solver.solve(model)


@contextmanager
def _stopped_by(goes_on: Goes, solver: CpSolver) -> Iterator[None]:
    """Let the solver leave off once ``goes_on`` raises, which is looked at beside it, in the same studio."""
    over = threading.Event()

    def look() -> None:
        while not over.wait(LOOK_SECONDS):
            try:
                goes_on()
            except Exception:  # noqa: BLE001 # Whoever called hears of it: it is asked once more after the search.
                solver.stop_search()
                return

    beside = threading.Thread(target=contextvars.copy_context().run, args=(look,), daemon=True)
    beside.start()
    try:
        yield
    finally:
        over.set()
        beside.join()
