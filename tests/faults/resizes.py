"""Many random resizes: ``python -m tests.faults.resizes 500 7``. Prints the counts; ends with 1 where one is wrong."""

from __future__ import annotations

import random
import sys

from tests.quoting.craft.change.resize_checks import (
    NAMES,
    cheaper_though_wider,
    differs_by_path,
    misses,
    random_wishes,
)


def main(count: int, seed: int) -> int:
    rng = random.Random(seed)  # noqa: S311
    wrong = [found for asked in random_wishes(count, seed) if (found := misses(asked))]
    paths = [
        found
        for asked in random_wishes(count // 5, seed + 1)
        if (found := differs_by_path(asked, [rng.uniform(0.8, 1.3) for _ in range(4)]))
    ]
    pairs = [
        cheaper_though_wider(
            rng.choice(NAMES), (low := rng.uniform(0.75, 1.35), low * rng.uniform(1.01, 1.25))
        )
        for _ in range(count)
    ]
    cheaper = [found for found in pairs if found]
    made = sum(found is not None for found in pairs)
    for found in wrong + paths + cheaper:
        sys.stdout.write(f"{found}\n")
    sys.stdout.write(
        f"{count} sizes, {len(wrong)} missed; {count // 5} walks, {len(paths)} by another way another piece; "
        f"{made} pairs of widths, {len(cheaper)} cheaper though wider\n"
    )
    return 1 if wrong or paths or cheaper else 0


if __name__ == "__main__":
    sys.exit(main(*[int(word) for word in sys.argv[1:]]))
