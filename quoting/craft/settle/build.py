"""A design built: every balloon of every piece strung or packed, settled and filled."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from quoting.craft.design.frames import face, outline
from quoting.craft.design.records import (
    ROLES,
    USUAL_FULLNESS,
    Design,
    Garland,
    PaletteColour,
    Rates,
    Site,
    Zone,
)
from quoting.craft.design.routes import Route
from quoting.craft.settle import fillers, laying, relax
from quoting.craft.settle.classic import Packed, packed_bouquet, packed_garland, packed_wall
from quoting.craft.settle.garland import Strung, body_diameter_m, string_quads
from quoting.craft.settle.laying import bare_frame, routes_of
from quoting.craft.settle.string import Ties
from quoting.craft.settle.thinning import kept_by_share

Array = NDArray[np.float64]
Index = NDArray[np.int64]
# One array a quantity: floats or whole numbers, so that its columns differ in type.
Column = NDArray[Any]
FIRST_PASSES = (28, 10)  # a setting of the search for sizes
# A setting.
KEPT = 12  # results kept, so that an edit costs only what it changes; at most about a megabyte each
MOST_GAPS = 16  # searches kept of one design at rest (setting)
ANY_COLOUR = (PaletteColour(colour="any", name="Any", hex="#000000", share=1.0),)


@dataclass(frozen=True, slots=True)
class Piece:
    """One garland, wall or bouquet as colours and lists see it."""

    kind: str
    id: str
    label: str
    cluster: str
    pattern: str
    bands: int
    recipes: int
    grid: tuple[str, ...] = ()
    zones: tuple[Zone, ...] = ()

    @property
    def reference(self) -> str:
        """Kind and id, by which a picture and the drawing table name it."""
        return f"{self.kind}:{self.id}"


@dataclass(frozen=True, slots=True)
class GarlandResult:
    """One garland worked out: its string as it came to rest and as it was laid, what was measured, how many quads and
    filler quads it has, and which share of it is strung. Both lines are told by the same lengths, those of the line as
    laid. ``fullness_bare`` is what all its quads cover without a filler."""

    garland: Garland
    route: Route
    laid: Route
    quads: int
    filler_quads: int
    strung: float
    fullness_bare: float
    fullness: float
    highest_fullness: float
    reach_m: float


@dataclass(frozen=True, slots=True)
class Built:
    """All balloons before colours, as columns by name: centres (n, 3) [m], radius [m], size_in, role, piece, quad,
    station [m], angle [rad], seat (place in the ring of classic work, -1 elsewhere)."""

    columns: Mapping[str, Column]
    pieces: tuple[Piece, ...]
    garlands: tuple[GarlandResult, ...]


def pieces_of(design: Design) -> tuple[Piece, ...]:
    """List garlands, walls and bouquets, in this order: ``piece`` of a balloon is an index into them.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> [piece.kind for piece in pieces_of(load_design(STARTERS / "terrace-frame-bouquets.json"))]
    ['garland', 'bouquet', 'bouquet']
    """
    garlands = [
        Piece("garland", g.id, g.label, g.cluster, g.pattern, g.bands, g.recipes, zones=g.zones)
        for g in design.garlands
    ]
    walls = [
        Piece("wall", w.id, w.label, w.cluster, w.pattern, w.bands, w.recipes, w.grid) for w in design.walls
    ]
    bouquets = [Piece("bouquet", b.id, b.label, "triplet", "scatter", 1, 0) for b in design.bouquets]
    return tuple(garlands + walls + bouquets)


def room_of(design: Design) -> relax.Room:
    """Describe frames, floor and wall as the balloons meet them.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> len(room_of(load_design(STARTERS / "garland-nested-arches.json")).obstacles)
    2
    """
    obstacles = []
    for frame in design.frames:
        drawn = outline(frame)
        # A ring ends where it begins, but for the last digit: nearest is to be one point, not either of two.
        line = drawn.points[:-1] if drawn.closed else drawn.points
        tube = np.column_stack([line, np.full(len(line), frame.z_m)])
        radius = frame.width_m / 2 if frame.shape == "column" else frame.tube_m / 2
        obstacles.append(relax.Obstacle(tube, radius, face(frame) if frame.is_filled else None, frame.z_m))
    rear = min((frame.z_m for frame in design.frames), default=0.0)
    return relax.Room(tuple(obstacles), rear - design.site.wall_gap_m)


def built(design: Design) -> Built:
    """Place every balloon. Organic garlands settle together around what is packed; fillers follow.

    Whatever moves no balloon (colours, names, florals, sign, rates) is left out of what is worked out, and the last
    results are kept: another colour costs no settling. DesignError as in :func:`routes_of`.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> sorted(built(load_design(STARTERS / "classic-arch.json")).columns)
    ['angle', 'centres', 'piece', 'quad', 'radius', 'role', 'seat', 'size_in', 'station']
    """
    filled = _filled(_filled_shape(design))
    results = [
        replace(result, garland=garland)
        for result, garland in zip(filled.garlands, design.garlands, strict=True)
    ]
    return Built(filled.columns, pieces_of(design), tuple(results))


def alike_at_rest(one: Design, other: Design) -> bool:
    """Say whether two designs place the same balloons over the same choice of frames; colours and the like may differ.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "table-garland.json")
    >>> alike_at_rest(design, replace(design, loss=0.2)), alike_at_rest(design, replace(design, seed=8))
    (True, False)
    """
    choices = [
        [(frame.item, [size.item for size in frame.sizes]) for frame in design.frames]
        for design in (one, other)
    ]
    return choices[0] == choices[1] and _filled_shape(one) == _filled_shape(other)


def at_rest(design: Design) -> tuple[Array, Array]:
    """Give centres (n, 3) [m] and radii (n,) [m] of all balloons but fillers. DesignError as in :func:`routes_of`.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "table-garland.json")
    >>> at_rest(design)[0].shape, placed(design)[0].shape
    ((72, 3), (128, 3))
    """
    shape = _filled_shape(design)
    if any(fillers.measures_what_stays(garland) for garland in shape.garlands):
        columns = _filled(shape).columns
        strung = columns["role"] != ROLES.index("filler")
        return columns["centres"][strung], columns["radius"][strung]
    return _together(_placed(_settled(_settled_shape(shape)), shape).values())


def nearly_at_rest(design: Design) -> tuple[Array, Array]:
    """Give the same as :func:`at_rest` after the first passes, at a quarter of the work: to tell sizes from each
    other."""
    shape = _filled_shape(design)
    return _together(_placed(_nearly_settled(_settled_shape(shape)), shape).values())


def placed(design: Design) -> tuple[Array, Array]:
    """Give centres (n, 3) [m] and radii (n,) [m] of all balloons. DesignError as in :func:`routes_of`."""
    columns = _filled(_filled_shape(design)).columns
    return (columns["centres"], columns["radius"]) if columns else (np.zeros((0, 3)), np.zeros(0))


def forget() -> None:
    """Drop the results that are kept, so that a measurement of the work measures the work."""
    laying.forget()
    _filled.cache_clear()
    _settled.cache_clear()
    _nearly_settled.cache_clear()


# Private


@dataclass(frozen=True, slots=True)
class _Rest:
    """What has come to rest: routes of all garlands as laid; by piece what is packed, and what is strung, at rest; and
    the gaps that were searched in it, which another fullness or number of fillers finds as they are."""

    room: relax.Room
    routes: list[Route]
    packed: Mapping[int, Packed]
    strung: Mapping[int, Strung]
    gaps: dict[tuple[int, bytes], fillers.Gaps] = field(default_factory=dict)

    def gaps_of(self, k: int, garland: Garland, route: Route, others: tuple[Array, Array]) -> fillers.Gaps:
        """The gaps of a garland among the others; those next to others that stood elsewhere are let go."""
        near = fillers.near_gaps(garland, route, self.strung[k], others)
        key = k, near.key
        if key not in self.gaps:
            if len(self.gaps) >= MOST_GAPS:
                self.gaps.clear()
            self.gaps[key] = fillers.Gaps(garland, route, self.strung[k], near, self.room)
        return self.gaps[key]


def _filled_shape(design: Design) -> Design:
    """The design without whatever moves no balloon."""
    return Design(
        version=design.version,
        name="",
        mirrored=design.mirrored,
        seed=design.seed,
        site=Site(wall_gap_m=design.site.wall_gap_m),
        palette=ANY_COLOUR,
        frames=tuple(bare_frame(frame) for frame in design.frames),
        garlands=tuple(
            replace(one, label="", pattern="scatter", bands=1, recipes=0, ties=(), zones=())
            for one in design.garlands
        ),
        walls=tuple(
            replace(one, label="", pattern="scatter", bands=1, recipes=0, grid=()) for one in design.walls
        ),
        bouquets=tuple(replace(one, label="") for one in design.bouquets),
        rates=Rates(),
    )


def _settled_shape(shape: Design) -> Design:
    """The same without the fullness, which moves no quad: balloons are left out and fillers added when all are at
    rest."""
    garlands = tuple(
        replace(one, fullness=USUAL_FULLNESS, fillers=None, strung=None, fullest=None)
        for one in shape.garlands
    )
    return replace(shape, garlands=garlands)


@lru_cache(maxsize=KEPT)
def _settled(shape: Design) -> _Rest:
    return _settled_for(shape, (relax.PASSES_TIED, relax.PASSES_LOOSE))


@lru_cache(maxsize=KEPT)
def _nearly_settled(shape: Design) -> _Rest:
    """After the first passes. Kept as well: a change of fullness tells the same few scales from each other again."""
    return _settled_for(shape, FIRST_PASSES)


def _settled_for(shape: Design, passes: tuple[int, int]) -> _Rest:
    routes, room = routes_of(shape), room_of(shape)
    packed = dict(_packed(shape, routes))
    strung = {
        k: string_quads(garland, route, np.random.default_rng([shape.seed, k]))
        for k, (garland, route) in enumerate(zip(shape.garlands, routes, strict=True))
        if garland.work == "organic"
    }
    return _Rest(room, routes, packed, _come_to_rest(strung, packed, room, passes))


def _placed(rest: _Rest, shape: Design) -> dict[int, tuple[Array, Array]]:
    """Centres and radii by piece, without fillers and without what is planned to be left out: organic garlands first,
    then what is packed."""
    placed = {}
    for k, one in rest.strung.items():
        share = shape.garlands[k].strung
        kept = np.ones(len(one.radii), bool) if share is None else kept_by_share(one, share)
        placed[k] = one.centres[kept], one.radii[kept]
    for k, ring in rest.packed.items():
        placed[k] = ring.centres, np.full(len(ring.centres), ring.radius_m)
    return placed


def _together(blocks: Iterable[tuple[Array, Array]]) -> tuple[Array, Array]:
    centres, radii = [np.zeros((0, 3))], [np.zeros(0)]
    for some, their_radii in blocks:
        centres.append(some)
        radii.append(their_radii)
    return np.concatenate(centres), np.concatenate(radii)


@lru_cache(maxsize=KEPT)
def _filled(shape: Design) -> Built:
    rest = _settled(_settled_shape(shape))
    blocks: dict[int, dict[str, Column]] = {k: _packed_block(one, k, shape) for k, one in rest.packed.items()}
    results = {k: _packed_result(shape, rest, k) for k in rest.packed if k < len(shape.garlands)}
    placed = _placed(rest, shape)
    for k, strung in rest.strung.items():
        garland, laid = shape.garlands[k], rest.routes[k]
        route = _as_settled(laid, strung)
        others = _together(block for piece, block in placed.items() if piece != k)
        filling = fillers.fill_gaps(garland, rest.gaps_of(k, garland, route, others), others)
        kept = _without_left_out(strung, filling.kept)
        placed[k] = _together([(kept.centres, kept.radii), (filling.centres, filling.radii)])
        results[k], blocks[k] = _organic_block(garland, (laid, route), kept, filling, k)
    order = sorted(blocks)
    columns = (
        {name: np.concatenate([blocks[k][name] for k in order]) for name in blocks[order[0]]} if order else {}
    )
    for column in columns.values():
        column.setflags(write=False)
    return Built(columns, pieces_of(shape), tuple(results[k] for k in sorted(results)))


def _without_left_out(strung: Strung, kept: NDArray[np.bool_]) -> Strung:
    """What stays of a string, its quads numbered anew."""
    if kept.all():
        return strung
    stays = Strung(*(getattr(strung, name)[kept] for name in Strung.__slots__))
    quad = np.full(len(stays.quad), -1)
    tied = stays.quad >= 0
    quad[tied] = np.unique(stays.quad[tied], return_inverse=True)[1]
    return replace(stays, quad=quad)


def _as_settled(laid: Route, strung: Strung) -> Route:
    """The string through its knots at rest."""
    first = np.unique(strung.quad[strung.quad >= 0], return_index=True)[1]
    quads = np.flatnonzero(strung.quad >= 0)[first]
    station = strung.station[quads]
    return laid.led_away(station, strung.knots[quads] - laid.at(station))


def _packed(design: Design, routes: list[Route]) -> Iterable[tuple[int, Packed]]:
    """Classic work; in a mirrored design packed on the other hand and turned over."""
    flip = np.array([-1.0, 1.0, 1.0]) if design.mirrored else np.ones(3)
    for k, garland in enumerate(design.garlands):
        if garland.work == "classic":
            line = replace(routes[k], points=routes[k].points * flip)
            yield k, _flipped(packed_garland(garland, line, design.frames, f"garlands[{k}]"), flip)
    first = len(design.garlands)
    for k, wall in enumerate(design.walls):
        yield first + k, _flipped(packed_wall(replace(wall, x_m=wall.x_m * flip[0]), f"walls[{k}]"), flip)
    first += len(design.walls)
    for k, one in enumerate(design.bouquets):
        yield first + k, _flipped(packed_bouquet(replace(one, x_m=one.x_m * flip[0])), flip)


def _flipped(one: Packed, flip: Array) -> Packed:
    return replace(one, centres=one.centres * flip)


def _come_to_rest(
    strung: Mapping[int, Strung],
    packed: Mapping[int, Packed],
    room: relax.Room,
    passes: tuple[int, int],
) -> dict[int, Strung]:
    """All garlands come to rest together, because they may touch each other; packed work stays put."""
    if not strung:
        return {}
    loose = list(strung.values())
    still = [one.centres for one in packed.values()]
    radii = [one.radii for one in loose]
    radii += [np.full(len(one.centres), one.radius_m) for one in packed.values()]
    bounds = np.cumsum([len(one.radii) for one in loose])
    count, total = int(bounds[-1]), sum(len(one) for one in radii)
    rest = relax.settle(
        np.concatenate([one.centres for one in loose] + still),
        np.concatenate(radii),
        np.concatenate([one.knots for one in loose] + still),
        room,
        ties=_ties(loose, total),
        reach=np.concatenate([*[one.tail for one in loose], np.zeros(total - count)]),
        fixed=np.arange(total) >= count,
        passes=passes,
    )
    parts = (np.split(column[:count], bounds[:-1]) for column in (rest.centres, rest.knots))
    return {
        k: replace(one, centres=centres, knots=knots)
        for (k, one), centres, knots in zip(strung.items(), *parts, strict=True)
    }


def _ties(loose: Sequence[Strung], total: int) -> Ties:
    """The quads of all strings, numbered on from one string to the next."""
    quad, goes_on, quads = np.full(total, -1), [], 0
    start = 0
    for one in loose:
        mine = one.quad >= 0
        quad[start : start + len(mine)][mine] = one.quad[mine] + quads
        length = int(one.quad.max()) + 1
        goes_on.append(np.arange(length) < length - 1)
        start, quads = start + len(mine), quads + length
    return Ties(quad, np.concatenate(goes_on)[:-1])


def _packed_block(one: Packed, piece: int, design: Design) -> dict[str, Column]:
    n = len(one.centres)
    sizes = [g.mix[0].size_in for g in design.garlands]
    sizes += [wall.size_in for wall in design.walls] + [bouquet.size_in for bouquet in design.bouquets]
    seats = int(one.seat.max()) + 1
    return {
        "centres": one.centres,
        "radius": np.full(n, one.radius_m),
        "size_in": np.full(n, sizes[piece]),
        "role": np.full(n, ROLES.index("body")),
        "piece": np.full(n, piece),
        "quad": one.ring,
        "station": one.station,
        "angle": 2 * np.pi * one.seat / seats,
        "seat": one.seat,
    }


def _packed_result(design: Design, rest: _Rest, piece: int) -> GarlandResult:
    garland, line, ring = design.garlands[piece], rest.routes[piece], rest.packed[piece]
    rings = int(ring.ring.max()) + 1
    return GarlandResult(garland, line, line, rings, 0, 1.0, 1.0, 1.0, 1.0, body_diameter_m(garland))


def _organic_block(
    garland: Garland, lines: tuple[Route, Route], strung: Strung, filling: fillers.Filling, piece: int
) -> tuple[GarlandResult, dict[str, Column]]:
    laid, route = lines
    filler = next((k for k, mix in enumerate(garland.mix) if mix.role == "filler"), 0)
    quads = int(strung.quad.max()) + 1
    outside = np.linalg.norm(strung.centres - strung.knots, axis=1) + strung.radii
    entry = np.concatenate([strung.entry, np.full(len(filling.radii), filler)])
    station = np.concatenate([strung.station, filling.station])
    every = np.concatenate([strung.centres, filling.centres])
    block = {
        "centres": every,
        "radius": np.concatenate([strung.radii, filling.radii]),
        "size_in": np.array([mix.size_in for mix in garland.mix])[entry],
        "role": np.array([ROLES.index(mix.role) for mix in garland.mix])[entry],
        "piece": np.full(len(entry), piece),
        "quad": np.concatenate([strung.quad, quads + filling.quad]),
        "station": station,
        "angle": _angle(route, every, station),
        "seat": np.full(len(entry), -1),
    }
    reach = float(np.mean(outside[strung.quad >= 0]))
    result = GarlandResult(
        garland, route, laid, quads, len(filling.radii) // 4, filling.strung, filling.fullness_bare,
        filling.fullness, filling.highest, reach,
    )  # fmt: skip
    return result, block


def _angle(route: Route, centres: Array, station: Array) -> Array:
    """Where around the string each balloon sits [rad], 0 towards the viewer."""
    _, sideways, facing = route.triad(station)
    away = centres - route.at(station)
    return np.asarray(np.arctan2(np.einsum("ij,ij->i", away, sideways), np.einsum("ij,ij->i", away, facing)))
