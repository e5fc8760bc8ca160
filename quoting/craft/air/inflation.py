"""Air in a balloon: how much goes in, how long that takes, and what size the same balloon has somewhere else.

A sized balloon is taken for a sphere of its measured diameter; the drop towards the neck is left out, which
matters little where balloons are sized below their nominal diameter so that they are round.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from quoting.craft.air.atmosphere import Air
from studio.trade.errors import CraftError
from studio.trade.packing import INCH_M
from studio.trade.ranges import Number, not_negative, positive

LATEX_OVERPRESSURE = 2_500.0
"""Pressure of a stretched latex skin on the air inside [Pa]. Common practice, no source: gauges on sized
rounds show some 2 to 3 kPa, 2.5 % of an atmosphere, nearly flat over the usual sizes."""

STROKE_VOLUME = math.pi / 6 * (4.5 * INCH_M) ** 3 / 4
"""Air that one stroke of a hand pump delivers [m³], 0.196 L. Common practice, no source: four strokes bring a
5-in balloon to 4.5 in."""


@dataclass(frozen=True)
class Inflation:
    """What inflating a set of balloons takes."""

    free_air: float  # m³ at the pressure of the room, more than the balloons' own volume
    strokes: float  # of a hand pump; not rounded, since a count by balloon and one in all round differently


@dataclass(frozen=True)
class SizedElsewhere:
    """One balloon in two places: what the sizing ring must measure so that it is right where it hangs."""

    ring_diameter: float  # m, at the studio: the hole of the sizing ring
    venue_diameter: float  # m, as designed
    ratio: float  # venue over ring; above 1 the balloon grows on its way


def sphere_volume(diameter: Number) -> Number:
    """Volume [m³] of a balloon of a diameter [m], scalar or array: pi d³/6. CraftError unless above zero.

    >>> round(sphere_volume(0.2286), 5)
    0.00625
    """
    positive("diameter", diameter, "m")
    return math.pi / 6 * diameter**3


def free_air(volume: Number, air: Air, *, overpressure: float = LATEX_OVERPRESSURE) -> Number:
    """Room air [m³] that goes into a balloon's volume [m³], scalar or array: V (p + dp)/p (Boyle).

    overpressure: of the skin [Pa]. Valid once the air is back at room temperature. CraftError if negative.

    >>> round(free_air(1.0, Air()), 4)
    1.0247
    """
    not_negative("overpressure", overpressure, "Pa")
    return volume * ((air.pressure + overpressure) / air.pressure)


def inflation(
    balloons: Sequence[tuple[float, int]],
    air: Air,
    *,
    stroke: float = STROKE_VOLUME,
    overpressure: float = LATEX_OVERPRESSURE,
) -> Inflation:
    """Air and strokes for balloons given as (diameter [m], count).

    stroke: what a hand pump delivers into a balloon at once [m³ of balloon volume], so that the skin and what
    escapes at the nozzle are in it already. No balloons take nothing. CraftError on sizes of zero or negative
    counts.
    """
    total_volume = 0.0
    for diameter, count in balloons:
        not_negative("count", count, "balloons")
        total_volume += count * sphere_volume(diameter)
    positive("stroke", stroke, "m³")
    filled = free_air(total_volume, air, overpressure=overpressure)
    return Inflation(filled, total_volume / stroke)


def diameter_elsewhere(
    diameter: Number, here: Air, there: Air, *, overpressure: float = LATEX_OVERPRESSURE
) -> Number:
    """Diameter [m] that a closed balloon of a diameter [m] here takes there, scalar or array.

    Ideal gas under ambient pressure plus the skin's overpressure, the same in both places:
    d' = d ((p + dp)/(p' + dp) T'/T)^(1/3). No gas is lost and the air inside has the place's temperature
    (sun on dark latex makes it warmer). An inflated skin's overpressure hardly changes with its size
    (Merritt & Weinhaus 1978, doi:10.1119/1.11486); taking their pressure curve instead moves the answer by
    under 0.2 % for moves of up to 2000 m and 40 K.
    Foil does not stretch: it goes slack or bursts instead, and this does not apply to it.

    >>> from quoting.craft.air.atmosphere import air_at
    >>> round(diameter_elsewhere(0.25, air_at(), air_at(height=1600.0)), 4)
    0.2662
    """
    positive("diameter", diameter, "m")
    not_negative("overpressure", overpressure, "Pa")
    grown = (here.pressure + overpressure) / (there.pressure + overpressure)
    ratio = math.cbrt(grown * there.temperature / here.temperature)
    return diameter * ratio


def size_for(
    venue_diameter: float,
    studio: Air,
    venue: Air,
    *,
    nominal_diameter: float | None = None,
    overpressure: float = LATEX_OVERPRESSURE,
) -> SizedElsewhere:
    """The sizing ring [m] for a balloon that shall have a diameter [m] at the venue.

    nominal_diameter: full size printed on the bag [m]; when given, CraftError if the balloon would have to
    be larger than that in either place, since it would pop.
    The ring is the hole a balloon just passes through, so its diameter is the balloon's.

    >>> from quoting.craft.air.atmosphere import air_at
    >>> round(size_for(0.25, air_at(), air_at(height=1600.0)).ring_diameter, 4)
    0.2348
    """
    ring = diameter_elsewhere(venue_diameter, venue, studio, overpressure=overpressure)
    largest = max(ring, venue_diameter)
    if nominal_diameter is not None:
        positive("nominal diameter", nominal_diameter, "m")
        if largest > nominal_diameter:
            allowed = nominal_diameter / largest * venue_diameter
            raise CraftError(
                f"A balloon of {nominal_diameter / INCH_M:.3g} in would have to reach {largest / INCH_M:.3g} in "
                f"between studio and venue; size it at most {allowed / INCH_M:.3g} in at the venue."
            )
    return SizedElsewhere(ring, venue_diameter, venue_diameter / ring)
