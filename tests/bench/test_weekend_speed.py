"""How long a weekend takes to plan, and how near to perfect: printed with the gap that is proven."""

from __future__ import annotations

from datetime import timedelta
from random import Random

import pytest

from events.weekend import solver
from events.weekend.problem import A_DAY, STEP, Job, Problem, VanSpace, Worker

pytestmark = pytest.mark.bench
HOUR = timedelta(hours=1) // STEP
SKILLS = ("lead", "driver", "ladder")


def weekend(events: int, people: int, vans: int, seed: int = 6) -> Problem:
    """Events from Friday to Sunday, each with prep, install and strike, as a season has them."""
    dice = Random(seed)  # noqa: S311 - repeatable, not secret
    jobs = []
    for number in range(events):
        ready = (1 + number % 3) * A_DAY + dice.randrange(9 * HOUR, 19 * HOUR)
        install = dice.randrange(3 * HOUR, 5 * HOUR)
        prep = dice.randrange(2 * HOUR, 4 * HOUR)
        start = ready - install - 2 * HOUR
        volume = dice.uniform(1.5, 7.0)
        jobs += [
            Job(f"{number}-prep", "prep", start - 14 * HOUR, start - prep, prep, 2, late_is_better=True),
            Job(
                f"{number}-install", "install", start, start + 2 * HOUR, install, 2,
                skills=("lead", "driver"), needs_van=True, volume_m3=volume, after=f"{number}-prep",
            ),
            Job(
                f"{number}-strike", "strike", ready + 5 * HOUR, ready + 6 * HOUR, 2 * HOUR, 2,
                skills=("driver",), needs_van=True, volume_m3=volume,
            ),
        ]  # fmt: skip
    workers = [
        Worker(
            f"w{number}", f"W{number}", frozenset(s for place, s in enumerate(SKILLS) if (number + place) % 3)
        )
        for number in range(people)
    ]
    spaces = [VanSpace(f"v{number}", f"V{number}", 3, (12.0, 8.0)[number % 2]) for number in range(vans)]
    rest, week = timedelta(hours=11) // STEP, timedelta(hours=48) // STEP
    return Problem(tuple(jobs), tuple(workers), tuple(spaces), rest, week)


@pytest.mark.parametrize(("events", "people", "vans", "seconds"), [(12, 10, 4, 5.0), (40, 25, 8, 20.0)])
def test_planning_a_weekend(
    events: int, people: int, vans: int, seconds: float, capsys: pytest.CaptureFixture[str]
) -> None:
    what = weekend(events, people, vans)
    plan = solver.solve(what, seconds=seconds)
    whole = sum(done.is_whole for done in plan.jobs.values())
    with capsys.disabled():
        print(  # noqa: T201 - a measurement is for reading
            f"\n{events} events, {people} people, {vans} vans: {plan.seconds:.1f} s, cost {plan.cost}, "
            f"bound {plan.bound}, gap {plan.gap:.1%}, {'optimal' if plan.is_optimal else 'feasible'}, "
            f"{whole} of {len(what.jobs)} filled"
        )
    assert len(plan.jobs) == len(what.jobs)
