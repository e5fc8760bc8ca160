"""Where frames stand: two of them can't stand in one place."""

from __future__ import annotations

from itertools import combinations
from typing import Final

import numpy as np
from scipy.spatial import cKDTree

from quoting.craft.design.faults import Fault, FaultCode
from quoting.craft.design.frames import outline
from quoting.craft.design.records import Design, Frame
from studio.trade.ranges import FloatArray

TOUCHING: Final = 1e-6  # setting: nearer than this is no overlap
"""Tubes that just touch stand side by side."""


def frame_place_faults(design: Design) -> list[Fault]:
    """List the frames that stand where another one does: their tubes run through each other.

    These are faults of a change or of a new file: a design that was kept before still reads.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from dataclasses import replace
    >>> design = load_design(STARTERS / "classic-arch.json")
    >>> twice = replace(design, frames=(*design.frames, replace(design.frames[0], id="again")))
    >>> [(fault.code.value, fault.field) for fault in frame_place_faults(twice)]
    [('frames-in-one-place', 'frames[1].z_m')]
    """
    return [
        Fault(
            code=FaultCode.FRAMES_IN_ONE_PLACE,
            field=f"frames[{k}].z_m",
            found=first.label,
            low=_reach_m(first) + _reach_m(second),
        )
        for (_, first), (k, second) in combinations(enumerate(design.frames), 2)
        if _in_one_place(first, second)
    ]


# Private


def _reach_m(frame: Frame) -> float:
    """Half of what the tube, or the whole column, takes up to either side of its line."""
    return (frame.width_m if frame.shape == "column" else frame.tube_m) / 2


def _in_one_place(first: Frame, second: Frame) -> bool:
    apart = abs(first.z_m - second.z_m)
    reach = _reach_m(first) + _reach_m(second)
    if apart >= reach - TOUCHING:
        return False
    one, other = outline(first).points, outline(second).points
    if _beside(one, other) >= reach:
        return False
    near, _ = cKDTree(_dense(one, reach)).query(_dense(other, reach))
    return bool(np.hypot(np.min(near), apart) < reach - TOUCHING)


def _beside(one: FloatArray, other: FloatArray) -> float:
    """How far the boxes around two lines are apart [m]; no point of one is nearer to the other line."""
    gaps = np.maximum(one.min(axis=0) - other.max(axis=0), other.min(axis=0) - one.max(axis=0))
    return float(np.hypot(*np.maximum(gaps, 0.0)))


def _dense(points: FloatArray, step: float) -> FloatArray:
    """The line with a point at least every quarter of ``step``, so that none passes between two of the other's."""
    parts = np.maximum(np.ceil(np.hypot(*np.diff(points, axis=0).T) / (step / 4)).astype(int), 1)
    first = np.cumsum(parts) - parts
    share = (np.arange(parts.sum()) - np.repeat(first, parts)) / np.repeat(parts, parts)
    at = np.concatenate([np.repeat(np.arange(len(parts)), parts) + share, [len(points) - 1]])
    whole = np.arange(len(points))
    return np.column_stack([np.interp(at, whole, points[:, 0]), np.interp(at, whole, points[:, 1])])
