"""Random sizes asked of the starters: what came out by the take-off, and what it costs by plain prices."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from quoting.craft.change.resize import SIDES, scale_to
from quoting.craft.design.chosen import as_chosen
from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.records import Design
from quoting.craft.takeoff.takeoff import TakeOff, take_off
from tests.quoting.craft.starter_designs import NAMES, starter, worked

PRICE = {5: 0.06, 11: 0.15, 17: 0.90, 24: 2.50, 36: 6.00}
A_MINUTE, A_METRE_OF_GREEN = 0.50, 4.00


@dataclass(frozen=True)
class Asked:
    """A starter at a share of its own width and height."""

    name: str
    wide: float
    high: float

    def sizes(self) -> tuple[Design, float, float]:
        own = worked(self.name).dimensions
        return starter(self.name), self.wide * own.width_m, self.high * own.height_m


def random_wishes(count: int, seed: int) -> Iterator[Asked]:
    rng = random.Random(seed)  # noqa: S311
    for _ in range(count):
        high = rng.choice((1.0, 1.0, rng.uniform(0.7, 1.3)))
        yield Asked(rng.choice(NAMES), rng.uniform(0.7, 1.6), high)


@dataclass(frozen=True)
class Answer:
    """What is wrong with the answer to a wish, if anything, and the sides that were refused."""

    wrong: str = ""
    refused: tuple[str, ...] = ()


def answer(asked: Asked, *, most: float = 0.02) -> Answer:
    """Ask for a size: it is to be met within a share, or refused with figures that don't hold what was asked."""
    design, wide, high = asked.sizes()
    must = SIDES if asked.high != 1.0 else ("width_m",)
    try:
        size = take_off(scale_to(design, width_m=wide, height_m=high, must=must)).dimensions
    except DesignError as error:
        unclear = [fault for fault in error.faults if not _names_what_there_is(fault)]
        return Answer(f"{asked}: {error}" if unclear else "", tuple(fault.field for fault in error.faults))
    off = {"width_m": size.width_m / wide - 1, "height_m": size.height_m / high - 1}
    wrong = [f"{side} {100 * off[side]:+.1f} %" for side in must if abs(off[side]) > most + 1e-6]
    return Answer(f"{asked}: {', '.join(wrong)}" if wrong else "")


def misses(asked: Asked) -> str:
    """What is wrong with the answer to a wish; empty where it is met, or refused with the nearest."""
    return answer(asked).wrong


def _names_what_there_is(fault: Fault) -> bool:
    low, high, found = fault.low, fault.high, fault.found
    if low is None or high is None or not isinstance(found, float):
        return False
    if fault.code == FaultCode.BETWEEN_SIZES:
        return low < found < high
    if fault.code == FaultCode.NEAREST_SIZE:
        return low == high != found
    outside = fault.code in (FaultCode.NO_FRAME_THIS_WIDE, FaultCode.NO_FRAME_THIS_HIGH)
    return outside and not low <= found <= high


def differs_by_path(asked: Asked, before: Sequence[float]) -> str:
    """Whether sizes asked for before change what a wish gives."""
    design, wide, high = asked.sizes()
    try:
        straight = scale_to(design, width_m=wide, height_m=high, must=())
        for share in before:
            design = scale_to(design, width_m=wide * share, height_m=high, must=())
        again = scale_to(design, width_m=wide, height_m=high, must=())
    except DesignError as error:
        return f"{asked}: {error}"
    return "" if again == straight and as_chosen(again) == asked.sizes()[0] else f"{asked} after {before}"


def cost(takeoff: TakeOff) -> float:
    balloons = sum(number * PRICE.get(size, 0.2) for (size, _), number in takeoff.to_bring.items())
    minutes = sum(task.minutes for task in takeoff.tasks)
    return balloons + A_MINUTE * minutes + A_METRE_OF_GREEN * takeoff.dimensions.garland_m


def cheaper_though_wider(name: str, shares: tuple[float, float]) -> str | None:
    """What is cheaper though it is wider; empty where nothing is, None where a width can't be made."""
    design, wide, high = Asked(name, 1.0, 1.0).sizes()
    try:
        costs = [
            cost(take_off(scale_to(design, width_m=wide * share, height_m=high, must=("width_m",))))
            for share in sorted(shares)
        ]
    except DesignError:
        return None
    return "" if costs[0] <= costs[1] + 1e-9 else f"{name} {sorted(shares)}: {costs[0]:.2f}, {costs[1]:.2f}"


def with_sizes(design: Design, *, cover_codes: bool) -> Design:
    """The design with or without the codes of the covers that its owned sizes take."""
    frames = tuple(
        replace(
            frame,
            sizes=tuple(
                replace(size, cover_item=size.cover_item if cover_codes else "") for size in frame.sizes
            ),
        )
        for frame in design.frames
    )
    return replace(design, frames=frames)
