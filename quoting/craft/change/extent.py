"""Width and height of a design: estimated from frames and routes, or measured with its balloons at rest."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quoting.craft.design.boxes import thing_boxes
from quoting.craft.design.frames import face
from quoting.craft.design.records import Design, Frame, Garland
from quoting.craft.geometry.packing import stack
from quoting.craft.settle.build import at_rest, nearly_at_rest, placed
from quoting.craft.settle.classic import packed_bouquet, packed_wall
from quoting.craft.settle.garland import CLUSTER, body_diameter_m, mean_diameter_m, tied_on
from quoting.craft.settle.laying import route_in

Array = NDArray[np.float64]
FARTHEST_BEYOND = 0.35  # how far balloons may reach beyond the estimate, as a share of it (setting)
REACH, ROUND_REACH = 0.95, 0.30
"""From the string to the outside: shares of the mean diameter and of the biggest balloon in the quads. Measured on
settled garlands."""


@dataclass(frozen=True, slots=True)
class Extent:
    """Overall size [m]: x of the sides, y of the top, z of rear and front (feet of frames counted)."""

    left: float
    right: float
    top: float
    rear: float
    front: float

    @property
    def width(self) -> float:
        return self.right - self.left


def estimated_extent(design: Design) -> Extent:
    """Estimate the overall extent of a design from its frames and the reach of its garlands, before any balloon is
    placed.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> round(estimated_extent(design).width, 2)
    2.89
    """
    found = [_of_frame(frame) for frame in design.frames]
    for index, garland in enumerate(design.garlands):
        route = route_in(design, index)
        reach = garland_reach(garland) * np.interp(route.thickness, [0.5, 1.0, 1.8], [0.85, 1.0, 1.15])
        found.append(_of_balls(route.points, reach))
        big = garland.work == "organic" and any(mix.role == "accent" for mix in garland.mix)
        if big and len((tied := tied_on(garland, route)).radii):
            found.append(_of_balls(tied.centres, tied.radii))
    packed = [packed_wall(wall, f"walls[{k}]") for k, wall in enumerate(design.walls)]
    packed += [packed_bouquet(bouquet) for bouquet in design.bouquets]
    found += [_of_balls(one.centres, np.full(len(one.centres), one.radius_m)) for one in packed]
    return _around(found + _of_things(design))


def measured_extent(design: Design, *, fillers: bool = False) -> Extent:
    """Measure the overall extent with the balloons at rest. ``fillers`` counts the fillers as well, which costs as much
    again.

    DesignError as in ``laying.routes_of``.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> round(measured_extent(design).width, 2)
    2.91
    """
    centres, radii = placed(design) if fillers else at_rest(design)
    found = [_of_balls(centres, radii)] if len(radii) else []
    return _around(found + [_of_frame(frame) for frame in design.frames] + _of_things(design))


def nearly_measured_width(design: Design) -> float:
    """Measure the width with the balloons nearly at rest [m], which costs a quarter.

    DesignError as in ``laying.routes_of``.
    """
    found = [_of_frame(frame) for frame in design.frames] + _of_things(design)
    centres, radii = nearly_at_rest(design)
    return _around(found + ([_of_balls(centres, radii)] if len(radii) else [])).width


@dataclass(frozen=True, slots=True)
class Beyond:
    """How far the balloons at rest reach beyond the estimate, in width and height [m]."""

    across: float
    up: float


def beyond_estimate(design: Design, came_out: tuple[float, float] | None = None) -> Beyond:
    """Say what to add to estimates of designs like this one. ``came_out`` [m]: its width and height, if known.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> beyond = beyond_estimate(design)
    >>> round(beyond.across, 2), round(beyond.up, 2)
    (0.02, 0.01)
    """
    estimate = estimated_extent(design)
    if came_out is None:
        measured = measured_extent(design)
        came_out = measured.width, measured.top
    across, up = (
        float(np.clip(real - rough, -FARTHEST_BEYOND * rough, FARTHEST_BEYOND * rough))
        for real, rough in zip(came_out, (estimate.width, estimate.top), strict=True)
    )
    return Beyond(across, up)


def garland_reach(garland: Garland) -> float:
    """Estimate the distance from the string to the outermost balloons of the quads [m].

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> round(garland_reach(load_design(STARTERS / "garland-nested-arches.json").garlands[0]), 2)
    0.34
    """
    if garland.work == "classic":
        return stack(CLUSTER[garland.cluster], body_diameter_m(garland)).outer_diameter / 2
    biggest = max(entry.sized_high_m for entry in garland.mix if entry.role in ("body", "round"))
    return REACH * mean_diameter_m(garland) + ROUND_REACH * biggest


# Private


def _around(found: list[Extent]) -> Extent:
    return Extent(
        min(one.left for one in found),
        max(one.right for one in found),
        max(one.top for one in found),
        min(one.rear for one in found),
        max(one.front for one in found),
    )


def _of_frame(frame: Frame) -> Extent:
    points, half = face(frame), frame.foot_depth_m / 2
    return Extent(
        float(points[:, 0].min()),
        float(points[:, 0].max()),
        float(points[:, 1].max()),
        frame.z_m - half,
        frame.z_m + half,
    )


def _of_things(design: Design) -> list[Extent]:
    return [Extent(box.left, box.right, box.top, box.rear, box.front) for box in thing_boxes(design)]


def _of_balls(centres: Array, radii: Array) -> Extent:
    x, y, z = centres.T
    return Extent(
        float((x - radii).min()),
        float((x + radii).max()),
        float((y + radii).max()),
        float((z - radii).min()),
        float((z + radii).max()),
    )
