"""What holds a piece down and what floats it, as lines of the bill: ballast, fixings for feet, helium."""

from __future__ import annotations

import math
from collections.abc import Set
from dataclasses import dataclass

from quoting.craft.air.atmosphere import Air, air_at
from quoting.craft.air.helium import (
    FOIL_HOURS,
    RIBBON_MASS_PER_METRE,
    Bouquet,
    Cylinder,
    CylinderNeed,
    FloatingBalloon,
    bouquet,
    cylinders_needed,
    float_hours,
    latex_kg,
    lifted,
)
from quoting.craft.air.wind import WindCheck
from quoting.craft.design.foils import balloons_of
from quoting.craft.design.records import Bouquet as BouquetDesign
from quoting.craft.design.records import Design
from quoting.craft.design.things import DOUBLE_STUFFED, Foil, Round
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
class Floating:
    """One bouquet, or a balloon by itself: how many balloons, lift and gas, and hours afloat from and to."""

    label: str
    is_bouquet: bool
    balloons: int
    lift: Bouquet
    hours: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Helium:
    """What floats in a design: bouquets, then balloons by themselves; no cylinders where nothing does."""

    floating: tuple[Floating, ...]
    cylinders: CylinderNeed | None

    @property
    def balloons(self) -> int:
        return sum(one.balloons for one in self.floating)


def site_air(design: Design) -> Air:
    """The air where the piece stands."""
    return air_at(celsius=design.site.temperature_c, height=design.site.altitude_m)


def helium_of(design: Design, balloons: Balloons) -> Helium:
    """Work out everything that floats in a design at its site, with the balloons of its take-off.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> takeoff = take_off(load_design(STARTERS / "terrace-frame-bouquets.json"))
    >>> found = helium_of(takeoff.design, takeoff.balloons)
    >>> [round(one.lift.weight_needed, 1) for one in found.floating], found.cylinders.whole
    ([4.3, 4.3], 1)
    """
    air, gust = site_air(design), design.site.judged_gust_m_s
    first = len(design.garlands) + len(design.walls)
    floating = [
        _bouquet(one, int((balloons.inner[balloons.garland == piece] >= 0).sum()), air, gust)
        for piece, one in enumerate(design.bouquets, first)
    ]
    stuffed = {colour.colour for colour in design.palette if colour.finish == DOUBLE_STUFFED}
    floating += [_round(one, stuffed, air, gust) for one in design.rounds if one.gas == "helium"]
    floating += [one for foil in design.foils if foil.gas == "helium" for one in _foil(foil, air, gust)]
    gas = math.fsum(one.lift.gas for one in floating)
    return Helium(tuple(floating), cylinders_needed(gas, HIRED_CYLINDER, air) if gas else None)


def holding_lines(design: Design, balloons: Balloons) -> tuple[RiggingLine, ...]:
    """List ballast, fixings and helium of a design; nothing for what can't be worked out, whose fault the prep says.

    Ballast is what tipping and bouquets ask for. Where sliding would ask for more, the feet are fixed instead.
    """
    try:
        wind, helium = wind_on(design, balloons), helium_of(design, balloons)
    except CraftError:
        return ()
    lines = (_ballast(design, wind, helium), _fixings(design, wind), _cylinders(helium))
    return tuple(line for line in lines if line.quantity > 0)


def weight_that_holds(design: Design, topper: Round | Foil) -> float:
    """The weight that keeps a helium balloon, or a row of foil ones, down [kg]: what it pulls up with a margin, and
    what the judged gust pulls; 0 with air in it.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> six = Foil(
    ...     id="n", item="n", label="Number", shape="glyphs", text="6", flat_m=0.86, hex="#D9B45B", x_m=0, y_m=1,
    ...     gas="helium", on_top="prop:plinth",
    ... )
    >>> round(weight_that_holds(load_design(STARTERS / "classic-columns.json"), six), 3)
    0.014
    """
    if topper.gas != "helium":
        return 0.0
    air, gust = site_air(design), design.site.judged_gust_m_s
    stuffed = {colour.colour for colour in design.palette if colour.finish == DOUBLE_STUFFED}
    try:
        if isinstance(topper, Foil):
            return math.fsum(one.lift.weight_needed for one in _foil(topper, air, gust))
        return _round(topper, stuffed, air, gust).lift.weight_needed
    except CraftError:
        return 0.0  # it can't be worked out there, and the prep says so


