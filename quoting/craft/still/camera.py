"""Where the eye stands for a still, and where on the picture a point is seen.

Metres; x right, y up, z towards the viewer, as in the design.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from studio.trade.ranges import FloatArray

# Settings of the picture.
OPENING_DEG: Final = 26.0
"""Of the picture's shorter side: that of a short telephoto lens, so that straight things stay straight."""
EYE_M: Final = 1.45
"""Above the floor: what hangs is looked up to."""
MARGIN: Final = 1.12
"""How much wider the picture is than the piece."""
FLOOR_SHARE: Final = 0.05
"""How much lower than the piece's middle it looks, of the piece's height: the floor belongs to the picture."""
MOST_FLOOR: Final = 0.42
"""Of the picture's lower half, what lies under the piece at most."""
EDGE: Final = 4
"""Pixels on each side that are rendered and cut off: the denoiser doesn't see past the edge."""
NEAREST_M: Final = 1.5
STEP: Final = 1.02
"""How much further back each try stands."""


@dataclass(frozen=True, slots=True)
class Camera:
    """An eye and the point that it looks at [m], with the opening of the picture's shorter side [deg]."""

    eye: tuple[float, float, float]
    aim: tuple[float, float, float]
    opening_deg: float = OPENING_DEG

    def seen_at(self, point: FloatArray) -> FloatArray:
        """Where a point is seen: right and up from the middle, as shares of half the picture's shorter side.

        >>> camera = Camera(eye=(0.0, 1.0, 4.0), aim=(0.0, 1.0, 0.0), opening_deg=90.0)
        >>> camera.seen_at(np.array([2.0, 1.0, 0.0])).round(6).tolist()
        [0.5, 0.0]
        """
        ahead, right, up = self._axes()
        away = point - np.array(self.eye)
        depth = float(away @ ahead)
        half = depth * math.tan(math.radians(self.opening_deg) / 2)
        return np.array([float(away @ right) / half, float(away @ up) / half])

    @property
    def ahead(self) -> FloatArray:
        """The way that it looks, as a unit vector."""
        return self._axes()[0]

    def away_m(self, point: FloatArray) -> float:
        """How far before the eye a point is [m], along the way that it looks."""
        return float((point - np.array(self.eye)) @ self.ahead)

    def half_width_m(self, z: float, aspect: float) -> float:
        """Half of the width that is seen at a wall at ``z`` [m], in a picture so many times as wide as high."""
        depth = self.away_m(np.array([self.aim[0], self.aim[1], z]))
        return depth * math.tan(math.radians(self.opening_deg) / 2) * max(aspect, 1.0)

    def _axes(self) -> tuple[FloatArray, FloatArray, FloatArray]:
        ahead = np.array(self.aim) - np.array(self.eye)
        ahead /= np.linalg.norm(ahead)
        right = np.cross(ahead, [0.0, 1.0, 0.0])
        right /= np.linalg.norm(right)
        return ahead, right, np.cross(right, ahead)


def camera_before(low: FloatArray, high: FloatArray, *, turn_deg: float, aspect: float) -> Camera:
    """Stand so far before the box from ``low`` to ``high`` [m] that all of it is seen with a margin.

    ``turn_deg``: from how far on the right of the viewer's place the piece is looked at.
    """
    middle = (low + high) / 2
    turn = math.radians(turn_deg)
    way = np.array([math.sin(turn), 0.0, math.cos(turn)])
    aim = middle - np.array([0.0, FLOOR_SHARE * (high[1] - low[1]), 0.0])
    corners = np.array(
        [[x, y, z] for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2])]
    )
    away = NEAREST_M
    while not _sees(
        camera := _standing(_raised(aim, float(low[1]), away, aspect), way, away), corners, aspect
    ):
        away *= STEP
    return camera


# Private


def _raised(aim: FloatArray, lowest: float, away: float, aspect: float) -> FloatArray:
    """Where it looks, so high that there isn't much floor before what is wide and low."""
    half = away * math.tan(math.radians(OPENING_DEG) / 2) * max(1 / aspect, 1.0)
    return np.array([aim[0], max(float(aim[1]), lowest + (1 - MOST_FLOOR) * half), aim[2]])


def _standing(aim: FloatArray, way: FloatArray, away: float) -> Camera:
    place = aim + away * way
    eye = (float(place[0]), EYE_M, float(place[2]))
    return Camera(eye, (float(aim[0]), float(aim[1]), float(aim[2])))


def _sees(camera: Camera, corners: FloatArray, aspect: float) -> bool:
    """Whether all corners lie before the eye and within the picture less its margin."""
    ahead = np.array(camera.aim) - np.array(camera.eye)
    if ((corners - np.array(camera.eye)) @ ahead <= 0).any():
        return False
    half = np.array([max(aspect, 1.0), max(1 / aspect, 1.0)]) / MARGIN
    return all((np.abs(camera.seen_at(corner)) <= half).all() for corner in corners)
