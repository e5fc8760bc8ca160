"""Confetti as it lies in a clear balloon: discs of paper that cling to the skin, most of them low."""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import numpy as np

from quoting.craft.solid.meshes import Mesh

# Settings of the look, by eye.
COUNT: Final = 120
RADIUS: Final = 0.08
"""Of a disc, in radii of the balloon."""
CORNERS: Final = 7
NEAR_THE_SKIN: Final = 0.965
LOW: Final = 0.35
"""How much more of them lie towards the neck."""


@lru_cache(maxsize=1)
def flecks() -> Mesh:
    """Discs within a balloon of radius 1 about the origin, its neck pointing down.

    >>> mesh = flecks()
    >>> bool(np.linalg.norm(mesh.places, axis=1).max() < 1.0)
    True
    """
    chance = np.random.default_rng(23)
    out = chance.normal(size=(COUNT, 3)) - np.array([0.0, LOW, 0.0])
    out /= np.linalg.norm(out, axis=1, keepdims=True)
    aside = np.cross(out, chance.normal(size=(COUNT, 3)))
    aside /= np.linalg.norm(aside, axis=1, keepdims=True)
    other = np.cross(out, aside)
    turn = np.linspace(0, 2 * np.pi, CORNERS, endpoint=False)
    rim = np.cos(turn)[None, :, None] * aside[:, None] + np.sin(turn)[None, :, None] * other[:, None]
    places = (NEAR_THE_SKIN * out[:, None] + RADIUS * rim).reshape(-1, 3)
    fan = np.array([[0, k, k + 1] for k in range(1, CORNERS - 1)])
    faces = (CORNERS * np.arange(COUNT)[:, None, None] + fan).reshape(-1, 3)
    return Mesh(places, np.repeat(out, CORNERS, axis=0), faces)
