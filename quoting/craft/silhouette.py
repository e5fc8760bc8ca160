"""The area that a heap of balloons shows to the wind or to a viewer."""

from __future__ import annotations

import math

import numpy as np

from quoting.craft.errors import CraftError
from quoting.craft.ranges import FloatArray, positive


def silhouette_area(centres: FloatArray, radii: FloatArray) -> float:
    """Area [m²] that spheres cover together when looked at from one side; overlaps count once.

    centres: (n, 2) across and up [m]; radii: (n,) [m]. CraftError on wrong shapes or radii of zero.

    Exact: by Green's theorem the area is the sum over every arc of a circle that lies in no other disc of
    (r² dphi + x r d sin(phi) - y r d cos(phi))/2.
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
    discs = np.unique(np.column_stack([centres, radii]), axis=0)
    return math.fsum(_open_arcs_area(index, discs) for index in range(len(discs)))


def _open_arcs_area(index: int, discs: FloatArray) -> float:
    """What the arcs of one circle that no other disc covers add to the area."""
    x, y, r = discs[index]
    dx, dy = discs[:, 0] - x, discs[:, 1] - y
    distance, other = np.hypot(dx, dy), discs[:, 2]
    swallowed = distance + r <= other
    swallowed[index] = False
    if bool(np.any(swallowed)):
        return 0.0
    meets = (distance < r + other) & (distance > np.abs(r - other))
    towards = np.arctan2(dy[meets], dx[meets])
    cosine = (r**2 + distance[meets] ** 2 - other[meets] ** 2) / (2 * r * distance[meets])
    half = np.arccos(np.clip(cosine, -1.0, 1.0))
    total = 0.0
    for start, end in _uncovered(towards - half, 2 * half):
        total += r * r * (end - start) + x * r * (math.sin(end) - math.sin(start))
        total -= y * r * (math.cos(end) - math.cos(start))
    return total / 2


def _uncovered(starts: FloatArray, widths: FloatArray) -> list[tuple[float, float]]:
    """Angles of a circle left open by arcs that begin at `starts` and span `widths`, each under a turn
    [rad]."""
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
