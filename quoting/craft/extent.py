"""How wide and high a design comes out: at a glance from frames and routes, or with its balloons at rest."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from quoting.craft.build import at_rest
from quoting.craft.classic import packed_bouquet, packed_wall
from quoting.craft.design import Design, Garland
from quoting.craft.frames import face
from quoting.craft.garland import CLUSTER, body_diameter_m, mean_diameter_m, tied_on
from quoting.craft.packing import stack
from quoting.craft.routes import route_of

REACH, ROUND_REACH = 0.95, 0.30
"""From the string to the outside: shares of the mean diameter and of the biggest balloon in the quads."""


@dataclass(frozen=True, slots=True)
class Extent:
    """Overall size estimated from frames and routes, before any balloon is placed [m]."""

    left: float
    right: float
    top: float

    @property
    def width(self) -> float:
        return self.right - self.left


def estimated_extent(design: Design) -> Extent:
    """Overall extent of a design from its frames and the reach of its garlands [m]."""
    left, right, top = [], [], []
    for frame in design.frames:
        points = face(frame)
        left.append(float(points[:, 0].min()))
        right.append(float(points[:, 0].max()))
        top.append(float(points[:, 1].max()))
    for garland in design.garlands:
        ball = body_diameter_m(garland)
        route = route_of(garland, design.frames, ball_m=ball, mirrored=design.mirrored)
        reach = _reach(garland) * np.interp(route.thickness, [0.5, 1.0, 1.8], [0.85, 1.0, 1.15])
        tied = tied_on(garland, route) if garland.work == "organic" else None
        for x, y, r in [(route.points[:, 0], route.points[:, 1], reach)] + (
            [(tied.centres[:, 0], tied.centres[:, 1], tied.radii)] if tied and len(tied.radii) else []
        ):
            left.append(float((x - r).min()))
            right.append(float((x + r).max()))
            top.append(float((y + r).max()))
    packed = [packed_wall(wall, f"walls[{k}]") for k, wall in enumerate(design.walls)]
    for one in packed + [packed_bouquet(bouquet) for bouquet in design.bouquets]:
        left.append(float(one.centres[:, 0].min()) - one.radius_m)
        right.append(float(one.centres[:, 0].max()) + one.radius_m)
        top.append(float(one.centres[:, 1].max()) + one.radius_m)
    return Extent(min(left), max(right), max(top))


def measured_extent(design: Design) -> Extent:
    """Overall extent with the balloons at rest, fillers left out [m]. DesignError as in ``build.routes_of``."""
    centres, r = at_rest(design)
    x, y = centres[:, 0], centres[:, 1]
    sides = [Extent(float((x - r).min()), float((x + r).max()), float((y + r).max()))] if len(r) else []
    if design.frames:
        sides.append(estimated_extent(replace(design, garlands=(), walls=(), bouquets=())))
    return Extent(
        min(one.left for one in sides), max(one.right for one in sides), max(one.top for one in sides)
    )


# Private


def _reach(garland: Garland) -> float:
    """Distance from the string to the outermost balloons of the quads [m]."""
    if garland.work == "classic":
        return stack(CLUSTER[garland.cluster], body_diameter_m(garland)).outer_diameter / 2
    biggest = max(entry.sized_high_m for entry in garland.mix if entry.role in ("body", "round"))
    return REACH * mean_diameter_m(garland) + ROUND_REACH * biggest
