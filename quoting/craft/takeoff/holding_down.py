"""What holds a piece down and what floats it, as lines of the bill: ballast, fixings for feet, helium."""

from __future__ import annotations

import math
from dataclasses import dataclass

from quoting.craft.air.atmosphere import Air, air_at
from quoting.craft.air.helium import (
    RIBBON_MASS_PER_METRE,
    Bouquet,
    Cylinder,
    CylinderNeed,
    FloatingBalloon,
    bouquet,
    cylinders_needed,
)
from quoting.craft.air.wind import WindCheck
from quoting.craft.design.records import Bouquet as BouquetDesign
from quoting.craft.design.records import Design
from quoting.craft.rigging.ties import RiggingLine
from quoting.craft.takeoff.balloons import Balloons
from quoting.craft.takeoff.wind_load import wind_on
from studio.trade.errors import CraftError
from studio.trade.packing import BALLAST, CYLINDER

HIRED_CYLINDER = Cylinder(water_volume=0.010, pressure=200e5)
"""A cylinder of 10 litres at 200 bar, as hired for events (common practice, no source)."""
FOOT_FIXING = "foot-fixing"
FEET_A_FRAME = 2  # common practice, no source


@dataclass(frozen=True, slots=True)
class Helium:
    """What the bouquets of a design lift and weigh, and their gas; no cylinders without bouquets."""

    bouquets: tuple[Bouquet, ...]
    cylinders: CylinderNeed | None


def site_air(design: Design) -> Air:
    """The air where the piece stands."""
    return air_at(celsius=design.site.temperature_c, height=design.site.altitude_m)


def helium_of(design: Design) -> Helium:
    """Work out the bouquets of a design at its site.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> found = helium_of(load_design(STARTERS / "terrace-frame-bouquets.json"))
    >>> [round(one.weight_needed, 1) for one in found.bouquets], found.cylinders.whole
    ([4.3, 4.3], 1)
    """
    air = site_air(design)
    bouquets = tuple(_lifted(one, air, design.site.judged_gust_m_s) for one in design.bouquets)
    gas = math.fsum(one.gas for one in bouquets)
    return Helium(bouquets, cylinders_needed(gas, HIRED_CYLINDER, air) if gas else None)


def holding_lines(design: Design, balloons: Balloons) -> tuple[RiggingLine, ...]:
    """List ballast, fixings and helium of a design; nothing for what can't be worked out, whose fault the prep says.

    Ballast is what tipping and bouquets ask for. Where sliding would ask for more, the feet are fixed instead.
    """
    try:
        wind, helium = wind_on(design, balloons), helium_of(design)
    except CraftError:
        return ()
    lines = (_ballast(design, wind, helium), _fixings(design, wind), _cylinders(design, helium))
    return tuple(line for line in lines if line.quantity > 0)


# Private


def _lifted(one: BouquetDesign, air: Air, gust: float) -> Bouquet:
    balloon = FloatingBalloon(one.sized_m, one.skin_g / 1000, RIBBON_MASS_PER_METRE * one.top_m)
    return bouquet([balloon] * one.count, air, gust=gust)


def _ballast(design: Design, wind: WindCheck | None, helium: Helium) -> RiggingLine:
    feet = math.ceil(wind.ballast_for_tipping) if wind else 0
    in_wind = design.site.judged_gust_m_s > 0
    held = sum(math.ceil(one.weight_needed) for one in helium.bouquets) if in_wind else 0
    reasons = [f"{feet} on the feet against tipping"] if feet else []
    reasons += [f"{held} to hold {_counted(len(helium.bouquets), 'bouquet')} in the wind"] if held else []
    part = "frames" if feet else "garland"
    return RiggingLine(BALLAST, feet + held, "Ballast, kilograms", part, ", ".join(reasons))


def _fixings(design: Design, wind: WindCheck | None) -> RiggingLine:
    slides = wind is not None and wind.ballast_for_sliding > wind.ballast_for_tipping
    feet = FEET_A_FRAME * len(design.frames) if slides else 0
    reason = "a peg, bolt or strap for every foot, to keep it from sliding"
    return RiggingLine(FOOT_FIXING, feet, "Fixing for a foot", "frames", reason)


def _cylinders(design: Design, helium: Helium) -> RiggingLine:
    count = sum(one.count for one in design.bouquets)
    whole = helium.cylinders.whole if helium.cylinders else 0
    reason = f"for {_counted(count, 'balloon')} afloat"
    return RiggingLine(CYLINDER, whole, "Helium cylinder", "garland", reason)


def _counted(number: int, thing: str) -> str:
    return f"{number} {thing}{'' if number == 1 else 's'}"
