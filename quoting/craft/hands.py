"""Minutes of hands: what each task takes from the studio's own rates, and how long a crew is at it.

Every default is common practice, no source; a studio's measured rates replace it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np

from quoting.craft.errors import CraftError
from quoting.craft.ranges import between, not_negative, whole


class Task(StrEnum):
    """Tasks in the order in which they are done."""

    INFLATE = "inflate"
    TIE = "tie"
    STRING = "string"
    DRESS = "dress frames"
    RIG = "rig"
    INSTALL = "install"
    FLORALS = "florals"
    STRIKE = "strike"


AT_STUDIO = (Task.INFLATE, Task.TIE, Task.STRING)
"""Tasks done in prep; the others are done on site."""

MOST_HANDS = 20


@dataclass(frozen=True)
class Quantities:
    """What a piece has of everything that takes time."""

    balloons: Mapping[int, int] = field(default_factory=dict)  # count by nominal size [in], loss included
    rings: int = 0  # quads, triplets and pairs to twist and string
    fillers: int = 0  # clusters pushed into gaps
    frames: int = 0  # to stand up and to dress with covers
    tie_points: int = 0  # clips and ties, sign hangings, weights
    garland_length: float = 0.0  # m to put up
    greenery_length: float = 0.0  # m to weave in
    stems: int = 0  # picks and sprays

    def __post_init__(self) -> None:
        not_negative("count of balloons", list(self.balloons.values()), "")
        for name in (
            "rings",
            "fillers",
            "frames",
            "tie_points",
            "garland_length",
            "greenery_length",
            "stems",
        ):
            not_negative(name.replace("_", " "), getattr(self, name), "")


@dataclass(frozen=True)
class Rates:
    """One person's minutes by unit. Common practice, no source, all of them."""

    inflate: Mapping[int, float] = field(
        default_factory=lambda: {5: 0.10, 11: 0.15, 17: 0.30, 24: 0.60, 36: 1.20}
    )  # a balloon, by nominal size [in]; a size between two takes the straight line between theirs
    tie: float = 0.10  # a balloon
    string: float = 0.35  # a ring
    frame: float = 6.0  # a frame stood up and covered
    rig: float = 1.5  # a tie point
    install: float = 5.0  # a metre of garland
    filler: float = 0.7  # a cluster
    greenery: float = 3.0  # a metre
    stem: float = 0.5  # a pick or spray
    strike: float = 0.25  # share of the minutes on site

    def __post_init__(self) -> None:
        if not self.inflate:
            raise CraftError("minutes to inflate are empty; give at least one size.")
        not_negative("minutes to inflate", list(self.inflate.values()), "min")
        for name in ("tie", "string", "frame", "rig", "install", "filler", "greenery", "stem", "strike"):
            not_negative(f"minutes to {name}", getattr(self, name), "min")


@dataclass(frozen=True)
class TaskMinutes:
    """One task: minutes of one person, and minutes by the clock for the crew."""

    task: Task
    person_minutes: float
    clock_minutes: float


DEFAULT_RATES = Rates()

HELP_OF_EACH_FURTHER_HAND = 0.85
"""What a further person adds, since they wait for each other and talk. Common practice, no source."""


def minutes_by_task(
    quantities: Quantities,
    rates: Rates = DEFAULT_RATES,
    *,
    crew: int = 1,
    further_hand: float = HELP_OF_EACH_FURTHER_HAND,
) -> tuple[TaskMinutes, ...]:
    """Minutes of every task that there is anything to do for, in working order.

    crew: people at work, 1 to 20; further_hand: share of one person that each beyond the first adds, 0 to 1.
    Person minutes are what one alone would need, paid minutes are the clock's times the crew. Nothing is
    rounded.
    """
    whole("crew", crew, 1, MOST_HANDS)
    between("help of a further hand", further_hand, 0.0, 1.0, "")
    balloons = sum(quantities.balloons.values())
    alone = {
        Task.INFLATE: math.fsum(
            count * _minutes_to_inflate(size, rates) for size, count in quantities.balloons.items()
        ),
        Task.TIE: rates.tie * balloons,
        Task.STRING: rates.string * quantities.rings,
        Task.DRESS: rates.frame * quantities.frames,
        Task.RIG: rates.rig * quantities.tie_points,
        Task.INSTALL: rates.install * quantities.garland_length + rates.filler * quantities.fillers,
        Task.FLORALS: rates.greenery * quantities.greenery_length + rates.stem * quantities.stems,
    }
    on_site = math.fsum(minutes for task, minutes in alone.items() if task not in AT_STUDIO)
    alone[Task.STRIKE] = rates.strike * on_site
    speed = 1 + (crew - 1) * further_hand
    return tuple(
        TaskMinutes(task, minutes, minutes / speed) for task, minutes in alone.items() if minutes > 0
    )


def _minutes_to_inflate(size: int, rates: Rates) -> float:
    """Rate of a nominal size [in]: its own, else on the straight line between its neighbours, else the
    end's."""
    sizes = sorted(rates.inflate)
    return float(np.interp(size, sizes, [rates.inflate[known] for known in sizes]))
