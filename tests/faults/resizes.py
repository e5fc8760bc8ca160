"""Many random resizes: ``python -m tests.faults.resizes 500 7``. Prints the counts; ends with 1 where one is wrong."""

from __future__ import annotations

import random
import sys
import time
from collections import Counter

from tests.quoting.craft.change.resize_checks import (
    Asked,
    answer,
    cheaper_though_wider,
    differs_by_path,
    random_wishes,
)
from tests.quoting.craft.starter_designs import NAMES


def main(count: int, seed: int) -> int:
    start = time.monotonic()
    wrong = _sizes(count, seed) + _walks(count // 5, seed + 1) + _pairs(count, seed + 2)
    sys.stdout.write(f"{time.monotonic() - start:.0f} s\n")
    return 1 if wrong else 0


# Private


def _sizes(count: int, seed: int) -> list[str]:
    answers = [(asked, answer(asked)) for asked in _wishes(count, seed)]
    wrong = [found.wrong for _, found in answers if found.wrong]
    both = [found for asked, found in answers if asked.high != 1.0]
    refused = Counter(side for _, found in answers for side in found.refused)
    return _counted(
        wrong,
        f"{count} sizes, {len(both)} of them with a height: {len(wrong)} missed, "
        f"{refused['width_m']} refused for the width, {refused['height_m']} for the height",
    )


def _walks(count: int, seed: int) -> list[str]:
    rng = random.Random(seed)  # noqa: S311
    walks = [(asked, [rng.uniform(0.8, 1.3) for _ in range(4)]) for asked in _wishes(count, seed)]
    wrong = [found for asked, before in walks if (found := differs_by_path(asked, before))]
    return _counted(wrong, f"{count} walks: {len(wrong)} by another way another piece")


def _pairs(count: int, seed: int) -> list[str]:
    rng = random.Random(seed)  # noqa: S311
    lows = sorted((rng.choice(NAMES), rng.uniform(0.75, 1.35)) for _ in range(count))
    pairs = [cheaper_though_wider(name, (low, low * rng.uniform(1.01, 1.25))) for name, low in lows]
    made, wrong = [one for one in pairs if one is not None], [one for one in pairs if one]
    return _counted(
        wrong, f"{count} pairs of widths, {len(made)} of them made: {len(wrong)} cheaper though wider"
    )


def _wishes(count: int, seed: int) -> list[Asked]:
    """One starter after the other, so that what is worked out for it once is still at hand."""
    return sorted(random_wishes(count, seed), key=lambda asked: asked.name)


def _counted(wrong: list[str], words: str) -> list[str]:
    sys.stdout.write("".join(f"{each}\n" for each in [*wrong, words]))
    sys.stdout.flush()
    return wrong


if __name__ == "__main__":
    sys.exit(main(*[int(word) for word in sys.argv[1:]]))
