"""Wind on a free-standing piece: force, tipping, sliding, ballast, and the wind at which it comes down.

A planning estimate. Every figure is shown with `cautions.WIND`: the site's rules and a licensed engineer
decide, and a piece is meant for indoors unless somebody decided otherwise. Nothing here replaces a structural
check.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from quoting.craft.air.atmosphere import GRAVITY
from studio.trade.cautions import WIND, Caution
from studio.trade.errors import CraftError
from studio.trade.ranges import between, not_negative, positive

AIR_DENSITY = 1.25
"""Density of air for wind loads [kg/m³]. Source: recommended by EN 1991-1-4 § 4.5(1)."""

SAFETY_FACTOR = 1.5 / 0.9
"""Holding moment over tipping moment, and likewise for sliding: 1.50 on wind, 0.90 on dead weight that helps.
Source: EN 1990 Table A1.2(A), set EQU."""


class Shape(StrEnum):
    """Bodies a wind meets, as far as their force coefficient tells them apart."""

    PANEL = "panel"
    SIGN = "sign"
    GARLAND = "garland"
    TUBE = "tube"
    BALLOON = "balloon"


FORCE_COEFFICIENT = {
    # A covered frame is a signboard: EN 1991-1-4 § 7.4.3(2). Wider than high and near the ground it is a boundary
    # wall, whose mean over the whole face is lower (Table 7.9, from memory: 2.3, 1.4, 1.2 from its end).
    Shape.PANEL: 1.80,
    Shape.SIGN: 1.80,  # the same clause
    Shape.GARLAND: 1.20,  # as a long cylinder across the flow, subcritical; the rough surface is not credited
    Shape.TUBE: 1.20,  # long cylinder, subcritical: Aeronautical Engineer's Data Book, fig. 5.13(b)
    # A smooth sphere below the drag crisis: 0.40 to 0.52 after Clift, Grace & Weber 1978. The crisis, past which it
    # falls to 0.1, is not credited, nor is the shelter that balloons of one bouquet give each other.
    Shape.BALLOON: 0.50,
}


FRICTION = {
    ("timber", "timber"): 0.4,
    ("timber", "steel"): 0.4,
    ("timber", "concrete"): 0.6,
    ("steel", "timber"): 0.4,
    ("steel", "steel"): 0.1,
    ("steel", "concrete"): 0.1,
    ("concrete", "concrete"): 0.4,
}
"""Friction of sole on ground. Source: The Concrete Society after BS 5975 (steel and concrete on concrete, the
lower of it and EN 13814), the others EN 13814 friction table, from memory. Wet, waxed, carpeted or sandy
ground
is lower: measure by pulling with a spring balance."""


LOOSE_WEIGHT = FRICTION["concrete", "concrete"]
"""Friction of a weight that lies loose: a slab on paving. A steel plate holds a quarter of it."""


WATCHED_SHARE, TAKE_DOWN_SHARE = 0.6, 0.8
"""Shares of the gust that a piece is held for at which somebody watches the wind, and at which it comes down. Source:
the wind management plan of Bute Park, Cardiff, as reported to us, not read: caution at 60 %, take-down at 80 %."""


@dataclass(frozen=True)
class WindPlan:
    """Gusts [m/s] to act at: watch the wind, take the piece down, and the one that it is held for."""

    watch_at: float
    take_down_at: float
    limit: float


@dataclass(frozen=True)
class WindPart:
    """One part of a piece as the wind sees it.

    area: projected on a plane across the wind [m²]; height: of its middle above the ground [m];
    coefficient: force over (velocity pressure times area), `FORCE_COEFFICIENT` or finer.
    Parts behind one another are all counted, which is on the safe side.
    """

    area: float
    height: float
    coefficient: float

    def __post_init__(self) -> None:
        not_negative("area", self.area, "m²")
        not_negative("height", self.height, "m")
        between("force coefficient", self.coefficient, 0.0, 2.5, "")


@dataclass(frozen=True)
class Stand:
    """How a piece stands: what holds it, for a wind from one side.

    mass: of everything but the ballast [kg]; arm: level distance from its centre of mass to the edge it would
    tip over [m]; ballast_arm: the same for ballast laid on its feet [m]; friction: of feet on ground;
    uplift: pull of helium and the like [N], taken at the centre of mass.
    """

    mass: float
    arm: float
    ballast_arm: float
    friction: float
    uplift: float = 0.0

    def __post_init__(self) -> None:
        positive("mass", self.mass, "kg")
        not_negative("arm of the mass", self.arm, "m")
        positive("arm of the ballast", self.ballast_arm, "m")
        between("friction", self.friction, 0.02, 1.5, "")
        not_negative("uplift", self.uplift, "N")


@dataclass(frozen=True)
class WindCheck:
    """What a gust does to a free-standing piece. Factors hold without ballast; without wind they are infinite."""

    pressure: float  # Pa
    force: float  # N
    tipping_moment: float  # N m about the edge
    holding_moment: float  # N m
    tipping_factor: float  # holding over tipping; below 1 it goes over
    sliding_factor: float  # friction over force; below 1 it moves
    ballast: float  # kg for the asked safety factor against both
    ballast_for_tipping: float  # kg
    ballast_for_sliding: float  # kg
    tipping_speed: float  # m/s, gust at which it goes over without ballast, no safety in it
    sliding_speed: float  # m/s, the same for sliding
    comes_down_at: float  # m/s, the lower of the two
    caution: Caution


def velocity_pressure(speed: float, density: float = AIR_DENSITY) -> float:
    """Velocity pressure [Pa] of a speed [m/s]: q = rho v²/2. Source: EN 1991-1-4 § 4.5(1), eq. 4.10.

    >>> velocity_pressure(8.0)
    40.0
    """
    not_negative("wind speed", speed, "m/s")
    positive("density", density, "kg/m³")
    return 0.5 * density * speed**2


def wind_plan(limit: float) -> WindPlan:
    """Give the gusts to act at for a piece that is held, with its ballast and weights, for a gust of `limit` [m/s].

    >>> wind_plan(10.0)
    WindPlan(watch_at=6.0, take_down_at=8.0, limit=10.0)
    """
    positive("gust", limit, "m/s")
    return WindPlan(WATCHED_SHARE * limit, TAKE_DOWN_SHARE * limit, limit)


def drag_of_balloons(diameters: Sequence[float], gust: float, *, density: float = AIR_DENSITY) -> float:
    """Drag [N] of balloons on ribbons; diameters [m], gust [m/s].

    Ribbons are left out: a wind that matters lays them along its way.

    >>> round(drag_of_balloons([0.28] * 7, gust=9.0), 1)
    10.9
    """
    between("gust", gust, 0.0, 60.0, "m/s")
    discs = math.fsum(math.pi * diameter**2 / 4 for diameter in diameters)
    return FORCE_COEFFICIENT[Shape.BALLOON] * velocity_pressure(gust, density) * discs


def weight_against_drag(
    drag: float, *, friction: float = LOOSE_WEIGHT, safety_factor: float = SAFETY_FACTOR
) -> float:
    """Mass [kg] that a pull along the ground [N] doesn't move: m = factor F / (friction g).

    A weight lower than its width divided by twice the friction slides before it tips, so that sliding decides.

    >>> round(weight_against_drag(10.9), 1)
    4.6
    """
    not_negative("drag", drag, "N")
    between("friction", friction, 0.02, 1.5, "")
    return safety_factor * drag / (friction * GRAVITY)


def stand_in_wind(
    parts: Sequence[WindPart],
    stand: Stand,
    gust: float,
    *,
    safety_factor: float = SAFETY_FACTOR,
    density: float = AIR_DENSITY,
) -> WindCheck:
    """Tipping, sliding and ballast of a free-standing piece in a gust from one side.

    gust: speed at the piece [m/s], 0 to 60. safety_factor: 1 or more. density: of the air [kg/m³].

    Tipping: sum of q c A z against (m g - U) arm, about the leeward edge. Sliding: sum of q c A against
    friction (m g - U). Ballast closes the gap to the safety factor. Rigid piece, level ground, steady gust.
    Source: statics; factors EN 1990 Table A1.2(A); force F = c q A as in EN 1991-1-4 eq. 5.3 with cs cd = 1.
    CraftError when a helium lift carries the whole weight.

    >>> board = WindPart(area=2.0, height=1.2, coefficient=FORCE_COEFFICIENT[Shape.SIGN])
    >>> stand = Stand(mass=12.0, arm=0.3, ballast_arm=0.3, friction=0.4)
    >>> check = stand_in_wind([board], stand, gust=8.0)
    >>> round(check.force, 1), round(check.comes_down_at, 1), round(check.ballast, 1)
    (144.0, 3.6, 85.9)
    """
    between("gust", gust, 0.0, 60.0, "m/s")
    if not safety_factor >= 1:
        raise CraftError(f"safety factor is {safety_factor}; it must be 1 or more.")
    weight = stand.mass * GRAVITY - stand.uplift
    if weight <= 0:
        raise CraftError(
            f"The lift of {stand.uplift:.1f} N carries the piece away; it must be below its weight."
        )
    drag_area = math.fsum(part.coefficient * part.area for part in parts)
    drag_area_height = math.fsum(part.coefficient * part.area * part.height for part in parts)
    pressure = velocity_pressure(gust, density)
    force, tipping = pressure * drag_area, pressure * drag_area_height
    holding, grip = weight * stand.arm, weight * stand.friction
    for_tipping = max(0.0, safety_factor * tipping - holding) / (stand.ballast_arm * GRAVITY)
    for_sliding = max(0.0, safety_factor * force - grip) / (stand.friction * GRAVITY)
    tipping_speed = math.sqrt(2 / density * _ratio(holding, drag_area_height))
    sliding_speed = math.sqrt(2 / density * _ratio(grip, drag_area))
    return WindCheck(
        pressure=pressure,
        force=force,
        tipping_moment=tipping,
        holding_moment=holding,
        tipping_factor=_ratio(holding, tipping),
        sliding_factor=_ratio(grip, force),
        ballast=max(for_tipping, for_sliding),
        ballast_for_tipping=for_tipping,
        ballast_for_sliding=for_sliding,
        tipping_speed=tipping_speed,
        sliding_speed=sliding_speed,
        comes_down_at=min(tipping_speed, sliding_speed),
        caution=WIND,
    )


def _ratio(holding: float, driving: float) -> float:
    return holding / driving if driving > 0 else math.inf
