"""Outlines of frames in the wall plane: points, exact lengths, areas, and what lies inside."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from quoting.craft.design.records import Frame
from quoting.craft.geometry.elliptic import complete_e

Points = NDArray[np.float64]
Corners = tuple[tuple[float, float], ...]
# Settings of the drawing.
MOST_FREE_STEPS = 1600  # steps of a free outline, however often it goes to and fro
OUTLINE_STEPS = 160  # steps of the line for the width and height of the frame together


@dataclass(frozen=True, slots=True)
class Outline:
    """The outline of one frame as a fine polyline.

    ``points`` [m], shape (n, 2), in the wall plane; ``along`` [m], shape (n,): length from the start;
    ``closed``. An open outline begins at the viewer's left foot. A ring or a polygon begins at its lowest
    point, in the middle, and runs clockwise (left, top, right), as seen by the viewer.
    """

    points: Points
    along: NDArray[np.float64]
    closed: bool

    @property
    def length_m(self) -> float:
        return float(self.along[-1])

    def at(self, fraction: NDArray[np.float64]) -> Points:
        """Points at fractions 0 to 1 of the outline's length."""
        s = np.asarray(fraction) * self.along[-1]
        return np.column_stack([np.interp(s, self.along, self.points[:, k]) for k in (0, 1)])


def outline(frame: Frame) -> Outline:
    """Draw the outline of ``frame``, at steps of about a 160th of its width and height together.

    >>> ring = Frame(id="ring", shape="ring", item="ring", label="Ring", width_m=2.0, height_m=2.0)
    >>> line = outline(ring)
    >>> line.closed, line.points[0].round(3).tolist(), round(line.length_m, 2)
    (True, [0.0, 0.0], 6.28)
    """
    corners = regular_corners(frame.sides) if frame.shape == "polygon" else frame.points
    points, along = _at_origin(
        frame.shape, frame.width_m, frame.height_m, frame.start_deg, frame.end_deg, corners, frame.turned
    )
    closed = frame.shape in ("ring", "polygon")
    return Outline(points + np.array([frame.x_m, frame.base_m]), along, closed)


def regular_corners(sides: int) -> Corners:
    """Give the corners of a regular polygon that stands on a side, fitted into a box of 1 by 1 about (0, 0.5).

    It begins and ends in the middle of its lowest side and runs clockwise as the viewer sees it.

    >>> [(round(x, 3), round(y, 3)) for x, y in regular_corners(4)]
    [(0.0, 0.0), (-0.5, 0.0), (-0.5, 1.0), (0.5, 1.0), (0.5, 0.0), (0.0, 0.0)]
    """
    turn = -math.pi / 2 - math.pi / sides * (1 + 2 * np.arange(sides))
    corners = np.column_stack([np.cos(turn), np.sin(turn)])
    low, size = corners.min(axis=0), np.ptp(corners, axis=0)
    fitted = (corners - low) / size - np.array([0.5, 0.0])
    return ((0.0, 0.0), *((float(x), float(y)) for x, y in fitted), (0.0, 0.0))


def outline_length_m(frame: Frame) -> float:
    """Give the exact length of the tube [m].

    Legs plus semicircle for an arch-top; the complete elliptic integral for rings and half-arches that are
    not circular (perimeter 4 a E(m), m = 1 - b^2/a^2).

    >>> arch = Frame(id="a", shape="arch-top", item="arch", label="Arch", width_m=1.0, height_m=2.0)
    >>> round(outline_length_m(arch), 4)
    4.5708
    """
    w, h = frame.width_m, frame.height_m
    if frame.shape == "arch-top":
        return 2 * (h - w / 2) + math.pi * w / 2
    if frame.shape in ("rectangle", "panel"):
        return 2 * h + w
    if frame.shape == "ring":
        return _ellipse_perimeter(w / 2, h / 2)
    if frame.shape == "half-arch":
        return h + _ellipse_perimeter(w, h) / 4
    if frame.shape == "column":
        return h
    return outline(frame).length_m


def outline_middle_m(frame: Frame) -> float:
    """Give the height above the floor of the middle of the tube [m], every metre of it weighing alike.

    >>> gate = Frame(id="g", shape="rectangle", item="gate", label="Gate", width_m=2.0, height_m=2.0)
    >>> round(outline_middle_m(gate), 4)
    1.3333
    """
    line = outline(frame)
    heights = (line.points[1:, 1] + line.points[:-1, 1]) / 2
    return float(np.dot(heights, np.diff(line.along)) / line.length_m)


def face(frame: Frame) -> Points:
    """Draw the closed outline of the face [m], shape (n, 2): what a cover or a board fills.

    >>> board = Frame(id="b", shape="panel", item="board", label="Board", width_m=1.0, height_m=2.0)
    >>> face(board).max(axis=0).tolist()
    [0.5, 2.0]
    """
    if frame.shape == "column":
        w, h = frame.width_m, frame.height_m
        corners = np.array([(-w / 2, 0), (-w / 2, h), (w / 2, h), (w / 2, 0)])
        return np.asarray(corners + np.array([frame.x_m, frame.base_m]))
    return outline(frame).points


