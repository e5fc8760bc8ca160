"""Silhouettes: the area that balloons and flat faces show to the wind, and the height of its middle."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from quoting.craft.geometry.search_tree import search_tree
from studio.trade.errors import CraftError
from studio.trade.ranges import FloatArray, positive

STRIPS = 1024
"""Setting: level strips in which faces are summed up: their area is right to a few parts in a hundred thousand."""


@dataclass(frozen=True, slots=True)
class Silhouette:
    """An area [m²] as seen from the front, and the height of its middle [m]; both are zero for nothing."""

    area: float
    middle: float


def silhouette_of_balloons(centres: FloatArray, radii: FloatArray) -> Silhouette:
    """Give the silhouette of spheres seen from one side; overlaps count once.

    centres: (n, 2) across and up [m]; radii: (n,) [m]. CraftError on wrong shapes or radii of zero.

    Exact: by Green's theorem the area is the integral of (x dy - y dx)/2, and its moment about the floor that of
    -y² dx/2, over every arc of a circle that lies in no other disc.

    >>> apart = silhouette_of_balloons(np.array([(0.0, 0.0), (3.0, 0.0)]), np.array([1.0, 1.0]))
    >>> overlapping = silhouette_of_balloons(np.array([(0.0, 2.0), (0.0, 3.0)]), np.array([1.0, 1.0]))
    >>> round(apart.area, 3), round(overlapping.area, 3), round(overlapping.middle, 3)
    (6.283, 5.055, 2.5)
    """
    centres = np.asarray(centres, dtype=np.float64)
    radii = np.asarray(radii, dtype=np.float64)
    if centres.ndim != 2 or centres.shape[1] != 2 or radii.shape != (len(centres),):
        raise CraftError(
            f"centres are {centres.shape} and radii {radii.shape}; they must be (n, 2) and (n,)."
        )
    if len(radii) == 0:
        return Silhouette(0.0, 0.0)
    positive("radii", radii, "m")
    discs = np.column_stack([centres, radii])
    reaching = search_tree(centres).query_ball_point(centres, radii + radii.max(), return_sorted=True)
    arcs = [
        _arc_integrals(disc, *ends)
        for index, (disc, near) in enumerate(zip(discs, reaching, strict=True))
        for ends in _open_arcs(disc, discs[near], near.index(index))
    ]
    return _silhouette(math.fsum(area for area, _ in arcs), math.fsum(moment for _, moment in arcs))


def silhouette_of_faces(faces: Sequence[FloatArray]) -> Silhouette:
    """Give the silhouette of flat faces, each a closed outline (n, 2), across and up [m]; overlaps count once.

    >>> tall, wide = (np.array([(0, 0), (0, h), (w, h), (w, 0)], float) for w, h in ((1, 2), (2, 1)))
    >>> both = silhouette_of_faces([tall, wide])
    >>> round(both.area, 6), round(both.middle, 6)
    (3.0, 0.833333)
    """
    if not faces:
        return Silhouette(0.0, 0.0)
    levels = np.concatenate([face[:, 1] for face in faces])
    step = float(levels.max() - levels.min()) / STRIPS
    heights: FloatArray = np.linspace(
        levels.min() + step / 2, levels.max() - step / 2, STRIPS, dtype=np.float64
    )
    crossings = [_crossings(face, heights) for face in faces]
    widths = np.array([_covered([spans[k] for spans in crossings]) for k in range(STRIPS)])
    return _silhouette(float(widths.sum()) * step, float(np.dot(widths, heights)) * step)


# Private


def _silhouette(area: float, moment: float) -> Silhouette:
    return Silhouette(area, moment / area if area > 0 else 0.0)


def _crossings(face: FloatArray, heights: FloatArray) -> list[list[float]]:
    """Where a closed outline crosses each height, from left to right: where it begins, where it ends, and so on."""
    x, y = face.T
    x1, y1 = np.roll(x, -1), np.roll(y, -1)
    straddles = (y[None, :] > heights[:, None]) != (y1[None, :] > heights[:, None])
    rows, edges = np.nonzero(straddles)
    across = x[edges] + (heights[rows] - y[edges]) / (y1[edges] - y[edges]) * (x1[edges] - x[edges])
    ends = np.searchsorted(rows, np.arange(1, len(heights)))
    return [np.sort(part).tolist() for part in np.split(across, ends)]


def _covered(crossings: Sequence[Sequence[float]]) -> float:
    """The width that several faces cover together at one height."""
    spans = sorted(span for ends in crossings for span in zip(ends[::2], ends[1::2], strict=True))
    width, reached = 0.0, -math.inf
    for begin, end in spans:
        width += max(0.0, end - max(begin, reached))
        reached = max(reached, end)
    return width


def _open_arcs(disc: FloatArray, near: FloatArray, index: int) -> list[tuple[float, float]]:
    """The arcs of a circle that no other disc covers, as angles [rad] from and to.

    near: every disc that may overlap it, itself among them at `index`.
    """
    x, y, r = disc.tolist()
    dx, dy = near[:, 0] - x, near[:, 1] - y
    distance, other = np.hypot(dx, dy), near[:, 2]
    swallowed = distance + r <= other
    twins = swallowed & (distance + other <= r)  # of discs that cannot be told apart the first counts
    if bool(np.any(swallowed & ~twins)) or bool(np.any(twins[:index])):
        return []
    meets = (distance < r + other) & (distance > np.abs(r - other)) & ~twins
    towards = np.arctan2(dy[meets], dx[meets])
    cosine = (r**2 + distance[meets] ** 2 - other[meets] ** 2) / (2 * r * distance[meets])
    half = np.arccos(np.clip(cosine, -1.0, 1.0))
    return _uncovered(towards - half, 2 * half)


def _arc_integrals(disc: FloatArray, start: float, end: float) -> tuple[float, float]:
    """What an arc adds to the area and to the area's moment about the floor."""
    x, y, r = disc.tolist()
    turned, sines = end - start, math.sin(end) - math.sin(start)
    cosines = math.cos(end) - math.cos(start)
    squares = turned / 2 - (math.sin(2 * end) - math.sin(2 * start)) / 4
    cubes = -cosines + (math.cos(end) ** 3 - math.cos(start) ** 3) / 3
    area = r * (r * turned + x * sines - y * cosines) / 2
    return area, r * (-(y**2) * cosines + 2 * y * r * squares + r**2 * cubes) / 2


def _uncovered(starts: FloatArray, widths: FloatArray) -> list[tuple[float, float]]:
    """Angles of a circle [rad] left open by arcs that begin at `starts` and span `widths`, each under a turn."""
    turn = 2 * math.pi
    begins = np.mod(starts, turn)
    ends = begins + widths
    past = ends > turn  # an arc over the seam is cut in two
    begins = np.concatenate([begins, np.zeros(int(past.sum()))])
    ends = np.concatenate([np.minimum(ends, turn), ends[past] - turn])
    order = np.argsort(begins, kind="stable")
    open_arcs = []
    reached = 0.0
    for begin, end in zip(begins[order].tolist(), ends[order].tolist(), strict=True):
        if begin > reached:
            open_arcs.append((reached, begin))
        reached = max(reached, end)
    if turn > reached:
        open_arcs.append((reached, turn))
    return open_arcs
