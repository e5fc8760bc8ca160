"""The colours of a picture and their shares, and how far one set of colours is from another.

A photo is not the thing: light and camera shift its colours. What is found here is where a talk about colours starts.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.cluster.vq import kmeans2
from scipy.ndimage import median_filter
from scipy.optimize import linprog

from studio.trade.colour import lab_from_srgb, srgb_from_hex, triples
from studio.trade.colour_difference import ciede2000
from studio.trade.errors import CraftError
from studio.trade.ranges import FloatArray

Marks = NDArray[np.int64]

LIGHTNESS_WEIGHT: Final = 0.55
"""A round balloon is lighter above than below: lightness tells colours apart less than hue does (setting)."""
FIRST_GROUPS: Final = 14  # setting
ONE_COLOUR: Final = 7.0
"""Groups nearer than this (CIEDE2000) are taken as one colour (setting)."""
LEAST_SHARE: Final = 0.015
"""A smaller part of the picture is a highlight or a seam (setting)."""
MOST_COLOURS: Final = 8  # setting
EDGE: Final = 0.04
"""How much of the picture at its four sides counts as its edge (setting)."""
AT_THE_EDGE: Final = 0.12
"""A colour that takes this share of the edge, and more of it than of the picture, is behind the piece (setting)."""
SEED: Final = 11  # setting


@dataclass(frozen=True, slots=True)
class PictureColour:
    """A colour of a picture: sRGB code, share of the picture (0 to 1), and whether it seems to lie behind the piece."""

    hex: str
    share: float
    is_behind: bool


@dataclass(frozen=True, slots=True)
class PictureColours:
    """The colours of a picture, the largest first, and the width of what stands before its ground over its height."""

    colours: tuple[PictureColour, ...]
    proportion: float


def picture_colours(srgb: FloatArray) -> PictureColours:
    """Find the colours of a picture, given as sRGB from 0 to 1, shape (height, width, 3).

    Pixels are grouped by colour (k-means in L*a*b*), groups that look alike are joined. The same picture gives the
    same colours. CraftError where it is smaller than 8 by 8.

    >>> picture = np.ones((40, 40, 3)) * srgb_from_hex("#F4EFE6")
    >>> picture[10:30, 15:25] = srgb_from_hex("#A4553F")
    >>> [(one.hex, round(one.share, 2), one.is_behind) for one in picture_colours(picture).colours]
    [('#f4efe6', 0.88, True), ('#a4553f', 0.12, False)]
    """
    height, width = srgb.shape[:2]
    if min(height, width) < 8:
        raise CraftError(f"picture is {width} by {height} pixels; it must be at least 8 by 8.")
    pixels = median_filter(triples("picture", srgb), size=(3, 3, 1)).reshape(-1, 3)  # noise and seams go
    lab = lab_from_srgb(pixels)
    marks = _joined(lab, _grouped(lab))
    edge = _edge(height, width).ravel()
    found = [_colour(pixels, lab, marks, mark, edge) for mark in np.unique(marks)]
    kept = sorted(
        ((mark, one) for mark, one in zip(np.unique(marks), found, strict=True) if one.share >= LEAST_SHARE),
        key=lambda pair: -pair[1].share,
    )[:MOST_COLOURS]
    before = np.isin(marks, [mark for mark, one in kept if not one.is_behind]).reshape(height, width)
    return PictureColours(tuple(one for _, one in kept), _proportion(before))


def palette_distance(first: Sequence[tuple[str, float]], second: Sequence[tuple[str, float]]) -> float:
    """Say how far one palette is from another: the CIEDE2000 difference that is left when every colour of the one is
    laid upon colours of the other, share by share, at the least cost (earth mover's distance).

    Each palette lists sRGB codes and shares, which are taken in proportion. CraftError where one is empty.

    >>> palette_distance([("#EFE6D6", 1.0)], [("#EFE6D6", 0.5), ("#EFE6D6", 0.5)])
    0.0
    """
    if not first or not second or not sum(share for _, share in first) or not sum(s for _, s in second):
        raise CraftError("a palette is empty; each needs one colour at least.")
    give, take = (_in_proportion(palette) for palette in (first, second))
    here, there = (
        np.array([lab_from_srgb(srgb_from_hex(code)) for code, _ in one]) for one in (first, second)
    )
    cost = ciede2000(here[:, None], there[None])
    rows = np.kron(np.eye(len(give)), np.ones(len(take)))
    columns = np.kron(np.ones(len(give)), np.eye(len(take)))
    moved = linprog(cost.ravel(), A_eq=np.vstack([rows, columns]), b_eq=np.concatenate([give, take]))
    assert moved.fun is not None, "every share can be laid somewhere"
    return round(float(moved.fun), 6) + 0.0


# Private


def _in_proportion(palette: Sequence[tuple[str, float]]) -> FloatArray:
    shares = np.array([share for _, share in palette], dtype=np.float64)
    return np.asarray(shares / shares.sum())


def _grouped(lab: FloatArray) -> Marks:
    spread = lab * np.array([LIGHTNESS_WEIGHT, 1.0, 1.0])
    unlike = len(np.unique(spread.round(1), axis=0))
    _, marks = kmeans2(spread, min(FIRST_GROUPS, unlike), minit="++", seed=SEED, missing="warn")
    return np.asarray(marks, dtype=np.int64)


def _joined(lab: FloatArray, marks: Marks) -> Marks:
    """The groups with the nearest two joined, again and again, until all look different."""
    marks = marks.copy()
    while len(names := np.unique(marks)) > 1:
        means = np.array([lab[marks == name].mean(axis=0) for name in names])
        apart = ciede2000(means[:, None], means[None]) + np.diag(np.full(len(names), np.inf))
        one, other = np.unravel_index(int(apart.argmin()), apart.shape)
        if apart[one, other] >= ONE_COLOUR:
            break
        marks[marks == names[other]] = names[one]
    return marks


def _edge(height: int, width: int) -> NDArray[np.bool_]:
    deep = max(1, math.ceil(EDGE * min(height, width)))
    edge = np.ones((height, width), dtype=np.bool_)
    edge[deep:-deep, deep:-deep] = False
    return edge


def _colour(
    pixels: FloatArray, lab: FloatArray, marks: Marks, mark: int, edge: NDArray[np.bool_]
) -> PictureColour:
    """The colour of a group: that of its pixel nearest to the middle of all, so that it is one of the picture."""
    mine = marks == mark
    middle = np.median(lab[mine], axis=0)
    nearest = pixels[mine][int(((lab[mine] - middle) ** 2).sum(axis=1).argmin())]
    share, at_edge = float(mine.mean()), float(mine[edge].mean())
    code = "#" + "".join(f"{round(255 * value):02x}" for value in nearest)
    return PictureColour(code, share, at_edge >= AT_THE_EDGE and at_edge > share)


def _proportion(before: NDArray[np.bool_]) -> float:
    """Width over height of what stands before the ground; that of the picture where nothing or all of it does."""
    height, width = before.shape
    if not before.any() or before.all():
        return float(width) / float(height)
    down, across = np.nonzero(before)
    high, wide = (np.ptp(np.quantile(at, (0.02, 0.98))) + 1 for at in (down, across))
    return float(wide) / float(high)
