"""How near to perfect the plan of a weekend is in the time that it has: the gap that is proven."""

from __future__ import annotations

from datetime import timedelta
from itertools import combinations
from random import Random

import pytest

from events.contacts.drives import Drives
from events.models import Event, ShiftKind, Venue
from events.planner import solver
from events.planner.problem import A_DAY, STEP, Job, Problem, VanSpace, Worker, driven_tours
from events.planner.tours import in_whole_steps, possible_tours
from tests.bench.figures import Figure, Figures

pytestmark = pytest.mark.bench
HOUR = timedelta(hours=1) // STEP
SKILLS = ("lead", "driver", "ladder")


def weekend(events: int, people: int, vans: int, seed: int = 6) -> Problem:
    """Events from Friday to Sunday, each with prep, install and strike, as a season has them; their venues lie by
    chance up to three quarters of an hour from the studio, and every drive between two is known."""
    dice = Random(seed)  # noqa: S311 - repeatable, not secret
    jobs: list[Job] = []
    of_job: dict[str, tuple[Event, ShiftKind]] = {}
    spots: dict[int, complex] = {}
    venues: dict[int, Venue] = {}
    for number in range(events):
        ready = (1 + number % 3) * A_DAY + dice.randrange(9 * HOUR, 19 * HOUR)
        install = dice.randrange(3 * HOUR, 5 * HOUR)
        prep = dice.randrange(2 * HOUR, 4 * HOUR)
        start = ready - install - 2 * HOUR
        volume = dice.uniform(1.5, 7.0)
        spots[number] = complex(dice.uniform(-30, 30), dice.uniform(-30, 30))
        venues[number] = Venue(pk=number + 1, studio_id=1, drive_minutes=round(abs(spots[number])))
        drive = in_whole_steps(timedelta(minutes=venues[number].drive_minutes))
        found = {
            ShiftKind.PREP: Job(
                f"{number}-prep", "prep", start - 14 * HOUR, start - prep, prep, 2, late_is_better=True
            ),
            ShiftKind.INSTALL: Job(
                f"{number}-install", "install", start, start + 2 * HOUR, install + drive, 2,
                skills=("lead", "driver"), needs_van=True, volume_m3=volume, after=f"{number}-prep",
                out=HOUR + drive, home=drive, drive=drive,
            ),
            ShiftKind.STRIKE: Job(
                f"{number}-strike", "strike", ready + 5 * HOUR, ready + 6 * HOUR, 2 * HOUR + drive, 2,
                skills=("driver",), needs_van=True, volume_m3=volume,
                out=drive, home=drive + HOUR, drive=drive,
            ),
        }  # fmt: skip
        jobs += found.values()
        event = Event(pk=number, studio_id=1, venue=venues[number])
        of_job |= {job.key: (event, kind) for kind, job in found.items()}
    workers = [
        Worker(
            f"w{number}", f"W{number}", frozenset(s for place, s in enumerate(SKILLS) if (number + place) % 3)
        )
        for number in range(people)
    ]
    spaces = [VanSpace(f"v{number}", f"V{number}", 3, (12.0, 8.0)[number % 2]) for number in range(vans)]
    rest, week = timedelta(hours=11) // STEP, timedelta(hours=48) // STEP
    drives = Drives(
        {
            (one + 1, other + 1): round(abs(spots[one] - spots[other]))
            for one, other in combinations(range(events), 2)
        }
    )
    there = possible_tours(jobs, of_job, drives)
    return Problem(tuple(jobs), tuple(workers), tuple(spaces), rest, week, tours=there)


@pytest.mark.parametrize(
    ("events", "people", "vans", "seconds", "bar"), [(12, 10, 4, 5.0, 2.0), (40, 25, 8, 20.0, 15.0)]
)
def test_planning_a_weekend(
    figures: Figures, events: int, people: int, vans: int, seconds: float, bar: float
) -> None:
    what = weekend(events, people, vans)
    plan = solver.solve(what, seconds=seconds)
    assert len(plan.jobs) == len(what.jobs)
    name = f"plan, {events} events, {people} people, {vans} vans"
    figures.add(Figure(f"{name}, gap", 100 * plan.gap, "%", bar=bar))
    unfilled = sum(not done.is_whole for done in plan.jobs.values())
    figures.add(Figure(f"{name}, shifts not filled", float(unfilled), "", bar=0))
    figures.add(Figure(f"{name}, tours driven", float(len(driven_tours(what, plan.jobs))), ""))
