"""Carrying between van and room: in how many loads, and how long one person takes for each."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from quoting.craft.design.records import Design, Rates, Site
from studio.trade.packing import PIECES_A_CRATE, Packed
from studio.trade.sentences import Sentence

BAGS_M3: Final = 0.5
"""Tied balloons that one person takes along, a big bag in each hand. Common practice, no source; 0.3 to 0.7."""
LIFT_KG: Final = 16.0
"""What anybody on a crew may be asked to lift: HSE, Manual handling, guidance L23 (4th edition, 2016), lifting filter,
women, close to the body at knuckle height; from memory."""
BALLOONS_A_SACK: Final = 500
"""Burst balloons in one sack of waste. Common practice, no source; 300 to 1,000."""


@dataclass(frozen=True, slots=True)
class Loads:
    """Loads of one person: on the way in, and on the way out, when balloons are waste."""

    way_in: int
    way_out: int


def loads(design: Design, *, balloons: int, rounds: Packed, parts: int, heavy: int = 0) -> Loads:
    """Count the loads: balloons by the volume of their bags, parts by the crate, frames, props and signs by weight.

    ``rounds``: the balloons as they are packed; ``parts``: pieces in crates, the signs among them; ``heavy``:
    loads of ballast and cylinders.

    >>> loads(Design(version=2, name="Bare", palette=()), balloons=600, rounds=Packed(1.6), parts=25)
    Loads(way_in=6, way_out=4)
    """
    single = [frame.weight_kg for frame in design.brought_frames]
    single += [prop.weight_kg for prop in design.brought_props]
    single += [sign.weight_kg for sign in design.signs]
    kept = math.ceil((parts - len(design.signs)) / PIECES_A_CRATE) + _by_weight(single) + heavy
    return Loads(
        math.ceil(rounds.volume_m3 / BAGS_M3) + kept,
        math.ceil(balloons / BALLOONS_A_SACK) + kept,
    )


def seconds_a_load(site: Site, rates: Rates) -> float:
    """Time that one person takes to carry one load and walk back empty [s].

    >>> seconds_a_load(Site(carry_m=10.7, steps=20), Rates())
    88.0
    """
    way = site.carry_m / rates.walk_m_s
    up = rates.lift_s if site.lift else site.steps * rates.step_s
    return rates.load_s + 2 * (way + up)


def carried(count: int, site: Site) -> Sentence:
    """Say how many loads go how far.

    >>> carried(7, Site(steps=14))
    ('7 loads, ', 30.0, ' from the van, 14 steps')
    """
    rise = ", by lift" if site.lift else f", {site.steps} step{'' if site.steps == 1 else 's'}"
    loads_words = f"{count} load{'' if count == 1 else 's'}, "
    return (loads_words, site.carry_m, " from the van" + (rise if site.lift or site.steps else ""))


# Private


def _by_weight(pieces_kg: Iterable[float]) -> int:
    """Loads that single pieces make: each is one, and one more for every further person that it takes."""
    return sum(max(1, math.ceil(kg / LIFT_KG)) for kg in pieces_kg)
