"""Prep and site: rings to size with, air, helium, van and door, wind, and the cautions that apply."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from quoting.craft.air.atmosphere import Air, air_at
from quoting.craft.air.helium import (
    Bouquet,
    CylinderNeed,
)
from quoting.craft.air.inflation import Inflation, inflation, size_for
from quoting.craft.air.wind import WindCheck, WindPlan, wind_plan
from quoting.craft.colour.shares import counts_by_share
from quoting.craft.design.records import Design
from quoting.craft.site.transport import Box, DoorAnswer, goes_through
from quoting.craft.takeoff.doubles import every_colour
from quoting.craft.takeoff.holding_down import Helium, helium_of, site_air
from quoting.craft.takeoff.minutes import INFLATING
from quoting.craft.takeoff.sign_room import SignRoom, sign_room
from quoting.craft.takeoff.takeoff import TakeOff, packed_load
from quoting.craft.takeoff.wind_load import afloat, brought_kg, heaviest_kg, wind_on
from studio.trade.cautions import Caution, cautions_for
from studio.trade.errors import CraftError
from studio.trade.packing import (
    FRAME_DEPTH_M,
    INCH_M,
    Packed,
)
from studio.trade.working_height import needs_ladder

ToSize: TypeAlias = Counter[tuple[int, float]]
"""How many balloons are sized by nominal size [in] and diameter on site [m]."""


@dataclass(frozen=True, slots=True)
class RingSize:
    """One setting of the sizing ring: how many balloons pass through it, and what they measure at the site [m].

    ``note`` says why a size cannot be reached in both places; empty otherwise.
    """

    size_in: int
    site_m: float
    ring_m: float
    count: int
    note: str


@dataclass(frozen=True, slots=True)
class BouquetCheck:
    """One helium bouquet or a balloon that floats by itself: lift and the weight that holds it [kg], gas [m3], hours
    afloat from and to."""

    label: str
    lift: Bouquet
    hours: tuple[float, float]


@dataclass(frozen=True, slots=True)
class FrameAtDoor:
    """Whether a frame, or a prop as it travels, goes through the narrowest door in one piece."""

    label: str
    answer: DoorAnswer


@dataclass(frozen=True, slots=True)
class Prep:
    """Everything that prep, van and site ask of a design."""

    rings: tuple[RingSize, ...]
    air: Inflation
    bouquets: tuple[BouquetCheck, ...]
    cylinders: CylinderNeed | None
    load: Packed
    frames_kg: float  # frames that are brought, with their feet, signs and props
    inflating_minutes: float  # of one person at one nozzle, the loss included
    doors: tuple[FrameAtDoor, ...]
    wind: WindCheck | None
    wind_plan: WindPlan | None
    sign: SignRoom
    cautions: tuple[Caution, ...]


def prep_of(takeoff: TakeOff) -> Prep:
    """Work out prep, transport and site of a design. Wind is checked only where the site is outdoors with a gust to
    judge.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> prep = prep_of(take_off(load_design(STARTERS / "garland-nested-arches.json")))
    >>> [(door.label, door.answer.passes) for door in prep.doors]
    [('Arch frame 7 ft', True), ('Arch frame 6 ft', True)]
    """
    design = takeoff.design
    studio, site = _airs(design)
    gust = design.site.judged_gust_m_s
    helium, to_size = helium_of(design, takeoff.balloons), _to_size(takeoff)
    return Prep(
        rings=_rings(to_size, studio, site),
        air=_inflation(to_size, studio),
        bouquets=_bouquet_checks(helium),
        cylinders=helium.cylinders,
        load=packed_load(takeoff).together,
        frames_kg=brought_kg(design),
        inflating_minutes=sum(task.minutes for task in takeoff.tasks if task.name == INFLATING),
        doors=doors_of(design),
        wind=wind_check(takeoff),
        wind_plan=wind_plan(gust) if gust > 0 else None,
        sign=sign_room(design, takeoff.balloons),
        cautions=_cautions(takeoff),
    )


def wind_check(takeoff: TakeOff) -> WindCheck | None:
    """Check the piece against the site's gust; None indoors. A planning estimate: see the caution it carries.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> takeoff = take_off(load_design(STARTERS / "terrace-frame-bouquets.json"))
    >>> round(wind_check(takeoff).comes_down_at, 1)
    2.2
    """
    return wind_on(takeoff.design, takeoff.balloons)


# Private


def _airs(design: Design) -> tuple[Air, Air]:
    site = design.site
    return (
        air_at(celsius=site.prep_temperature_c, height=site.prep_altitude_m),
        site_air(design),
    )


def _rings(to_size: ToSize, studio: Air, site: Air) -> tuple[RingSize, ...]:
    rings = []
    for (size, diameter), count in sorted(to_size.items()):
        note = ""
        try:
            ring = size_for(diameter, studio, site, nominal_diameter=size * INCH_M).ring_diameter
        except CraftError as error:
            ring, note = size_for(diameter, studio, site).ring_diameter, str(error)
        rings.append(RingSize(size, diameter, ring, count, note))
    return tuple(sorted(rings, key=lambda ring: (-ring.size_in, -ring.site_m)))


def _to_size(takeoff: TakeOff) -> ToSize:
    """Balloons to size with air by nominal size [in] and diameter on site [m], the spares included.

    The spares of a size and colour are shared out over its diameters, so that the rings add up to the bill.
    """
    b, colours = takeoff.balloons.with_inner(), every_colour(takeoff.design)
    floating = afloat(takeoff.design, b)
    keys = zip(
        b.size_in.tolist(), b.colour.tolist(), np.round(2 * b.radius, 4).tolist(), floating, strict=True
    )
    alike: dict[tuple[int, int], Counter[tuple[float, bool]]] = defaultdict(Counter)
    for size, colour, diameter, floats in keys:
        alike[size, colour][diameter, floats] += 1
    found: ToSize = Counter()
    to_bring = takeoff.to_bring
    for (size, colour), placed in alike.items():
        total = placed.total()
        brought = to_bring[size, colours[colour].colour]
        shares = counts_by_share(brought, [count / total for count in placed.values()])
        for (diameter, floats), count in zip(placed, shares, strict=True):
            if not floats:
                found[size, diameter] += count
    return found


def _inflation(to_size: ToSize, studio: Air) -> Inflation:
    by_diameter: Counter[float] = Counter()
    for (_size, diameter), count in to_size.items():
        by_diameter[diameter] += count
    return inflation(sorted(by_diameter.items()), studio)


def _bouquet_checks(helium: Helium) -> tuple[BouquetCheck, ...]:
    return tuple(BouquetCheck(one.label, one.lift, one.hours) for one in helium.floating)


def _frame_box(width: float, height: float) -> Box:
    return Box((width, height, FRAME_DEPTH_M))


def doors_of(design: Design) -> tuple[FrameAtDoor, ...]:
    site = design.site
    boxes = [(frame.label, _frame_box(frame.width_m, frame.height_m)) for frame in design.brought_frames]
    boxes += [(prop.label, Box(prop.packed_m)) for prop in design.brought_props]
    return tuple(
        FrameAtDoor(label, goes_through(box, width=site.door_width_m, height=site.door_height_m))
        for label, box in boxes
    )


def _cautions(takeoff: TakeOff) -> tuple[Caution, ...]:
    design = takeoff.design
    gases = {one.gas for one in design.rounds} | {one.gas for one in design.foils}
    return cautions_for(
        latex=len(takeoff.balloons) > 0,
        helium=bool(design.bouquets) or "helium" in gases,
        foil=bool(design.foils),
        fabric_or_florals=any(frame.cover for frame in design.frames)
        or bool(design.florals or design.sprays),
        outdoors=design.site.outdoors,
        above_reach=needs_ladder(takeoff.dimensions.height_m),
        candles=any(prop.look == "candle" for prop in design.props),
        heaviest_lift=heaviest_kg(design),
    )
