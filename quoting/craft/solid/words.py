"""Words as solids: the outlines of the product's own fonts, cut out of board or put on cloth."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Final

import numpy as np
from fontTools.pens.basePen import BasePen
from fontTools.ttLib import TTFont
from scipy.spatial import Delaunay

from quoting.craft.design.frames import Points, is_inside
from quoting.craft.design.letters import SLANT
from quoting.craft.solid.meshes import Mesh, Triangles, extruded, together

# Settings.
FOLDER: Final = Path(__file__).resolve().parents[3] / "studio" / "static" / "studio" / "pdf"
FILES: Final = {"serif": "fraunces-600.ttf", "sans": "figtree-650.ttf"}


@dataclass(frozen=True, slots=True)
class Steps:
    """How finely outlines are followed: steps of a curve, the longest step of a line in shares of the font's size."""

    curve: int
    longest: float


FINE, COARSE = Steps(6, 0.05), Steps(2, 0.3)
"""For pictures, and for models on a phone (settings)."""


def words_mesh(
    text: str, font: str, size_m: float, thick_m: float, *, slanted: bool = False, steps: Steps = FINE
) -> Mesh | None:
    """Words of a font size [m] and a thickness [m]: their middle at x = 0, their line at y = 0, their front at z = 0.

    Letters that the font lacks are left out; None where none is left.

    >>> mesh = words_mesh("six", "serif", 0.4, 0.01)
    >>> mesh is not None and 0.4 < float(np.ptp(mesh.places[:, 0])) < 0.8
    True
    """
    glyphs = list(_set_in_line(text, font, steps))
    if not any(rings for _, rings in glyphs):
        return None
    width = glyphs[-1][0] + _advance(text[-1], font)
    letters = [
        extruded(
            [_placed(ring, start - width / 2, slanted) * size_m for ring in rings], _filled(rings), thick_m
        )
        for start, rings in glyphs
        if rings
    ]
    return together(letters)


# Private


class _Outline(BasePen):  # type: ignore[misc] # fontTools has no types
    """Takes a glyph's curves as points."""

    def __init__(self, glyphs: object, steps: int) -> None:
        super().__init__(glyphs)
        self.steps = steps
        self.rings: list[list[tuple[float, float]]] = []

    def _moveTo(self, pt: tuple[float, float]) -> None:  # noqa: N802 # Names of fontTools.
        self.rings.append([pt])

    def _lineTo(self, pt: tuple[float, float]) -> None:  # noqa: N802
        self.rings[-1].append(pt)

    def _qCurveToOne(self, pt1: tuple[float, float], pt2: tuple[float, float]) -> None:  # noqa: N802
        start, turn, end = (np.array(point) for point in (self._getCurrentPoint(), pt1, pt2))
        for t in np.linspace(0, 1, self.steps + 1)[1:]:
            x, y = (1 - t) ** 2 * start + 2 * t * (1 - t) * turn + t**2 * end
            self.rings[-1].append((float(x), float(y)))


@cache
def _font(font: str) -> TTFont:
    return TTFont(FOLDER / FILES[font])


@cache
def _rings(letter: str, font: str, steps: Steps) -> tuple[Points, ...]:
    """The outlines of a letter in shares of the font's size; none where the font lacks it."""
    file = _font(font)
    name = file.getBestCmap().get(ord(letter))
    if name is None:
        return ()
    pen = _Outline(file.getGlyphSet(), steps.curve)
    file.getGlyphSet()[name].draw(pen)
    size = file["head"].unitsPerEm
    # Fonts draw their outlines clockwise; solids have them the other way round.
    rings = (np.array(ring[::-1]) / size for ring in pen.rings if len(ring) > 2)
    return tuple(_dense(_without_repeats(ring), steps.longest) for ring in rings)


@cache
def _advance(letter: str, font: str) -> float:
    file = _font(font)
    name = file.getBestCmap().get(ord(letter))
    return 0.0 if name is None else float(file["hmtx"][name][0]) / float(file["head"].unitsPerEm)


def _set_in_line(text: str, font: str, steps: Steps) -> Iterator[tuple[float, tuple[Points, ...]]]:
    """Where each letter begins, and its outlines."""
    start = 0.0
    for letter in text:
        yield start, _rings(letter, font, steps)
        start += _advance(letter, font)


def _placed(ring: Points, start: float, slanted: bool) -> Points:
    lean = SLANT * ring[:, 1] if slanted else 0.0
    return np.column_stack([ring[:, 0] + start + lean, ring[:, 1]])


def _without_repeats(ring: Points) -> Points:
    steps = np.hypot(*(ring - np.roll(ring, 1, axis=0)).T)
    return np.asarray(ring[steps > 1e-6])


def _dense(ring: Points, longest: float) -> Points:
    """With points so near each other that triangles don't cross an outline."""
    points: list[Points] = []
    for here, there in zip(ring, np.roll(ring, -1, axis=0), strict=True):
        count = max(1, int(np.ceil(np.hypot(*(there - here)) / longest)))
        points.append(here + np.outer(np.arange(count) / count, there - here))
    return np.concatenate(points)


def _filled(rings: Sequence[Points]) -> Triangles:
    """Triangles that fill the outlines of a letter; an outline that turns the other way cuts a hole."""
    points = np.concatenate(rings)
    faces = Delaunay(points).simplices
    middles = points[faces].mean(axis=1)
    wound = sum(_turn(ring) * is_inside(middles, ring).astype(int) for ring in rings)
    faces = faces[np.asarray(wound) != 0]
    a, b, c = (points[faces[:, k]] for k in range(3))
    turn = (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]
    faces[turn < 0] = faces[turn < 0][:, ::-1]
    return np.asarray(faces, dtype=np.int64)


def _turn(ring: Points) -> int:
    x, y = ring.T
    return 1 if float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) > 0 else -1
