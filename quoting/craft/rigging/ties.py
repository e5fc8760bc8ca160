"""Rigging: ties, strings, clips and pins that hold the garland together and to its frames."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from quoting.craft.design.records import Design, Garland
from quoting.craft.design.routes import Route
from quoting.craft.settle.garland import CLUSTER, body_diameter_m, mean_diameter_m, pitch_of

EMPTY_260_M = 0.46  # an empty 260 stretched as a string, knots taken off (common practice, no source)
TIE_SPACING_M = 1.10  # on a frame (common practice, no source: about four ties over two nested arches)
TIE_SPACING_FREE_M = 0.60  # where the garland hangs free
MOST_ON_A_TIE_KG = 0.35  # what one tail knotted to a clip is asked to carry (common practice, no source)
SKIN_11_KG = 0.0028  # an empty 11-in round; others by the square of their size (common practice, no source)
GREENERY_KG_M = 0.11  # silk greenery (common practice, no source)
TURN_DEG = 60.0  # a turn sharper than this within one spacing takes a tie of its own
THICK_TUBE_M = (
    0.032  # from here on a spring clamp holds better than a binder clip (common practice, no source)
)


@dataclass(frozen=True, slots=True)
class TiePoint:
    """Where the garland is made fast: place [m], distance along the garland [m], and to what."""

    garland: int
    station_m: float
    x: float
    y: float
    z: float
    frame: str
    holder: str


@dataclass(frozen=True, slots=True)
class RiggingLine:
    """Pieces of one kind of hardware."""

    code: str
    quantity: int
    label: str
    part: str
    reason: str


@dataclass(frozen=True, slots=True)
class Rigging:
    """Everything that holds the piece together."""

    ties: tuple[TiePoint, ...]
    lines: tuple[RiggingLine, ...]


def rig(design: Design, routes: list[Route], *, fillers: int) -> Rigging:
    """List tie points by length, turning and weight, and strings, clips, line and pins; half a 260 joins each filler.

    Common practice, no source; every figure is a constant of this module.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.settle.build import routes_of
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> [(line.code, line.quantity) for line in rig(design, routes_of(design), fillers=10).lines]
    [('latex-260-oat', 24), ('clip-binder', 4)]
    """
    ties = tuple(tie for k, route in enumerate(routes) for tie in _tie_points(design, k, route))
    strings = sum(math.ceil(route.length_m * 1.1 / EMPTY_260_M) for route in routes)
    clips = sum(tie.holder == "binder clip" for tie in ties)
    clamps = sum(tie.holder == "spring clamp" for tie in ties)
    halves = math.ceil(fillers / 2)
    colour = design.palette[0].colour
    tails = f"{len(ties)} as tails at the tie points"
    reason = f"{strings} as string, {tails}, {halves} cut in half for {fillers} fillers"
    lines = [
        RiggingLine(
            f"latex-260-{colour}",
            strings + len(ties) + halves,
            f"260 in {design.palette[0].name}",
            "garland",
            reason,
        ),
        RiggingLine("clip-binder", clips, "Binder clip", "frames", "one for every tie point on thin tube"),
        RiggingLine(
            "clamp-spring", clamps, "Spring clamp", "frames", "one for every tie point on thick tube"
        ),
    ]
    if design.sign and design.sign.frame:
        lines.append(
            RiggingLine(
                "fishing-line-m",
                math.ceil(2 * design.sign.height_m + 2),
                "Fishing line, metres",
                "sign",
                "two drops over the frame, made fast behind",
            )
        )
        lines.append(RiggingLine("cover-pin", 2, "Cover pin", "sign", "one behind each drop of line"))
    lines += _bouquet_lines(design)
    return Rigging(ties, tuple(line for line in lines if line.quantity > 0))


def weight_per_metre(design: Design, garland: Garland) -> float:
    """Weigh a metre of garland with its greenery [kg/m]: skins of quads and big rounds; the 5s of fillers add next to
    nothing.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> round(weight_per_metre(design, design.garlands[0]), 3)
    0.161
    """
    skins = {k: SKIN_11_KG * (one.size_in / 11) ** 2 for k, one in enumerate(garland.mix)}
    strung = sum(one.share * skins[k] for k, one in enumerate(garland.mix) if one.role in ("body", "round"))
    tied = sum(skins[k] / one.spacing_m for k, one in enumerate(garland.mix) if one.role == "accent")
    green = sum(one.share for one in design.florals if one.kind == "greenery")
    layers = 1 / (pitch_of(garland) * mean_diameter_m(garland))
    return CLUSTER[garland.cluster] * layers * strung + tied + GREENERY_KG_M * green


# Private


def _bouquet_lines(design: Design) -> list[RiggingLine]:
    """A ribbon for every balloon; indoors a weight for each bouquet, since ballast holds those in the wind."""
    ribbon = sum(one.count * one.top_m for one in design.bouquets)
    weights = 0 if design.site.judged_gust_m_s > 0 else len(design.bouquets)
    return [
        RiggingLine("bouquet-weight", weights, "Bouquet weight", "garland", "one for every bouquet"),
        RiggingLine(
            "ribbon-m",
            math.ceil(ribbon),
            "Ribbon, metres",
            "garland",
            "one length to the floor for every balloon",
        ),
    ]


def _tie_points(design: Design, index: int, route: Route) -> list[TiePoint]:
    garland = design.garlands[index]
    carried_m = MOST_ON_A_TIE_KG / weight_per_metre(design, garland)
    frames = {frame.id: frame for frame in design.frames}
    reach = 0.5 * body_diameter_m(garland)
    last = route.length_m - min(reach, route.length_m / 4)
    station, stations = min(reach, route.length_m / 4), []
    heading = np.unwrap(np.arctan2(*np.gradient(route.points[:, :2], axis=0).T[::-1]))
    while station < last:
        stations.append(station)
        leg = _leg_at(route, station)
        on_frame = leg >= 0 and garland.route[leg].kind in ("along", "wind")
        spacing = min(TIE_SPACING_M if on_frame else TIE_SPACING_FREE_M, carried_m)
        here, there = np.interp([station, min(station + spacing, last)], route.along, heading)
        if abs(math.degrees(there - here)) > TURN_DEG:
            spacing *= 0.7
        station += spacing
    stations.append(last)
    ties = []
    for s in stations:
        leg = _leg_at(route, s)
        frame = frames.get(garland.route[leg].frame) if leg >= 0 else None
        if frame is None and leg >= 0 and garland.route[leg].kind == "pool":
            continue
        thick = frame is not None and frame.tube_m >= THICK_TUBE_M
        holder = "spring clamp" if thick else "binder clip" if frame else "own line"
        x, y, z = route.at(np.array([s]))[0].tolist()
        ties.append(TiePoint(index, float(s), x, y, z, frame.id if frame else "", holder))
    return ties


def _leg_at(route: Route, station: float) -> int:
    return int(route.legs[np.searchsorted(route.along, station).clip(0, len(route.legs) - 1)])
