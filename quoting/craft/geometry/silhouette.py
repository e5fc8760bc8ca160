"""Silhouettes: the area that a heap of balloons shows to the wind or to a viewer."""

from __future__ import annotations

import math

import numpy as np

from quoting.craft.geometry.search_tree import search_tree
from studio.trade.errors import CraftError
from studio.trade.ranges import FloatArray, positive


def silhouette_area(centres: FloatArray, radii: FloatArray) -> float:
    """Give the area [m²] that spheres cover together when seen from one side; overlaps count once.

    centres: (n, 2) across and up [m]; radii: (n,) [m]. CraftError on wrong shapes or radii of zero.

    Exact: by Green's theorem the area is the sum over every arc of a circle that lies in no other disc of
    (r² dphi + x r d sin(phi) - y r d cos(phi))/2.

    >>> apart = silhouette_area(np.array([(0.0, 0.0), (3.0, 0.0)]), np.array([1.0, 1.0]))
    >>> overlapping = silhouette_area(np.array([(0.0, 0.0), (1.0, 0.0)]), np.array([1.0, 1.0]))
    >>> round(apart, 3), round(overlapping, 3)
    (6.283, 5.055)
    """
    centres = np.asarray(centres, dtype=np.float64)
    radii = np.asarray(radii, dtype=np.float64)
    if centres.ndim != 2 or centres.shape[1] != 2 or radii.shape != (len(centres),):
        raise CraftError(
            f"centres are {centres.shape} and radii {radii.shape}; they must be (n, 2) and (n,)."
        )
    if len(radii) == 0:
        return 0.0
    positive("radii", radii, "m")
    discs = np.column_stack([centres, radii])
    reaching = search_tree(centres).query_ball_point(centres, radii + radii.max(), return_sorted=True)
    return math.fsum(
        _open_arcs_area(discs[index], discs[near], near.index(index)) for index, near in enumerate(reaching)
    )


def _open_arcs_area(disc: FloatArray, near: FloatArray, index: int) -> float:
    """What the arcs of a circle that no other disc covers add to the area.

    near: every disc that may overlap it, itself among them at `index`.
    """
    x, y, r = disc.tolist()
    dx, dy = near[:, 0] - x, near[:, 1] - y
    distance, other = np.hypot(dx, dy), near[:, 2]
    swallowed = distance + r <= other
    twins = swallowed & (distance + other <= r)  # of discs that cannot be told apart the first counts
    if bool(np.any(swallowed & ~twins)) or bool(np.any(twins[:index])):
        return 0.0
    meets = (distance < r + other) & (distance > np.abs(r - other)) & ~twins
    towards = np.arctan2(dy[meets], dx[meets])
    cosine = (r**2 + distance[meets] ** 2 - other[meets] ** 2) / (2 * r * distance[meets])
    half = np.arccos(np.clip(cosine, -1.0, 1.0))
    total = 0.0
    for start, end in _uncovered(towards - half, 2 * half):
        total += r * r * (end - start) + x * r * (math.sin(end) - math.sin(start))
        total -= y * r * (math.cos(end) - math.cos(start))
    return total / 2


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
