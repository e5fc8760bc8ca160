"""The running projection of what is used up: on hand, what comes in by date, what jobs take by date.

Pure functions. This is the time-phased record of material planning: gross requirements, scheduled receipts,
projected on hand (Orlicky, Material Requirements Planning, 1975; any operations-management textbook since).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class Coming:
    """Pieces that come in (above zero) or that a job takes (below zero) at a moment, and what for."""

    at: datetime
    pieces: int
    label: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """One change and how many there would be after it; below zero is what lacks."""

    coming: Coming
    left: int

    @property
    def lacks(self) -> int:
        """How many are missing after this."""
        return max(0, -self.left)


@dataclass(frozen=True, slots=True)
class Lack:
    """From ``at`` on so many pieces in all are missing, if nothing more is bought; ``label`` is the job."""

    at: datetime
    pieces: int
    label: str = ""


def running(on_hand: int, comings: Iterable[Coming]) -> list[Step]:
    """Every change in order of time; what comes in at the same moment as it is needed counts as there."""
    left = on_hand
    steps = []
    for coming in sorted(comings, key=lambda each: (each.at, each.pieces < 0)):
        left += coming.pieces
        steps.append(Step(coming, left))
    return steps


def lacks(steps: Sequence[Step]) -> list[Lack]:
    """When more is missing than ever before, and how much in all: what must have been bought by then."""
    worst = 0
    found = []
    for step in steps:
        if step.lacks > worst:
            worst = step.lacks
            found.append(Lack(step.coming.at, worst, step.coming.label))
    return found
