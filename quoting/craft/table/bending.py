"""A frame bent by hand: corners of its free outline moved, added and taken out."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.frames import outline
from quoting.craft.design.records import Design, Frame, Leg
from quoting.craft.design.schema import a_number, a_text, a_whole
from quoting.craft.table.acted import Acted, Said, SaidCode
from quoting.craft.table.shelf import Shelf
from quoting.craft.table.things import Thing, find_thing, not_for_this, ref_of, with_thing
from studio.trade.ranges import FloatArray

FRAME = "reference of a frame with a free outline, frame:id"
LEAST_CORNERS: Final = 2  # exact: a line has two ends
MOST_CORNERS: Final = 40  # by hand; a file may hold more (setting)
LEAST_SIDE_M = 0.05  # between two corners (setting)
LEAST_HEIGHT_M, LEAST_WIDTH_M = 0.1, 0.02  # of a frame (setting of the format)
Place = tuple[float, float]


def corners_of(thing: Thing) -> tuple[Place, ...]:
    """The corners of a free outline in the room [m], from its beginning; none of anything else.

    >>> bent = Frame(id="b", shape="free", item="b", label="Bent", width_m=1, height_m=2, x_m=0.5, base_m=0.1,
    ...     points=((-0.5, 0.0), (0.0, 2.0), (0.5, 0.0)))
    >>> corners_of(bent)
    ((0.0, 0.1), (0.5, 2.1), (1.0, 0.1))
    """
    if not isinstance(thing, Frame) or thing.shape != "free":
        return ()
    side = -1.0 if thing.turned else 1.0
    return tuple((round(thing.x_m + side * x, 4), round(thing.base_m + y, 4)) for x, y in thing.points)


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveCorner:
    """Move a corner of a free outline; the others stay where they are."""

    thing: str = a_text(FRAME)
    index: int = a_whole(0, 200, "number of the corner, from the outline's beginning")
    x_m: float = a_number(-30, 30, "where it goes [m]")
    y_m: float = a_number(-15, 15, "where it goes, above the floor [m]")

    def on(self, design: Design, _shelf: Shelf) -> Acted:
        frame, corners = _bent(design, self.thing)
        _refuse_index(self.index, len(corners) - 1)
        moved = _with_corner(corners, self.index, (self.x_m, max(self.y_m, 0.0)), instead=True)
        return _rebent(design, frame, moved, range(len(corners)), SaidCode.CORNER_MOVED)


@dataclass(frozen=True, slots=True, kw_only=True)
class AddCorner:
    """Add a corner to a free outline after another one: at a place, else half way to the next."""

    thing: str = a_text(FRAME)
    index: int = a_whole(0, 200, "number of the corner before it, from the outline's beginning")
    x_m: float | None = a_number(-30, 30, "where it goes [m]; none: half way", None, optional=True)
    y_m: float | None = a_number(-15, 15, "where it goes, above the floor [m]", None, optional=True)

    def on(self, design: Design, _shelf: Shelf) -> Acted:
        frame, corners = _bent(design, self.thing)
        _refuse_index(self.index, len(corners) - 2)
        if len(corners) >= MOST_CORNERS:
            code = FaultCode.TOO_MANY_THINGS
            raise DesignError(Fault(code=code, field="index", high=MOST_CORNERS, what="corner"))
        (x1, y1), (x2, y2) = corners[self.index : self.index + 2]
        x = (x1 + x2) / 2 if self.x_m is None else self.x_m
        y = (y1 + y2) / 2 if self.y_m is None else max(self.y_m, 0.0)
        kept = [k if k <= self.index else k + 1 for k in range(len(corners))]
        added = _with_corner(corners, self.index + 1, (x, y), instead=False)
        return _rebent(design, frame, added, kept, SaidCode.CORNER_ADDED)


@dataclass(frozen=True, slots=True, kw_only=True)
class RemoveCorner:
    """Take a corner out of a free outline, which goes straight on there."""

    thing: str = a_text(FRAME)
    index: int = a_whole(0, 200, "number of the corner, from the outline's beginning")

    def on(self, design: Design, _shelf: Shelf) -> Acted:
        frame, corners = _bent(design, self.thing)
        _refuse_index(self.index, len(corners) - 1)
        if len(corners) <= LEAST_CORNERS:
            raise DesignError(Fault(code=FaultCode.LAST_CORNERS, field="index", low=LEAST_CORNERS))
        left = corners[: self.index] + corners[self.index + 1 :]
        kept = [k if k < self.index else k - 1 for k in range(len(corners))]
        kept[self.index] = -1
        return _rebent(design, frame, left, kept, SaidCode.CORNER_REMOVED)


# Private


def _bent(design: Design, ref: str) -> tuple[Frame, tuple[Place, ...]]:
    frame = find_thing(design, ref)
    if not isinstance(frame, Frame) or frame.shape != "free":
        raise not_for_this(frame, "thing")
    return frame, corners_of(frame)


def _refuse_index(index: int, last: int) -> None:
    if index > last:
        raise DesignError(Fault(code=FaultCode.NO_SUCH_CORNER, field="index", found=index, high=float(last)))


def _with_corner(corners: tuple[Place, ...], at: int, place: Place, *, instead: bool) -> tuple[Place, ...]:
    """The corners with one more, or one in place of another. DesignError where it lies on its neighbour."""
    after = corners[at + 1 :] if instead else corners[at:]
    for x, y in (*corners[max(at - 1, 0) : at], *after[:1]):
        if np.hypot(place[0] - x, place[1] - y) < LEAST_SIDE_M:
            raise DesignError(Fault(code=FaultCode.CORNERS_TOO_NEAR, field="x_m", low=LEAST_SIDE_M))
    return (*corners[:at], place, *after)


def _rebent(
    design: Design, frame: Frame, corners: tuple[Place, ...], kept: range | list[int], code: SaidCode
) -> Acted:
    """The frame with other corners, garlands along it between the same ones. ``kept``: where each corner went."""
    bent = _through(frame, corners)
    shares = _shares_moved(frame, bent, kept)
    garlands = tuple(
        replace(garland, route=tuple(_on_bent(leg, frame.id, shares) for leg in garland.route))
        if any(leg.frame == frame.id for leg in garland.route)
        else garland
        for garland in design.garlands
    )
    said = [Said(code, frame.label)]
    if frame.sizes:
        said.append(Said(SaidCode.MADE_TO_MEASURE, frame.label))
    after = with_thing(replace(design, garlands=garlands), bent)
    return Acted(after, ref_of(frame), tuple(said))


def _through(frame: Frame, corners: tuple[Place, ...]) -> Frame:
    """A frame through corners in the room [m]: made to measure, with their width, height and place."""
    line = np.array(corners)
    (left, low), (right, top) = line.min(axis=0).tolist(), line.max(axis=0).tolist()
    wide, high, middle = max(right - left, LEAST_WIDTH_M), max(top - low, LEAST_HEIGHT_M), (left + right) / 2
    side = -1.0 if frame.turned else 1.0
    points = tuple((round(side * (x - middle), 4), round(y - low, 4)) for x, y in corners)
    return replace(
        frame, points=points, x_m=round(middle, 4), base_m=round(low, 4), width_m=round(wide, 4),
        height_m=round(high, 4), sizes=(), item=f"frame-free-{round(wide * 100)}x{round(high * 100)}",
    )  # fmt: skip


def _shares_moved(old: Frame, new: Frame, kept: range | list[int]) -> tuple[FloatArray, FloatArray]:
    """Shares of the old outline at its corners, and of the new one where these went."""
    was, now = _corner_shares(old), _corner_shares(new)
    pairs = [(float(was[k]), float(now[place])) for k, place in enumerate(kept) if place >= 0]
    first, last = pairs[0], pairs[-1]
    if first[0] > 0.0:
        pairs.insert(0, (0.0, 0.0))
    if last[0] < 1.0:
        pairs.append((1.0, 1.0))
    return np.array([a for a, _ in pairs]), np.array([b for _, b in pairs])


def _corner_shares(frame: Frame) -> FloatArray:
    line = np.array(frame.points)
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    return np.asarray(along / outline(frame).length_m)


def _on_bent(leg: Leg, frame: str, shares: tuple[FloatArray, FloatArray]) -> Leg:
    if leg.frame != frame or leg.kind != "along":
        return leg
    start, end = (round(float(np.interp(share, *shares)), 4) for share in (leg.start, leg.end))
    return replace(leg, start=start, end=end)