def is_inside(points: Points, polygon: Points) -> NDArray[np.bool_]:
    """Tell whether points [m], shape (n, 2), lie within a polygon, shape (m, 2), by the even-odd rule; gives (n,).

    >>> square = np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)])
    >>> is_inside(np.array([(0.5, 0.5), (1.5, 0.5)]), square)
    array([ True, False])
    """
    return Edges.of(polygon).around(points)


@dataclass(frozen=True, slots=True)
class Edges:
    """The edges of a polygon by their lower and upper ends and what they lean, to ask for many points in turn."""

    low: Points
    high: Points
    x: Points
    y: Points
    lean: Points

    @classmethod
    def of(cls, polygon: Points) -> Edges:
        x, y = polygon[:, 0], polygon[:, 1]
        onward, up = np.roll(x, -1) - x, np.roll(y, -1) - y
        steep = up != 0
        x, y, onward, up = x[steep], y[steep], onward[steep], up[steep]
        return cls(np.minimum(y, y + up), np.maximum(y, y + up), x, y, onward / up)

    def around(self, points: Points) -> NDArray[np.bool_]:
        """Tell whether points [m], shape (n, 2), lie within; gives (n,)."""
        x, y = points[:, 0][:, None], points[:, 1][:, None]
        straddles = (self.low <= y) & (self.high > y)
        crossing = straddles & (x < self.lean * (y - self.y) + self.x)
        return np.asarray(np.count_nonzero(crossing, axis=1) % 2 == 1)


# Private


@lru_cache(maxsize=128)
def _at_origin(
    shape: str, w: float, h: float, start_deg: float, end_deg: float, corners: Corners, turned: bool
) -> tuple[Points, NDArray[np.float64]]:
    """Points of an outline that stands at 0, 0, and the length from its start. They are kept, because frames are moved
    more often than changed."""
    step = (w + h) / OUTLINE_STEPS
    shapes = {
        "arch-top": lambda: _arch_top(w, h, step),
        "rectangle": lambda: _corners([(-w / 2, 0), (-w / 2, h), (w / 2, h), (w / 2, 0)], step),
        "panel": lambda: _corners([(-w / 2, 0), (-w / 2, h), (w / 2, h), (w / 2, 0)], step),
        "ring": lambda: _ring(w, h, 0.0, 360.0, step),
        "part-ring": lambda: _ring(w, h, start_deg, end_deg, step),
        "half-arch": lambda: _half_arch(w, h, step),
        "column": lambda: _corners([(0.0, 0.0), (0.0, h)], step),
        "polygon": lambda: _corners([(x * w, y * h) for x, y in corners], step),
        "free": lambda: _corners(list(corners), max(step, _run(corners) / MOST_FREE_STEPS)),
    }
    points = shapes[shape]()
    if turned:
        points = points * np.array([-1.0, 1.0])
    steps = np.hypot(*np.diff(points, axis=0).T)
    points = points[np.concatenate([[True], steps > 1e-9])]
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    points.setflags(write=False)
    along.setflags(write=False)
    return points, along


def _run(corners: Corners) -> float:
    return sum(math.dist(a, b) for a, b in pairwise(corners))


def _line(a: tuple[float, float], b: tuple[float, float], step: float) -> Points:
    n = max(2, math.ceil(math.dist(a, b) / step) + 1)
    return np.linspace(a, b, n)


def _corners(corners: list[tuple[float, float]], step: float) -> Points:
    return np.concatenate([_line(a, b, step) for a, b in pairwise(corners)])


def _arc(cx: float, cy: float, rx: float, ry: float, start: float, end: float, step: float) -> Points:
    n = max(9, math.ceil(abs(end - start) * max(rx, ry) / step) + 1)
    t = np.linspace(start, end, n)
    return np.column_stack([cx + rx * np.cos(t), cy + ry * np.sin(t)])


def _arch_top(w: float, h: float, step: float) -> Points:
    r = w / 2
    legs = h - r
    top = _arc(0.0, legs, r, r, math.pi, 0.0, step)
    if legs < 1e-9:
        return top
    return np.concatenate([_line((-r, 0.0), (-r, legs), step), top, _line((r, legs), (r, 0.0), step)])


def _ring(w: float, h: float, start_deg: float, end_deg: float, step: float) -> Points:
    start, end = (-math.pi / 2 - math.radians(deg) for deg in (start_deg, end_deg))
    return _arc(0.0, h / 2, w / 2, h / 2, start, end, step)


def _half_arch(w: float, h: float, step: float) -> Points:
    upright = _line((-w / 2, 0.0), (-w / 2, h), step)
    return np.concatenate([upright, _arc(-w / 2, 0.0, w, h, math.pi / 2, 0.0, step)])


def _ellipse_perimeter(a: float, b: float) -> float:
    a, b = max(a, b), min(a, b)
    return float(4 * a * complete_e(1 - (b / a) ** 2))
