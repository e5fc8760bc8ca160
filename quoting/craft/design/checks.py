"""Faults of a design that only show between its fields: sums, references, orders."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from typing import Final

import numpy as np

from quoting.craft.design.faults import Fault, FaultCode
from quoting.craft.design.prints import print_faults
from quoting.craft.design.records import (
    DRAWN,
    ZONED,
    Bouquet,
    Design,
    Frame,
    Garland,
    Leg,
    MixEntry,
    PaletteColour,
    Wall,
)
from quoting.craft.design.thing_checks import repeated, sized_faults, thing_faults, unknown_frame
from quoting.craft.design.things import DOUBLE_STUFFED

SHARE_TOLERANCE: Final = 1e-3  # setting: shares typed with three digits still add up to 1
# Settings: a slip of the finger beyond these.
LONGEST_POOL_M: Final = 30.0
SHORTEST_POOL_M: Final = 0.05
MOST_POINTS: Final = 200
LEAST_SPREAD_M: Final = 0.001
"""Root of the sum of squares of what points are off their middle, or off a line through it (setting)."""


def cross_faults(design: Design, *, may_be_empty: bool = False) -> list[Fault]:
    """List the faults that only show between fields: sums, references, orders. The list is empty where there is none.

    ``may_be_empty``: nothing to take off is no fault, as on the drawing table before the first thing is put there.

    >>> from dataclasses import replace
    >>> from quoting.craft.design.records import Design, Frame, PaletteColour
    >>> oat = PaletteColour(colour="oat", name="Oat", hex="#EFE6D6", share=0.5)
    >>> panel = Frame(id="one", shape="panel", item="panel", label="Panel", width_m=1.0, height_m=2.0)
    >>> [str(fault) for fault in cross_faults(Design(version=2, name="Half", palette=(oat,), frames=(panel,)))]
    ['palette: has shares that add up to 0.5; they must add up to 1 (within 0.001)']
    """
    shapes = {frame.id: frame.shape for frame in design.frames}
    colours = tuple(colour.colour for colour in design.palette)
    faults = _palette_faults(design.palette)
    faults += _repeated_ids(design)
    faults += repeated((f"images[{i}].digest", image.digest) for i, image in enumerate(design.images))
    for i, frame in enumerate(design.frames):
        faults += _frame_faults(frame, f"frames[{i}]")
    if is_empty(design) and not may_be_empty:
        faults.append(Fault(code=FaultCode.EMPTY_DESIGN, field="garlands"))
    for i, garland in enumerate(design.garlands):
        faults += _garland_faults(garland, f"garlands[{i}]", shapes)
        faults += _zone_faults(garland, f"garlands[{i}].zones", colours)
    for kind, pieces in _plain_pieces(design):
        for i, piece in enumerate(pieces):
            faults += sized_faults(piece.size_in, {"sized_m": piece.sized_m}, f"{kind}[{i}]")
    for i, wall in enumerate(design.walls):
        faults += _grid_faults(wall, f"walls[{i}]", len(design.palette))
    return faults + thing_faults(design)


def is_empty(design: Design) -> bool:
    """Tell whether there is nothing to take off."""
    classic = design.frames or design.garlands or design.walls or design.bouquets
    single = design.rounds or design.foils or design.props or design.sprays or design.signs
    return not (classic or single)


# Private


def _plain_pieces(design: Design) -> tuple[tuple[str, Sequence[Wall | Bouquet]], ...]:
    """Walls and bouquets, each kind with its name in the file."""
    return ("walls", design.walls), ("bouquets", design.bouquets)


def _repeated_ids(design: Design) -> list[Fault]:
    """Frames that share an id, and garlands, walls and bouquets that do."""
    frames = repeated((f"frames[{i}].id", frame.id) for i, frame in enumerate(design.frames))
    kinds = (("garlands", design.garlands), *_plain_pieces(design))
    return frames + repeated(
        (f"{kind}[{i}].id", piece.id) for kind, pieces in kinds for i, piece in enumerate(pieces)
    )


def _palette_faults(palette: Sequence[PaletteColour]) -> list[Fault]:
    faults = repeated((f"palette[{i}].colour", one.colour) for i, one in enumerate(palette))
    codes = {one.colour for one in palette}
    for i, one in enumerate(palette):
        faults += _inner_faults(one, f"palette[{i}]", codes)
    return faults + _total_faults(sum(one.share for one in palette), "palette")


def _inner_faults(colour: PaletteColour, path: str, codes: Set[str]) -> list[Fault]:
    """A double-stuffed round needs an inner colour, of the palette or with a name and a look of its own."""
    if colour.finish != DOUBLE_STUFFED:
        return []
    if not colour.inner:
        return [Fault(code=FaultCode.NO_INNER_COLOUR, field=f"{path}.inner")]
    known = colour.inner in codes or (colour.inner_name and colour.inner_hex)
    names = tuple(sorted(codes))
    unknown = Fault(
        code=FaultCode.UNKNOWN_COLOUR, field=f"{path}.inner", found=repr(colour.inner), names=names
    )
    return [] if known else [unknown]


def _grid_faults(wall: Wall, path: str, colours: int) -> list[Fault]:
    """A drawn wall needs its rows, all as long as the first, and each character the place of a colour."""
    if wall.pattern != DRAWN:
        return []
    if not wall.grid:
        return [Fault(code=FaultCode.NO_GRID, field=f"{path}.grid")]
    faults = []
    for i, row in enumerate(wall.grid):
        field, wide = f"{path}.grid[{i}]", len(wall.grid[0])
        if len(row) != wide:
            faults.append(
                Fault(code=FaultCode.WRONG_LENGTH, field=field, found=len(row), low=wide, high=wide)
            )
        if wrong := [mark for mark in row if int(mark, 16) >= colours]:
            names = tuple("0123456789abcdef"[:colours])
            faults.append(
                Fault(code=FaultCode.UNKNOWN_CHOICE, field=field, found=repr(wrong[0]), names=names)
            )
    return faults


def _total_faults(total: float, field: str) -> list[Fault]:
    if abs(total - 1) <= SHARE_TOLERANCE:
        return []
    return [Fault(code=FaultCode.SHARES_TOTAL, field=field, found=total, low=1.0, high=1.0)]


def _frame_faults(frame: Frame, path: str) -> list[Fault]:
    faults = []
    if frame.shape == "free":
        faults += _point_count_faults(frame.points, path) or _flat_faults(frame, path)
        faults += _outline_faults(frame, path)
    if frame.shape == "arch-top" and frame.height_m < frame.width_m / 2:
        code, least = FaultCode.ARCH_TOO_LOW, frame.width_m / 2
        faults.append(Fault(code=code, field=f"{path}.height_m", found=frame.height_m, low=least, high=8.0))
    span = abs(frame.end_deg - frame.start_deg)
    if frame.shape == "part-ring" and not 5 <= span <= 360:
        code = FaultCode.RING_SPAN
        faults.append(Fault(code=code, field=f"{path}.end_deg", found=span, low=5.0, high=360.0))
    return faults + print_faults(frame, path)


def _point_count_faults(points: Sequence[tuple[float, float]], path: str) -> list[Fault]:
    """A line needs two points at least."""
    count = len(points)
    if count >= 2:
        return []
    code = FaultCode.POINT_COUNT
    return [Fault(code=code, field=f"{path}.points", found=count, low=2, high=MOST_POINTS)]


def _flat_faults(frame: Frame, path: str) -> list[Fault]:
    """Points that make no line, or, of a frame that is filled or has bars, no face."""
    points = np.array(frame.points)
    long_m, wide_m = np.linalg.svd(points - points.mean(axis=0), compute_uv=False)
    if long_m < LEAST_SPREAD_M:
        return [Fault(code=FaultCode.OUTLINE_IN_A_POINT, field=f"{path}.points")]
    if wide_m < LEAST_SPREAD_M and (frame.is_filled or frame.filling != "none"):
        return [Fault(code=FaultCode.NO_FACE, field=f"{path}.points")]
    return []


def _outline_faults(frame: Frame, path: str) -> list[Fault]:
    """Points of a free outline far outside the width and height that the frame says it has; a handle may stand out."""
    wide, high, slack = frame.width_m, 1.5 * frame.height_m, 1e-6
    bounds = ((-wide, wide), (0.0, high))
    return [
        Fault(
            code=FaultCode.POINT_OUTSIDE_FRAME,
            field=f"{path}.points[{i}][{axis}]",
            found=value,
            low=low,
            high=most,
        )
        for i, point in enumerate(frame.points)
        for axis, (value, (low, most)) in enumerate(zip(point, bounds, strict=True))
        if not low - slack <= value <= most + slack
    ]


def _garland_faults(garland: Garland, path: str, shapes: Mapping[str, str]) -> list[Fault]:
    faults = []
    for i, leg in enumerate(garland.route):
        neighbours = [garland.route[k] for k in (i - 1, i + 1) if 0 <= k < len(garland.route)]
        between = len(neighbours) == 2 and all(one.kind != "hang" or one.points for one in neighbours)
        faults += _leg_faults(leg, f"{path}.route[{i}]", shapes, first=i == 0, between=between)
        if leg.kind == "along" and shapes.get(leg.frame) == "column" and garland.work == "organic":
            faults.append(Fault(code=FaultCode.COLUMN_NEEDS_WINDING, field=f"{path}.route[{i}].kind"))
    faults += _mix_faults(garland, f"{path}.mix")
    faults += _profile_faults(garland.profile, f"{path}.profile")
    return faults + _tie_faults(garland.ties, f"{path}.ties")


def _leg_faults(leg: Leg, path: str, shapes: Mapping[str, str], *, first: bool, between: bool) -> list[Fault]:
    if leg.kind in ("along", "wind"):
        return _followed_faults(leg, path, shapes)
    if leg.kind == "through":
        return _point_count_faults(leg.points, path) + _depth_faults(leg, path)
    points = len(leg.points)
    faults = []
    if leg.kind == "hang" and points not in ((0, 2) if between else (2,)):
        faults.append(Fault(code=FaultCode.HANG_POINTS, field=f"{path}.points", found=points))
    if leg.kind == "pool" and not leg.length_m > SHORTEST_POOL_M:
        code, low, high = FaultCode.POOL_TOO_SHORT, SHORTEST_POOL_M, LONGEST_POOL_M
        faults.append(Fault(code=code, field=f"{path}.length_m", found=leg.length_m, low=low, high=high))
    if leg.kind == "pool" and first and points != 1:
        faults.append(Fault(code=FaultCode.POOL_START, field=f"{path}.points", found=points))
    return faults


def _depth_faults(leg: Leg, path: str) -> list[Fault]:
    """Depths are as many as points, or none."""
    found, points = len(leg.depths), len(leg.points)
    if found in (0, points):
        return []
    return [Fault(code=FaultCode.DEPTH_COUNT, field=f"{path}.depths", found=found, low=0, high=points)]


def _followed_faults(leg: Leg, path: str, shapes: Mapping[str, str]) -> list[Fault]:
    """Faults of a leg that runs along a frame or winds round it."""
    faults = []
    if leg.frame not in shapes:
        faults.append(unknown_frame(leg.frame, f"{path}.frame", shapes))
    if leg.start == leg.end:
        faults.append(Fault(code=FaultCode.NO_STRETCH, field=f"{path}.end", found=leg.end))
    return faults


def _mix_faults(garland: Garland, path: str) -> list[Fault]:
    faults = []
    for i, entry in enumerate(garland.mix):
        faults += _entry_faults(entry, f"{path}[{i}]")
    if any(entry.role == "body" for entry in garland.mix):
        faults += _total_faults(
            sum(entry.share for entry in garland.mix if entry.role in ("body", "round")), path
        )
    else:
        faults.append(Fault(code=FaultCode.NO_BODY_SIZE, field=path))
    if garland.work == "classic" and len(garland.mix) != 1:
        faults.append(Fault(code=FaultCode.ONE_SIZE_ONLY, field=path, found=len(garland.mix)))
    return faults


def _entry_faults(entry: MixEntry, path: str) -> list[Fault]:
    low, high = entry.sized_low_m, entry.sized_high_m
    faults = []
    if low > high:
        faults.append(Fault(code=FaultCode.SIZED_ORDER, field=f"{path}.sized_low_m", found=low, high=high))
    return faults + sized_faults(entry.size_in, {"sized_low_m": low, "sized_high_m": high}, path)


def _profile_faults(profile: tuple[tuple[float, float], ...], path: str) -> list[Fault]:
    faults = []
    for i, (fraction, factor) in enumerate(profile):
        faults += _range_faults(fraction, f"{path}[{i}][0]", 0.0, 1.0)
        faults += _range_faults(factor, f"{path}[{i}][1]", 0.5, 1.8)
        before = profile[i - 1][0] if i else -1.0
        if i and fraction <= before:
            code, field = FaultCode.PROFILE_ORDER, f"{path}[{i}][0]"
            faults.append(Fault(code=code, field=field, found=fraction, low=before))
    return faults


def _zone_faults(garland: Garland, path: str, colours: Sequence[str]) -> list[Fault]:
    """Zones need colours of the palette and add up to the whole; a garland in zones needs some."""
    if not garland.zones:
        return [Fault(code=FaultCode.NO_ZONES, field=path)] if garland.pattern == ZONED else []
    unknown = [
        Fault(
            code=FaultCode.UNKNOWN_COLOUR,
            field=f"{path}[{i}].colour",
            found=repr(zone.colour),
            names=tuple(colours),
        )
        for i, zone in enumerate(garland.zones)
        if zone.colour not in colours
    ]
    return unknown + _total_faults(sum(zone.share for zone in garland.zones), path)


def _tie_faults(ties: Sequence[float], path: str) -> list[Fault]:
    """Ties that don't come after the one before."""
    return [
        Fault(code=FaultCode.PROFILE_ORDER, field=f"{path}[{i}]", found=ties[i], low=ties[i - 1])
        for i in range(1, len(ties))
        if ties[i] <= ties[i - 1]
    ]


def _range_faults(value: float, field: str, low: float, high: float) -> list[Fault]:
    if low <= value <= high:
        return []
    return [Fault(code=FaultCode.OUT_OF_RANGE, field=field, found=value, low=low, high=high)]
