"""Lines that frames and garlands follow: how long they are, and points spaced evenly along them.

Plane curves are given across and up [m]; points come as (count, 2) arrays from the left foot over the top to
the right foot, both ends included, evenly spaced by arc length. A hanging line stands in `catenary`.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from quoting.craft.geometry.elliptic import incomplete_e
from studio.trade.errors import CraftError
from studio.trade.ranges import FloatArray, between, not_negative, positive, whole

MOST_POINTS = 200_000
"""More points than this are refused: a sign of a slip in the units."""


@dataclass(frozen=True)
class Segment:
    """A circular arc over a chord: radius [m], angle at its centre [rad], length [m]."""

    radius: float
    angle: float
    length: float


def polyline_length(points: FloatArray) -> float:
    """Length [m] of a line through points, (n, 2) or (n, 3) [m], n at least 2. CraftError otherwise."""
    return float(stations(points)[-1])


def stations(points: FloatArray) -> FloatArray:
    """Distance along a line [m] of each of its points, (n, 2) or (n, 3) [m]; (n,), the first is 0."""
    points = np.asarray(points, dtype=np.float64)
    if points.ndim != 2 or points.shape[1] not in (2, 3) or len(points) < 2 or not np.isfinite(points).all():
        raise CraftError(
            f"points have the shape {points.shape}; they must be finite, (n, 2) or (n, 3), n >= 2."
        )
    steps = np.sqrt(np.square(np.diff(points, axis=0)).sum(axis=1))
    return np.concatenate([[0.0], np.cumsum(steps)])


def points_along(points: FloatArray, distances: FloatArray) -> FloatArray:
    """Places on a line through points, (n, k) [m], at distances along it [m], (m,); gives (m, k).

    Straight between points. CraftError for a distance before the start or, by more than rounding, past the
    end.
    """
    points = np.asarray(points, dtype=np.float64)
    at = stations(points)
    between("distance along the line", distances, -1e-9, float(at[-1]) + 1e-9, "m")
    return np.column_stack([np.interp(distances, at, axis) for axis in points.T])


def resampled(points: FloatArray, count: int) -> FloatArray:
    """A line through points, (n, k) [m], as `count` points evenly spaced along it; gives (count, k)."""
    return points_along(points, _even(count, polyline_length(points)))


def ellipse_arc_length(half_width: float, half_height: float, start: float, end: float) -> float:
    """Length [m] of an arc of an ellipse between two parameter angles [rad], end after start.

    x = half_width cos t, y = half_height sin t; L = b (E(end | m) - E(start | m)), m = 1 - a²/b².
    Source: incomplete elliptic integral of the second kind, NIST DLMF 19.2.5 and 19.30.
    """
    positive("half width", half_width, "m")
    positive("half height", half_height, "m")
    if not start <= end:
        raise CraftError(f"the arc ends at {end} rad before it starts at {start} rad.")
    m = 1 - (half_width / half_height) ** 2
    return float(half_height * (incomplete_e(end, m) - incomplete_e(start, m)))


def ellipse_perimeter(half_width: float, half_height: float) -> float:
    """Length [m] round an ellipse: the arc of a full turn; see `ellipse_arc_length`."""
    return ellipse_arc_length(half_width, half_height, 0.0, 2 * math.pi)


def ellipse_arch_length(width: float, height: float) -> float:
    """Length [m] of a half-ellipse arch from foot to foot; see `ellipse_arc_length`."""
    return ellipse_arc_length(width / 2, height, 0.0, math.pi)


def ellipse_arch_points(width: float, height: float, count: int) -> FloatArray:
    """A half-ellipse arch [m] as points, feet at (±width/2, 0), top at (0, height)."""
    a, b = width / 2, height
    m = 1 - (a / b) ** 2
    distances = _even(count, ellipse_arch_length(width, height))
    t = _parameters_at(
        lambda t: b * incomplete_e(t, m),
        lambda t: np.hypot(a * np.sin(t), b * np.cos(t)),
        distances,
        math.pi,
    )
    return np.column_stack([-a * np.cos(t), b * np.sin(t)])


def legs_arch_length(width: float, height: float) -> float:
    """Length [m] of two legs with a half circle on top: 2 (h - w/2) + pi w/2; height at least half the
    width."""
    positive("width", width, "m")
    if not height >= width / 2:
        raise CraftError(f"height is {height} m; an arch {width} m wide must be at least {width / 2} m high.")
    return 2 * (height - width / 2) + math.pi * width / 2


def legs_arch_points(width: float, height: float, count: int) -> FloatArray:
    """Two legs with a half circle on top [m] as points, feet at (±width/2, 0), top at (0, height)."""
    length, radius = legs_arch_length(width, height), width / 2
    leg = height - radius
    distances = _even(count, length)
    angle = np.clip((distances - leg) / radius, 0.0, math.pi)
    drop = np.maximum(0.0, leg - np.minimum(distances, length - distances))
    return np.column_stack([-radius * np.cos(angle), leg + radius * np.sin(angle) - drop])


def segment(chord: float, rise: float) -> Segment:
    """The circular arc over a chord [m] with a rise [m]: R = (c²/4 + h²)/(2h), angle 4 atan(2h/c).

    Rises above half the chord give more than a half circle. Source: plane geometry, e.g. Machinery's
    Handbook, segments of circles.
    """
    positive("chord", chord, "m")
    positive("rise", rise, "m")
    radius = (chord**2 / 4 + rise**2) / (2 * rise)
    angle = 4 * math.atan(2 * rise / chord)
    return Segment(radius, angle, radius * angle)


def segment_points(chord: float, rise: float, count: int) -> FloatArray:
    """A circular arc over a chord [m] as points, ends at (±chord/2, 0), top at (0, rise)."""
    arc = segment(chord, rise)
    angle = _even(count, arc.angle) - arc.angle / 2
    return np.column_stack([arc.radius * np.sin(angle), rise - arc.radius * (1 - np.cos(angle))])


def ring_length(diameter: float, share: float = 1.0) -> float:
    """Length [m] of a ring or of a share of it, 0 to 1: pi d share."""
    positive("diameter", diameter, "m")
    between("share of the ring", share, 0.0, 1.0, "")
    return math.pi * diameter * share


def ring_points(
    diameter: float, count: int, *, start: float = -math.pi / 2, share: float = 1.0
) -> FloatArray:
    """A ring or part of it [m] as points about (0, 0).

    start: angle [rad] from the right-hand side, turning left-about; the default begins at the foot.
    A whole ring comes with its first point repeated at the end.
    """
    angle = start + _even(count, 2 * ring_length(diameter, share) / diameter)
    return diameter / 2 * np.column_stack([np.cos(angle), np.sin(angle)])


def parabola_length(span: float, rise: float) -> float:
    """Length [m] of a parabola over a span with a rise at its middle [m].

    L = s/2 + b²/(8h) asinh(4h/b), s = sqrt(b² + 16h²). Source: plane calculus, e.g. Weisstein, Parabolic
    Segment.
    """
    positive("span", span, "m")
    positive("rise", rise, "m")
    return math.hypot(span, 4 * rise) / 2 + span**2 / (8 * rise) * math.asinh(4 * rise / span)


def parabola_points(span: float, rise: float, count: int) -> FloatArray:
    """A parabola [m] as points, ends at (±span/2, 0), top at (0, rise)."""
    length = parabola_length(span, rise)
    slope = 8 * rise / span**2  # of dy/dx over x

    def along(x: FloatArray) -> FloatArray:
        """Distance from the left end to x + span/2."""
        u = slope * (x - span / 2)
        return length / 2 + (u * np.hypot(1, u) + np.arcsinh(u)) / (2 * slope)

    x = _parameters_at(along, lambda x: np.hypot(1, slope * (x - span / 2)), _even(count, length), span)
    x = x - span / 2
    return np.column_stack([x, rise - slope / 2 * x**2])


def helix_length(radius: float, pitch: float, turns: float) -> float:
    """Length [m] of a line wound round a column: turns sqrt((2 pi r)² + p²).

    radius [m]; pitch: rise a turn [m]; turns: need not be whole. Source: Apostol, Calculus I, 14.13.
    """
    positive("radius", radius, "m")
    not_negative("pitch", pitch, "m")
    positive("turns", turns, "")
    return turns * math.hypot(2 * math.pi * radius, pitch)


def helix_points(radius: float, pitch: float, turns: float, count: int) -> FloatArray:
    """A line wound round a column [m] as points across, in depth and up, (count, 3), from (radius, 0, 0)."""
    helix_length(radius, pitch, turns)
    turn = _even(count, turns)
    angle = 2 * math.pi * turn
    return np.column_stack([radius * np.cos(angle), radius * np.sin(angle), pitch * turn])


def _even(count: int, total: float) -> FloatArray:
    whole("count of points", count, 2, MOST_POINTS)
    return np.linspace(0.0, total, count)


def _parameters_at(
    length_to: Callable[[FloatArray], npt.NDArray[np.floating]],
    speed_at: Callable[[FloatArray], npt.NDArray[np.floating]],
    distances: FloatArray,
    last: float,
) -> FloatArray:
    """Parameters in [0, last] at which a curve has run the given distances.

    Newton's method held inside a shrinking bracket, so that it ends also where the speed is almost zero.
    """
    low, high = np.zeros_like(distances), np.full_like(distances, last)
    parameter: FloatArray = last * distances / distances[-1]
    for _ in range(100):
        error = length_to(parameter) - distances
        low, high = np.where(error < 0, parameter, low), np.where(error >= 0, parameter, high)
        newton = parameter - error / speed_at(parameter)
        better = np.where((newton >= low) & (newton <= high), newton, (low + high) / 2)
        moved = float(np.max(np.abs(better - parameter)))
        parameter = better
        if moved <= 1e-14 * last:
            break
    return parameter
