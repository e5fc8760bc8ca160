"""Small plans with people, vans and times set by hand, each compared with trying every choice.

``python -m tests.faults.plans 500`` takes some six minutes; `make test` does the first forty. Exit code 1: a plan
breaks a rule, or costs more or less than the best.
"""

from __future__ import annotations

import sys
import time

from events.planner import solver
from tests.events.planner.plan_checks import best_by_trying, kept, price, problem_with_fixed_people


def main(number: int) -> int:
    """Compare so many plans; print which are wrong."""
    begun, wrong = time.monotonic(), 0
    for seed in range(number):
        fault = find_fault(seed)
        if fault:
            wrong += 1
            sys.stdout.write(f"seed {seed}: {fault}\n")
    sys.stdout.write(f"{number} plans, {wrong} wrong, {time.monotonic() - begun:.0f} s\n")
    return 1 if wrong else 0


def find_fault(seed: int) -> str:
    """Say what is wrong with one plan; nothing where it is right."""
    what = problem_with_fixed_people(seed)
    plan = solver.solve(what, seconds=60, workers=1)
    if own := kept(what, plan.jobs).own:
        return f"the plan itself breaks a rule: {', '.join(own)}"
    if not plan.is_optimal:
        return "it isn't proven"
    best = best_by_trying(what)
    if not plan.cost == plan.bound == price(what, plan.jobs) == best:
        return f"cost {plan.cost}, bound {plan.bound}, price {price(what, plan.jobs)}, by trying {best}"
    return ""


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 500))
