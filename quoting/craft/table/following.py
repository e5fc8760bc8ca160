"""A stroke becomes a garland's route: along the frames it follows, on the floor where it begins or ends there, and
through the air between."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.frames import Outline, face, is_inside, outline
from quoting.craft.design.records import Frame, Leg
from quoting.craft.design.routes import STAND_OFF
from quoting.craft.geometry.polyline import kept_points, points_along, polyline_length, stations
from quoting.craft.table.legs import DEEPEST_M
from quoting.craft.table.matching import FLOOR, Stretch, matched
from quoting.craft.table.stroke import cleaned_stroke, few_points, without_loops
from studio.trade.ranges import FloatArray

# Settings of the drawing [m], but for counts and what is said beside them.
TURN_M = 0.45  # a stroke that goes back less than this along an outline only trembles
LEAST_ON_FRAME_M = 0.12  # a shorter stretch of an outline isn't followed
LEAST_IN_AIR_M = 0.35  # a shorter way between two frames is a hop
LONGEST_GAP_M = 0.7  # two stretches of an outline farther apart are two, as across a narrow frame
LEAST_TAIL_M = 0.15  # a shorter way beyond a frame at an end of the stroke is dropped
LEAST_POOL_M = 0.2
FOOT_M = 0.15  # nearer to the end of an outline than this, the stroke reaches it
JOINT_M = 0.3  # from one frame to the next the string has this much room to bend
AIR_JOINT_M = 0.1  # and this much between a frame and the air
BEND_M = 0.05  # how far the points of a line in the air may leave the stroke
LOOP_M = 0.9  # a loop shorter than this is a slip of the finger: balloons would fill it
MOST_POINTS = 24  # of one line in the air
POOL_Y_M = 0.15  # written down for the place where a pool begins
MOST_LEGS = 40  # setting of the format
POOL_JOINT = 0.6  # room between a pool and the frame after it, in diameters of a balloon
POOL_BEFORE = 0.45  # how far beside its frame a pool begins, in diameters, as ``routes`` lays it
LONGEST_M = 80.0
"""The longest garland that the table takes [m] (setting)."""
METRES_A_TURN = 0.9
"""Rise of a garland wound round an upright, for one turn [m]. Common practice, no source."""


def follow(
    points: Sequence[tuple[float, float]], frames: Sequence[Frame], *, ball_m: float, packed: bool = False
) -> tuple[Leg, ...]:
    """Turn a stroke [m] into the legs of a route. ``ball_m`` [m]: mean sized diameter of the garland's quads.

    ``packed``: classic work, which runs along an upright; organic work is wound round it.

    Deterministic. DesignError at ``points`` for a stroke that goes nowhere, or on for more than LONGEST_M.

    >>> frame = Frame(id="p", shape="panel", item="panel", label="Panel", width_m=1.0, height_m=2.0)
    >>> stroke = [(-1.3, 0.05), (-0.52, 0.02), (-0.48, 1.0), (-0.51, 2.0), (0.3, 2.03)]
    >>> [(leg.kind, leg.frame, leg.start, leg.end) for leg in follow(stroke, [frame], ball_m=0.23)]
    [('pool', '', 0.0, 1.0), ('along', 'p', 0.0, 0.5593)]
    """
    stroke = cleaned_stroke(points)
    _refuse_length(stroke)
    lines = [outline(frame) for frame in frames]
    parts = _parts(stroke, frames, lines)
    legs = tuple(_legs(_jointed(parts, ball_m), frames, ball_m, packed=packed))
    if not legs or len(legs) > MOST_LEGS:
        legs = tuple(_legs([InAir(stroke)], frames, ball_m, packed=packed))
    return legs


def depths_before(line: FloatArray, frames: Sequence[Frame], *, ball_m: float) -> FloatArray:
    """Depths [m] that hold a line, (n, 2) [m], in front of every frame behind it; gives (n,), nan where none is.

    A bare frame is in the way with its tube, a covered one with its face.

    >>> frame = Frame(id="p", shape="panel", item="panel", label="Panel", width_m=1.0, height_m=2.0, z_m=0.5)
    >>> depths_before(np.array([(0.0, 1.0), (2.0, 1.0)]), [frame], ball_m=0.2).round(4).tolist()
    [0.6225, nan]
    """
    depths = np.full(len(line), np.nan)
    for frame in frames:
        over = _over(line, frame, ball_m / 2)
        reach = frame.width_m if frame.shape == "column" else frame.tube_m
        depths[over] = np.fmax(depths[over], frame.z_m + reach / 2 + STAND_OFF * ball_m)
    return depths


def depths_moved(
    old: Sequence[tuple[float, float]],
    new: Sequence[tuple[float, float]],
    depths: Sequence[float],
    frames: Sequence[Frame],
    *,
    ball_m: float,
) -> tuple[float, ...]:
    """Depths [m] of points that were moved: one that came before another frame goes in front of it; others stay.

    >>> frame = Frame(id="p", shape="panel", item="panel", label="Panel", width_m=1.0, height_m=2.0, z_m=0.5)
    >>> depths_moved([(2.0, 1.0)], [(0.0, 1.0)], [0.1], [frame], ball_m=0.2)
    (0.622,)
    """
    was, now = (
        np.nan_to_num(depths_before(np.array(points), frames, ball_m=ball_m), nan=-np.inf)
        for points in (old, new)
    )
    raised = np.where(now > was, np.maximum(depths, now), depths)
    return tuple(np.round(raised, 3).tolist())


# Private


@dataclass(frozen=True, slots=True)
class OnFrame:
    """A stretch of an outline from one length along it to another [m]; down where the second is less."""

    frame: Frame
    line: Outline
    start_m: float
    end_m: float

    @property
    def length_m(self) -> float:
        return abs(self.end_m - self.start_m)

    def is_alike(self, other: OnFrame) -> bool:
        """Whether both run in one direction."""
        return (self.end_m - self.start_m) * (other.end_m - other.start_m) > 0

    def shortened(self, *, at_start: float = 0.0, at_end: float = 0.0) -> OnFrame:
        """Shorter at its ends [m], as far as LEAST_ON_FRAME_M stays."""
        spare = max(self.length_m - LEAST_ON_FRAME_M, 0.0)
        share = min(1.0, spare / (at_start + at_end)) if at_start + at_end else 0.0
        onward = math.copysign(share, self.end_m - self.start_m)
        return replace(self, start_m=self.start_m + onward * at_start, end_m=self.end_m - onward * at_end)

    def place(self, along_m: float) -> FloatArray:
        share = along_m / self.line.length_m
        return np.asarray(self.line.at(np.array([share % 1.0 if self.line.closed else share]))[0])


@dataclass(frozen=True, slots=True)
class InAir:
    """A stretch of the stroke through the air, (n, 2) [m]."""

    line: FloatArray


@dataclass(frozen=True, slots=True)
class OnFloor:
    """A stretch on the floor from one x to another [m], at an end of the stroke."""

    start_x: float
    end_x: float


Part = OnFrame | InAir | OnFloor


def _over(line: FloatArray, frame: Frame, near_m: float) -> NDArray[np.int64]:
    """The points of a line that lie over a frame: over its face where it is filled, else nearer to its tube than
    ``near_m``."""
    drawn, filled = outline(frame).points, face(frame)
    boxed = ((line > filled.min(axis=0) - near_m) & (line < filled.max(axis=0) + near_m)).all(axis=1)
    places = np.flatnonzero(boxed)
    gaps = line[places][:, None, :] - drawn[None, ::4, :]
    found = np.min(np.hypot(gaps[..., 0], gaps[..., 1]), axis=1, initial=np.inf) < near_m
    if frame.is_filled or frame.shape == "column":
        found |= is_inside(line[places], filled)
    return np.asarray(places[found])


def _refuse_length(stroke: FloatArray) -> None:
    length = polyline_length(stroke) if len(stroke) > 1 else 0.0
    if length < LEAST_ON_FRAME_M:
        code, low = FaultCode.ROUTE_TOO_SHORT, LEAST_ON_FRAME_M
        raise DesignError(Fault(code=code, field="points", found=length, low=low))
    if length > LONGEST_M:
        code = FaultCode.GARLAND_TOO_LONG
        raise DesignError(Fault(code=code, field="points", found=length, high=LONGEST_M))


def _parts(stroke: FloatArray, frames: Sequence[Frame], lines: Sequence[Outline]) -> list[Part]:
    found: list[Part] = []
    stretches = matched(stroke, frames)
    for k, stretch in enumerate(stretches):
        at_end = k in (0, len(stretches) - 1)
        line = stroke[stretch.first : stretch.last + 1]
        if stretch.on >= 0:
            found += _followed(stretch, frames[stretch.on], lines[stretch.on])
        elif stretch.on == FLOOR and at_end and len(stretches) > 1:
            if abs(line[-1, 0] - line[0, 0]) >= LEAST_POOL_M:
                found.append(OnFloor(float(line[0, 0]), float(line[-1, 0])))
        elif _length(line) >= (LEAST_TAIL_M if at_end else LEAST_IN_AIR_M):
            found.append(InAir(line))
    return _grown_together(found)


def _length(line: FloatArray) -> float:
    return polyline_length(line) if len(line) > 1 else 0.0


def _followed(stretch: Stretch, frame: Frame, line: Outline) -> list[Part]:
    """The stretch of an outline, divided where the stroke turns back."""
    marks = kept_points(np.column_stack([stretch.along, np.zeros(len(stretch.along))]), TURN_M)
    ends = [float(stretch.along[mark]) for mark in marks]
    turns = [ends[0]]
    for before, here, after in zip(ends, ends[1:], ends[2:], strict=False):
        if (here - before) * (after - here) < 0:
            turns.append(here)
    turns.append(ends[-1])
    whole = [OnFrame(frame, line, a, b) for a, b in pairwise(turns)]
    return [part for part in whole if part.length_m >= LEAST_ON_FRAME_M]


def _grown_together(parts: Sequence[Part]) -> list[Part]:
    """Two stretches of one frame that go on in one direction are one; a short one back is none."""
    found: list[Part] = []
    for part in parts:
        before = found[-1] if found else None
        if not (
            isinstance(part, OnFrame) and isinstance(before, OnFrame) and before.frame.id == part.frame.id
        ):
            found.append(part)
        elif _goes_on(before, part):
            found[-1] = replace(before, end_m=part.end_m)
        elif before.length_m < TURN_M and not before.is_alike(part):
            found[-1] = part
        elif part.length_m >= TURN_M or before.is_alike(part):
            found.append(part)
    return found


def _goes_on(before: OnFrame, after: OnFrame) -> bool:
    onward = math.copysign(1.0, before.end_m - before.start_m)
    ahead = onward * (after.start_m - before.end_m)
    return (
        before.is_alike(after)
        and -TURN_M < ahead < LONGEST_GAP_M
        and onward * (after.end_m - before.start_m) > 0
    )


def _jointed(parts: Sequence[Part], ball_m: float) -> list[Part]:
    """The parts with their ends at the feet of frames, and room for the string to bend from one to the next."""
    if not parts:
        return []
    footed = list(parts)
    first = 1 if isinstance(parts[0], OnFloor) and len(parts) > 1 else 0
    last = len(parts) - (2 if isinstance(parts[-1], OnFloor) and len(parts) > 1 else 1)
    footed[first] = _from_its_end(footed[first])
    footed[last] = _to_its_end(footed[last])
    for k in range(len(footed) - 1):
        footed[k], footed[k + 1] = _joint(footed[k], footed[k + 1], ball_m)
    return footed


def _from_its_end(part: Part) -> Part:
    """A stretch that begins near an end of an open outline begins at it."""
    if not isinstance(part, OnFrame) or part.line.closed:
        return part
    end = 0.0 if part.end_m > part.start_m else part.line.length_m
    return replace(part, start_m=end) if abs(part.start_m - end) < FOOT_M else part


def _to_its_end(part: Part) -> Part:
    if not isinstance(part, OnFrame) or part.line.closed:
        return part
    end = part.line.length_m if part.end_m > part.start_m else 0.0
    return replace(part, end_m=end) if abs(part.end_m - end) < FOOT_M else part


def _joint(before: Part, after: Part, ball_m: float) -> tuple[Part, Part]:
    if isinstance(before, OnFrame) and isinstance(after, OnFrame):
        gap = float(np.hypot(*(after.place(after.start_m) - before.place(before.end_m))))
        room = max(JOINT_M - gap, 0.0) / 2
        return before.shortened(at_end=room), after.shortened(at_start=room)
    if isinstance(before, InAir) and isinstance(after, OnFrame):
        return InAir(_cut(before.line, at_end=AIR_JOINT_M)), after
    if isinstance(before, OnFrame) and isinstance(after, InAir):
        return before, InAir(_cut(after.line, at_start=AIR_JOINT_M))
    if isinstance(before, OnFloor) and isinstance(after, OnFrame):
        way = before.end_x - before.start_x
        length = max(abs(way) - POOL_JOINT * ball_m, LEAST_POOL_M / 2)
        return replace(before, end_x=before.start_x + math.copysign(length, way)), after
    return before, after


def _cut(line: FloatArray, *, at_start: float = 0.0, at_end: float = 0.0) -> FloatArray:
    """A line shorter at its ends [m], where it is long enough for that."""
    along = stations(line)
    if along[-1] < 4 * (at_start + at_end):
        return line
    ends = points_along(line, np.array([at_start, along[-1] - at_end]))
    inner = line[(along > at_start) & (along < along[-1] - at_end)]
    return np.concatenate([ends[:1], inner, ends[1:]])


def _legs(parts: Sequence[Part], frames: Sequence[Frame], ball_m: float, *, packed: bool) -> Iterator[Leg]:
    last_x: float | None = None
    for k, part in enumerate(parts):
        if isinstance(part, OnFrame):
            yield from _frame_legs(part, packed=packed)
            last_x = float(part.place(part.end_m)[0])
        elif isinstance(part, InAir):
            yield _air_leg(part, _neighbours(parts, k), frames, ball_m)
            last_x = float(part.line[-1, 0])
        else:
            yield from _floor_leg(part, last_x, ball_m)
            last_x = part.end_x


def _frame_legs(part: OnFrame, *, packed: bool) -> Iterator[Leg]:
    """One leg, or several where the stretch goes over the foot of a ring."""
    if part.frame.shape == "column" and not packed:
        start, end = (
            round(min(max(m / part.line.length_m, 0.0), 1.0), 4) for m in (part.start_m, part.end_m)
        )
        turns = max(0.5, round(part.length_m / METRES_A_TURN * 4) / 4)
        yield Leg(kind="wind", frame=part.frame.id, start=start, end=end, turns=turns)
        return
    for start, end in _rounds(part.start_m / part.line.length_m, part.end_m / part.line.length_m):
        if start != end:
            yield Leg(kind="along", frame=part.frame.id, start=start, end=end)


def _rounds(start: float, end: float) -> Iterator[tuple[float, float]]:
    """A way in turns of an outline, divided at every full turn, each piece from 0 to 1."""
    low, high = min(start, end), max(start, end)
    marks = [low, *range(math.floor(low) + 1, math.ceil(high)), high]
    pieces = [(a - math.floor(a), b - math.floor(a)) for a, b in pairwise(marks)]
    rounded = [(round(a, 4), round(min(b, 1.0), 4)) for a, b in pieces]
    return iter(rounded if end > start else [(b, a) for a, b in reversed(rounded)])


def _neighbours(parts: Sequence[Part], k: int) -> tuple[Frame | None, Frame | None]:
    """The frames that a stretch in the air comes from and goes to."""
    near = (parts[j] if 0 <= j < len(parts) else None for j in (k - 1, k + 1))
    before, after = (part.frame if isinstance(part, OnFrame) else None for part in near)
    return before, after


def _air_leg(
    part: InAir, beside: tuple[Frame | None, Frame | None], frames: Sequence[Frame], ball_m: float
) -> Leg:
    part = InAir(without_loops(part.line, LOOP_M))
    places = few_points(part.line, BEND_M, MOST_POINTS)
    fine = depths_before(part.line, frames, ball_m=ball_m)
    for place, frame in zip((0, -1), beside, strict=True):
        if frame is not None and np.isnan(fine[place]):
            fine[place] = frame.z_m + frame.tube_m / 2 + STAND_OFF * ball_m
    if np.isnan(fine).all():
        fine[:] = STAND_OFF * ball_m
    along, known = stations(part.line), ~np.isnan(fine)
    whole = np.interp(along, along[known], fine[known])
    depths = np.clip(np.round(whole[places], 3), -DEEPEST_M, DEEPEST_M)
    points = tuple((x, y) for x, y in np.round(part.line[places], 3).tolist())
    return Leg(kind="through", points=points, depths=tuple(depths.tolist()))


def _floor_leg(part: OnFloor, last_x: float | None, ball_m: float) -> Iterator[Leg]:
    """A pool: by its own place at the beginning, from where the garland comes down at the end."""
    if last_x is None:
        way = part.end_x - part.start_x
        length = abs(way)
    else:
        way = part.end_x - last_x
        length = abs(way) - POOL_BEFORE * ball_m
    if length >= LEAST_POOL_M / 2:
        yield Leg(
            kind="pool",
            points=((round(part.start_x, 3), POOL_Y_M),) if last_x is None else (),
            length_m=round(length, 3),
            direction="right" if way > 0 else "left",
        )
