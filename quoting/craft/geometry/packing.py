"""Classic work: equal balloons packed regularly in rings along a line, counted in closed form.

d is the sized diameter. A ring is a pair, triplet, quad or more of balloons tied neck to neck; each is turned
by half a place against the one below, and drops into its hollows. The geometry is that of columnar sphere
packings: Pickett, Gross & Okuyama 2000, doi:10.1103/PhysRevLett.85.3652; Mughal, Chan, Weaire & Hutzler 2012,
doi:10.1103/PhysRevE.85.051305.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np

from quoting.craft.geometry.polyline import points_along, polyline_length
from studio.trade.errors import CraftError
from studio.trade.ranges import FloatArray, IntArray, between, not_negative, positive, whole

MOST_BALLOONS = 50_000
"""Setting: more balloons than this in one piece are refused, a sign of a slip in the units."""

MOST_IN_A_RING = 12
"""Balloons tied neck to neck at most; studios tie two to six. Common practice, no source."""


@dataclass(frozen=True)
class Stack:
    """Rings of equal balloons, one on the other.

    per_ring: balloons in a ring; diameter: of a balloon [m]; ring_radius: from the axis to the balloons'
    middles [m]; rise: from ring to ring [m]; turn: from ring to ring [rad]; contact: distance of middles that
    touch [m], the diameter less the squeeze.
    """

    per_ring: int
    diameter: float
    ring_radius: float
    rise: float
    turn: float
    contact: float

    @property
    def outer_diameter(self) -> float:
        """Diameter [m] of the narrowest tube round the stack."""
        return 2 * self.ring_radius + self.diameter

    @property
    def per_metre(self) -> float:
        """Balloons a metre of length."""
        return self.per_ring / self.rise

    @property
    def density(self) -> float:
        """Share of the narrowest tube that the balloons fill."""
        tube = math.pi / 4 * self.outer_diameter**2
        return self.per_metre * math.pi / 6 * self.diameter**3 / tube

    def rings_for(self, length: float) -> int:
        """Rings that reach a length [m] from end to end: the fewest whose outer surfaces span it."""
        positive("length", length, "m")
        rings = 1 + max(0, math.ceil((length - self.diameter) / self.rise - 1e-9))
        whole("count of balloons", rings * self.per_ring, 1, MOST_BALLOONS)
        return rings


@dataclass(frozen=True)
class ClassicPiece:
    """A piece of classic work, balloon by balloon, in stringing order."""

    centres: FloatArray  # (n, 3): across, depth, up [m]
    diameter: float  # m
    column: IntArray  # (n,): which line of a wall, 0 elsewhere
    ring: IntArray  # (n,): which ring along its line
    place: IntArray  # (n,): which balloon of its ring; places keep their number as the rings turn

    @property
    def count(self) -> int:
        """Balloons in the piece."""
        return len(self.centres)


def stack(
    per_ring: int, diameter: float, *, core: float = 0.0, squeeze: float = 0.0, turned: bool = True
) -> Stack:
    """Find the closest stack of rings of `per_ring` balloons of a diameter [m].

    core: diameter of a pole up the middle [m]; squeeze: share of the diameter by which touching balloons give
    way, 0 to 0.3; turned: each ring by half a place (the trade's way), else straight one over the other.

    R = max(c/(2 sin(pi/n)), (d + core)/2), c = d (1 - squeeze); rise = sqrt(c² - (2R sin(pi/(2n)))²), or the
    rise at which the ring after next touches if that is more. Quads without a pole: 2^(-1/4) d.
    CraftError when the pole is so thick that the next ring would fall in between the balloons of this one.

    >>> quads = stack(4, 0.2286)
    >>> round(quads.rise, 4), round(quads.outer_diameter, 4)
    (0.1922, 0.5519)
    """
    whole("balloons in a ring", per_ring, 1, MOST_IN_A_RING)
    positive("diameter", diameter, "m")
    not_negative("core", core, "m")
    between("squeeze", squeeze, 0.0, 0.3, "")
    contact = diameter * (1 - squeeze)
    touching = contact / (2 * math.sin(math.pi / per_ring)) if per_ring > 1 else 0.0
    radius = max(touching, (core + diameter) / 2) if per_ring > 1 or core > 0 else 0.0
    turn = math.pi / per_ring if turned and per_ring > 1 else 0.0
    sideways = 2 * radius * math.sin(turn / 2)
    if sideways >= contact:
        raise CraftError(
            f"a core of {core:.3g} m spreads {per_ring} balloons of {diameter:.3g} m so far that rings "
            "fall into each other; take more balloons a ring or a thinner pole."
        )
    rise = max(math.sqrt(contact**2 - sideways**2), contact / 2)
    return Stack(per_ring, diameter, radius, rise, turn, contact)


def wall(width: float, height: float, rings: Stack) -> ClassicPiece:
    """Build a wall of columns side by side that reaches a width and a height [m].

    Neighbours stand half a turn of a ring apart, so that they nest, `column_spacing` from each other. The
    wall begins at 0 across.

    >>> wall(1.0, 2.0, stack(4, 0.2286)).count
    88
    """
    positive("width", width, "m")
    spacing = column_spacing(rings)
    columns = 1 + max(0, math.ceil((width - rings.outer_diameter) / spacing - 1e-9))
    whole("count of balloons", columns * rings.per_ring, 1, MOST_BALLOONS)
    across = [rings.outer_diameter / 2 + spacing * index for index in range(columns)]
    return _wall_of(across, [index % 2 for index in range(columns)], height, rings)


def column_spacing(rings: Stack) -> float:
    """Give the distance [m] between neighbouring columns of a wall, the least at which no two balloons overlap.

    The neighbour is turned by half a place. Over every pair of balloons of the two, level by level:
    x_i - x_j + sqrt(c² - dy² - dz²), the largest of which counts.

    >>> round(column_spacing(stack(4, 1.0)), 4)
    2.0731
    """
    needed = rings.contact if rings.per_ring == 1 else 0.0
    for ring, level in itertools.product((0, 1), range(-2, 3)):
        dz = level * rings.rise
        left, right = _ring(rings, ring), _ring(rings, ring + level + 1)
        dx = left[:, None, 0] - right[None, :, 0]
        dy = left[:, None, 1] - right[None, :, 1]
        room = rings.contact**2 - dy**2 - dz**2
        reach = dx[room >= 0] + np.sqrt(room[room >= 0])
        needed = max(needed, float(reach.max(initial=0.0)))
    return needed


def along_line(line: FloatArray, rings: Stack) -> ClassicPiece:
    """Set rings along a bent line: an arch, a swag, a ring. Their count is the length over the rise, made even.

    line: (n, 3) or, in the plane across and up, (n, 2) points [m] of the axis. Rings stand square to the
    line, the first and last with their middles on its ends; the spacing is stretched or shortened to come out
    even, by half a rise over the whole at most (a rise where the line is closed, which takes an even number
    of rings so that the last drops into the first). On the inside of a bend balloons squeeze.

    >>> along_line(np.array([(0.0, 0.0), (0.0, 2.0)]), stack(4, 0.2286)).count
    44
    """
    points = np.asarray(line, dtype=np.float64)
    if points.ndim == 2 and points.shape[1] == 2:
        points = np.column_stack([points[:, 0], np.zeros(len(points)), points[:, 1]])
    length = polyline_length(points)
    distances = _ring_distances(length, rings, closed=bool(np.allclose(points[0], points[-1], atol=1e-6)))
    count = len(distances)
    middles = points_along(points, distances)
    ahead = points_along(points, np.minimum(distances + rings.rise / 4, length))
    behind = points_along(points, np.maximum(distances - rings.rise / 4, 0.0))
    first, second = _square_to(ahead - behind)
    index, place = _places(count, rings.per_ring)
    angle = 2 * math.pi * place / rings.per_ring + rings.turn * index
    offset = np.cos(angle)[:, None] * first[index] + np.sin(angle)[:, None] * second[index]
    centres = middles[index] + rings.ring_radius * offset
    return ClassicPiece(centres, rings.diameter, np.zeros_like(index), index, place)


def _ring(rings: Stack, index: int) -> FloatArray:
    """Middles of one ring seen along the axis, (per_ring, 2)."""
    angle = 2 * math.pi * np.arange(rings.per_ring) / rings.per_ring + rings.turn * index
    return rings.ring_radius * np.column_stack([np.cos(angle), np.sin(angle)])


def _ring_distances(length: float, rings: Stack, *, closed: bool) -> FloatArray:
    """Where along a line [m] its rings stand."""
    steps = length / rings.rise
    count = 2 * max(2, math.floor(steps / 2 + 0.5)) if closed else 1 + math.floor(steps + 0.5)
    whole("count of balloons", count * rings.per_ring, 1, MOST_BALLOONS)
    return np.linspace(0.0, length, count, endpoint=not closed) if count > 1 else np.array([length / 2])


def _places(count: int, per_ring: int) -> tuple[IntArray, IntArray]:
    return np.repeat(np.arange(count), per_ring), np.tile(np.arange(per_ring), count)


def _wall_of(across: list[float], ahead: list[int], height: float, rings: Stack) -> ClassicPiece:
    """Columns at places across, each turned ahead by a number of rings."""
    count = rings.rings_for(height)
    whole("count of balloons", count * rings.per_ring * len(across), 1, MOST_BALLOONS)
    index, place = _places(count, rings.per_ring)
    columns = []
    for x, steps in zip(across, ahead, strict=True):
        angle = 2 * math.pi * place / rings.per_ring + rings.turn * (index + steps)
        flat = rings.ring_radius * np.column_stack([np.cos(angle), np.sin(angle)])
        columns.append(np.column_stack([x + flat[:, 0], flat[:, 1], rings.diameter / 2 + rings.rise * index]))
    which = np.repeat(np.arange(len(across)), len(index))
    repeated = np.tile(index, len(across)), np.tile(place, len(across))
    return ClassicPiece(np.concatenate(columns), rings.diameter, which, *repeated)


def _square_to(tangents: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Two unit vectors square to each tangent and to each other, (n, 3) each.

    The first is carried along without twist, by projecting it onto each next plane; steps are short.
    """
    along = tangents / np.linalg.norm(tangents, axis=1, keepdims=True)
    start = np.array([0.0, 1.0, 0.0]) if abs(along[0, 1]) < 0.9 else np.array([1.0, 0.0, 0.0])
    first = np.empty_like(along)
    last = start
    for index, direction in enumerate(along):
        last = last - direction * float(last @ direction)
        last = last / np.linalg.norm(last)
        first[index] = last
    return first, np.cross(along, first)