# Private


def _bouquet(one: BouquetDesign, stuffed: int, air: Air, gust: float) -> Floating:
    """A bouquet, so many of whose balloons are stuffed into another and carry two skins."""
    skins = [2] * stuffed + [1] * (one.count - stuffed)
    ribbon = RIBBON_MASS_PER_METRE * one.top_m
    each = [FloatingBalloon(one.sized_m, count * one.skin_g / 1000, ribbon) for count in skins]
    lift = bouquet(each, air, gust=gust)
    return Floating(one.label, True, one.count, lift, float_hours(one.sized_m, air))


def _round(one: Round, stuffed: Set[str], air: Air, gust: float) -> Floating:
    skins = 2 if one.colour in stuffed else 1
    balloon = FloatingBalloon(one.sized_m, skins * float(latex_kg(one.size_in)), _ribbon_kg(one))
    return Floating(one.label, False, 1, bouquet([balloon], air, gust=gust), float_hours(one.sized_m, air))


def _foil(foil: Foil, air: Air, gust: float) -> list[Floating]:
    """Every balloon of a foil on a ribbon of its own: foil balloons aren't tied together."""
    ribbon = _ribbon_kg(foil)
    return [
        Floating(
            f"{foil.label}{f' “{one.glyph}”' if one.glyph else ''}",
            False,
            1,
            lifted(one.volume_m3, one.skin_kg + ribbon, air, gust=gust),
            FOIL_HOURS,
        )
        for one in balloons_of(foil)
    ]


def _ribbon_kg(one: Round | Foil) -> float:
    """A ribbon to the floor; none for what is tied to the thing that it stands on."""
    return 0.0 if one.on_top else RIBBON_MASS_PER_METRE * one.y_m


def _ballast(design: Design, wind: WindCheck | None, helium: Helium) -> RiggingLine:
    feet = math.ceil(wind.ballast_for_tipping) if wind else 0
    in_wind = design.site.judged_gust_m_s > 0
    held = sum(math.ceil(one.lift.weight_needed) for one in helium.floating) if in_wind else 0
    names = [_counted(count, name) for count, name in _kinds(helium) if count]
    reasons = [f"{feet} on the feet against tipping"] if feet else []
    reasons += [f"{held} to hold {' and '.join(names)} in the wind"] if held else []
    part = "frames" if feet else "garland"
    return RiggingLine(BALLAST, feet + held, "Ballast, kilograms", part, ", ".join(reasons))


def _kinds(helium: Helium) -> tuple[tuple[int, str], tuple[int, str]]:
    bouquets = sum(one.is_bouquet for one in helium.floating)
    return (bouquets, "bouquet"), (len(helium.floating) - bouquets, "single balloon")


def _fixings(design: Design, wind: WindCheck | None) -> RiggingLine:
    slides = wind is not None and wind.ballast_for_sliding > wind.ballast_for_tipping
    feet = FEET_A_FRAME * len(design.frames) if slides else 0
    reason = "a peg, bolt or strap for every foot, to keep it from sliding"
    return RiggingLine(FOOT_FIXING, feet, "Fixing for a foot", "frames", reason)


def _cylinders(helium: Helium) -> RiggingLine:
    whole = helium.cylinders.whole if helium.cylinders else 0
    reason = f"for {_counted(helium.balloons, 'balloon')} afloat"
    return RiggingLine(CYLINDER, whole, "Helium cylinder", "garland", reason)


def _counted(number: int, thing: str) -> str:
    return f"{number} {thing}{'' if number == 1 else 's'}"
