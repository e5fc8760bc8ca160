"""Lines through points: how long they are, and places along them."""

from __future__ import annotations

import numpy as np

from studio.trade.errors import CraftError
from studio.trade.ranges import FloatArray, between


def polyline_length(points: FloatArray) -> float:
    """Measure the length [m] of a line through points, (n, 2) or (n, 3) [m], n at least 2. CraftError otherwise.

    >>> polyline_length(np.array([(0.0, 0.0), (3.0, 4.0)]))
    5.0
    """
    return float(stations(points)[-1])


def stations(points: FloatArray) -> FloatArray:
    """Measure the distance along a line [m] of each of its points, (n, 2) or (n, 3) [m]; gives (n,), the first is 0.

    >>> stations(np.array([(0.0, 0.0), (3.0, 4.0), (3.0, 5.0)]))
    array([0., 5., 6.])
    """
    points = np.asarray(points, dtype=np.float64)
    if points.ndim != 2 or points.shape[1] not in (2, 3) or len(points) < 2 or not np.isfinite(points).all():
        raise CraftError(
            f"points have the shape {points.shape}; they must be finite, (n, 2) or (n, 3), n >= 2."
        )
    steps = np.sqrt(np.square(np.diff(points, axis=0)).sum(axis=1))
    return np.concatenate([[0.0], np.cumsum(steps)])


def points_along(points: FloatArray, distances: FloatArray) -> FloatArray:
    """Find the places on a line through points, (n, k) [m], at distances along it [m], (m,); gives (m, k).

    Straight between points. CraftError for a distance before the start or, by more than rounding, past the
    end.

    >>> points_along(np.array([(0.0, 0.0), (2.0, 0.0)]), np.array([0.5, 1.5]))
    array([[0.5, 0. ],
           [1.5, 0. ]])
    """
    points = np.asarray(points, dtype=np.float64)
    at = stations(points)
    between("distance along the line", distances, -1e-9, float(at[-1]) + 1e-9, "m")
    return np.column_stack([np.interp(distances, at, axis) for axis in points.T])


def kept_points(line: FloatArray, tolerance_m: float) -> list[int]:
    """Choose the points of a line, (n, k) [m], that it takes: the others lie within a tolerance of the line through
    these. Gives their places in order; the ends are among them. Source: Ramer 1972; Douglas and Peucker 1973.

    >>> kept_points(np.array([(0.0, 0.0), (1.0, 0.01), (2.0, 0.0), (2.0, 1.0)]), 0.05)
    [0, 2, 3]
    """
    kept = {0, len(line) - 1}
    open_runs = [(0, len(line) - 1)]
    while open_runs:
        first, last = open_runs.pop()
        if last - first < 2:
            continue
        away = _distances(line[first + 1 : last], line[first], line[last])
        farthest = int(np.argmax(away))
        if away[farthest] > tolerance_m:
            middle = first + 1 + farthest
            kept.add(middle)
            open_runs += [(first, middle), (middle, last)]
    return sorted(kept)


# Private


def _distances(points: FloatArray, start: FloatArray, end: FloatArray) -> FloatArray:
    """Distances of points, (n, k), from the straight piece between two others; gives (n,)."""
    way = end - start
    square = float(way @ way)
    share = np.clip((points - start) @ way / square, 0.0, 1.0) if square > 0 else np.zeros(len(points))
    foot = start + share[:, None] * way
    return np.asarray(np.sqrt(np.square(points - foot).sum(axis=1)))
