"""The take-off: a design worked out to every balloon, frame, clip and minute."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quoting.craft import fillers, florals, relax, rigging
from quoting.craft.colour_plan import Evenness, colour_balloons
from quoting.craft.design import MOST_BALLOONS, ROLES, Design, DesignError, Fault, Garland
from quoting.craft.frames import face, outline
from quoting.craft.garland import CLUSTER, Strung, body_diameter_m, mean_diameter_m, string_quads
from quoting.craft.work_plan import Task, work_plan
from quoting.craft.routes import Route, route_of

Array = NDArray[np.float64]
Index = NDArray[np.int64]
FOOT_M = 0.3048
CONTACT_SLACK = 0.03  # pairs this share of their radii apart still read as touching


@dataclass(frozen=True, slots=True)
class Material:
    """One line of the bill: ``quantity`` pieces of ``code``. ``part`` names the piece of the picture it pays for."""

    code: str
    quantity: int
    label: str
    part: str


@dataclass(frozen=True, slots=True)
class Balloons:
    """Every balloon as placed; arrays of one entry each.

    ``x, y, z`` [m], ``radius`` [m], ``size_in`` nominal, ``colour``: index into the palette, ``role``: index into
    design.ROLES, ``garland``: index, ``quad``: number of its quad within the garland (-1 for big rounds tied on;
    fillers count on from the last quad), ``station`` [m] along the route.
    """

    x: Array
    y: Array
    z: Array
    radius: Array
    size_in: Index
    colour: Index
    role: Index
    garland: Index
    quad: Index
    station: Array

    def __len__(self) -> int:
        return len(self.x)

    @property
    def centres(self) -> Array:
        return np.column_stack([self.x, self.y, self.z])


@dataclass(frozen=True, slots=True)
class GarlandResult:
    """One garland worked out: its route, what was measured, and its first and last balloon."""

    garland: Garland
    route: Route
    quads: int
    filler_quads: int
    fullness_bare: float
    fullness: float
    reach_m: float


@dataclass(frozen=True, slots=True)
class Dimensions:
    """Overall size of the set piece [m], length of garland [m], balloons a foot."""

    width_m: float
    height_m: float
    depth_m: float
    left_m: float
    garland_m: float
    balloons_per_foot: float


@dataclass(frozen=True, slots=True)
class TakeOff:
    """Everything a design needs. Lengths in metres; quantities are whole pieces, never rounded to bags."""

    design: Design
    balloons: Balloons
    garlands: tuple[GarlandResult, ...]
    leaves: tuple[florals.Leaf, ...]
    floral_counts: tuple[florals.FloralCount, ...]
    rigging: rigging.Rigging
    tasks: tuple[Task, ...]
    dimensions: Dimensions
    evenness: Evenness

    @property
    def counts(self) -> dict[tuple[int, str], int]:
        """Balloons by (nominal size in inches, colour code), as placed."""
        codes = [colour.colour for colour in self.design.palette]
        tally = Counter(zip(self.balloons.size_in.tolist(), self.balloons.colour.tolist(), strict=True))
        return {(size, codes[k]): n for (size, k), n in sorted(tally.items(), key=lambda item: (-item[0][0], item[0][1]))}

    @property
    def counts_with_loss(self) -> dict[tuple[int, str], int]:
        """The same with the loss allowance, each rounded up."""
        return {key: with_loss(n, self.design.loss) for key, n in self.counts.items()}

    @property
    def fullness(self) -> float:
        """Measured share of the visible envelope that is covered, weighted by length; 1 without a garland."""
        run = sum(item.route.length_m for item in self.garlands)
        return sum(item.fullness * item.route.length_m for item in self.garlands) / run if run else 1.0

    def bill(self) -> tuple[Material, ...]:
        """The bill of materials, loss included for latex."""
        names = {colour.colour: colour.name for colour in self.design.palette}
        lines = [
            Material(f"latex-{size}-{colour}", n, f"{size} in {names[colour]}", "garland")
            for (size, colour), n in self.counts_with_loss.items()
        ]
        lines.extend(_frame_lines(self.design))
        lines.extend(Material(item.item, item.pieces, item.label, "florals") for item in self.floral_counts if item.pieces)
        if self.design.sign:
            lines.append(Material(self.design.sign.item, 1, self.design.sign.label, "sign"))
        lines.extend(Material(item.code, item.quantity, item.label, item.part) for item in self.rigging.lines)
        return _merged(lines)

    def work(self) -> tuple[tuple[str, float], ...]:
        """Tasks in working order with their minutes of one pair of hands."""
        return tuple((task.name, task.minutes) for task in self.tasks)

    def minutes(self, phase: str) -> float:
        """Minutes of one pair of hands in a phase: prep, install or strike."""
        return sum(task.minutes for task in self.tasks if task.phase == phase)

    def explain(self, code: str) -> str:
        """How the quantity of one line of the bill came about."""
        from quoting.craft.explain import explain

        return explain(self, code)


def with_loss(count: int, loss: float) -> int:
    """Balloons to bring so that ``count`` are left after losing the share ``loss`` of ``count``."""
    return math.ceil(count * (1 + loss) - 1e-9)


def take_off(design: Design) -> TakeOff:
    """Work out a design.

    Deterministic for the same design and seed. Raises DesignError where the design asks for more than
    MOST_BALLOONS balloons or for a route that is too short to string.
    """
    room = _room(design)
    routes = _routes(design)
    streams = [np.random.default_rng([design.seed, index]) for index in range(len(routes))]
    strung = [string_quads(g, r, rng) for g, r, rng in zip(design.garlands, routes, streams, strict=True)]
    settled = _settled(strung, room)
    results, blocks = _filled(design, routes, strung, settled, room)
    leaves: list[florals.Leaf] = []
    for result, rng in zip(results, streams, strict=True):
        leaves.extend(florals.place_florals(design.florals, result.route, result.reach_m, rng))
    balloons, evenness = _coloured(design, blocks)
    rigged = rigging.rig(design, routes)
    counts = florals.count_florals(design.florals, routes)
    tasks = work_plan(design, balloons.size_in, balloons.role, results, counts, rigged)
    return TakeOff(
        design, balloons, tuple(results), tuple(leaves), counts, rigged, tasks,
        _dimensions(design, balloons, routes), evenness,
    )


# Private


def _routes(design: Design) -> list[Route]:
    routes = []
    expected = 0.0
    for index, garland in enumerate(design.garlands):
        route = route_of(garland, design.frames, ball_m=body_diameter_m(garland))
        pitch = garland.pitch * mean_diameter_m(garland)
        expected += CLUSTER[garland.cluster] * route.length_m / pitch * 2.2
        if route.length_m < 2 * pitch:
            raise DesignError([Fault(f"garlands[{index}].route",
                                     f"is {route.length_m:.2f} m long; at least {2 * pitch:.2f} m can be strung")])
        routes.append(route)
    if expected > MOST_BALLOONS:
        raise DesignError([Fault("garlands", f"would take about {expected:.0f} balloons; at most {MOST_BALLOONS} are "
                                 "worked out at once: shorten the route or use bigger balloons")])
    return routes


def _room(design: Design) -> relax.Room:
    obstacles = []
    for frame in design.frames:
        line = outline(frame).points
        tube = np.column_stack([line, np.full(len(line), frame.z_m)])
        filled = frame.cover is not None or frame.shape == "panel"
        radius = frame.width_m / 2 if frame.shape == "column" else frame.tube_m / 2
        obstacles.append(relax.Obstacle(tube, radius, face(frame) if filled and frame.shape != "column" else None,
                                        frame.z_m))
    rear = min((frame.z_m for frame in design.frames), default=0.0)
    return relax.Room(tuple(obstacles), rear - design.site.wall_gap_m)


def _settled(strung: list[Strung], room: relax.Room) -> list[Array]:
    """All garlands come to rest together, because they may touch each other."""
    if not strung:
        return []
    centres, radii, knots, tail = (
        np.concatenate([getattr(one, name) for one in strung]) for name in ("centres", "radii", "knots", "tail")
    )
    rest = relax.settle(centres, radii, knots, room, reach=tail)
    return np.split(rest, np.cumsum([len(one.radii) for one in strung])[:-1])


def _filled(
    design: Design, routes: list[Route], strung: list[Strung], settled: list[Array], room: relax.Room
) -> tuple[list[GarlandResult], list[dict[str, Array]]]:
    """Fillers of one garland after another; each sees all balloons placed before."""
    results, blocks = [], []
    every = list(settled)
    radii = [one.radii for one in strung]
    for index, (garland, route, one, centres) in enumerate(
        zip(design.garlands, routes, strung, settled, strict=True)
    ):
        filling = fillers.fill_gaps(
            garland, route, one, centres, np.concatenate(every), np.concatenate(radii), room
        )
        every.append(filling.centres)
        radii.append(filling.radii)
        result, block = _joined(garland, route, one, centres, filling)
        block["garland"] = np.full(len(block["radius"]), index)
        results.append(result)
        blocks.append(block)
    return results, blocks


def _joined(
    garland: Garland, route: Route, strung: Strung, centres: Array, filling: fillers.Filling
) -> tuple[GarlandResult, dict[str, Array]]:
    filler = next((k for k, mix in enumerate(garland.mix) if mix.role == "filler"), 0)
    quads = int(strung.quad.max()) + 1
    outside = np.linalg.norm(centres - strung.knots, axis=1) + strung.radii
    block = {
        "centres": np.concatenate([centres, filling.centres]),
        "radius": np.concatenate([strung.radii, filling.radii]),
        "entry": np.concatenate([strung.entry, np.full(len(filling.radii), filler)]),
        "quad": np.concatenate([strung.quad, quads + filling.quad]),
        "station": np.concatenate([strung.station, filling.station]),
        "angle": np.concatenate([_angle(route, centres, strung.station), _angle(route, filling.centres, filling.station)]),
    }
    roles = np.array([ROLES.index(mix.role) for mix in garland.mix])
    sizes = np.array([mix.size_in for mix in garland.mix])
    block["role"], block["size_in"] = roles[block["entry"]], sizes[block["entry"]]
    reach = float(np.mean(outside[strung.quad >= 0]))
    filler_quads = len(filling.radii) // 4
    return GarlandResult(garland, route, quads, filler_quads, filling.fullness_bare, filling.fullness, reach), block


def _angle(route: Route, centres: Array, station: Array) -> Array:
    """Where around the string each balloon sits [rad], 0 towards the viewer."""
    if not len(centres):
        return np.zeros(0)
    _, sideways, facing = route.triad(station)
    away = centres - route.at(station)
    return np.arctan2(np.einsum("ij,ij->i", away, sideways), np.einsum("ij,ij->i", away, facing))


def _coloured(design: Design, blocks: list[dict[str, Array]]) -> tuple[Balloons, Evenness]:
    if not blocks:
        none, whole = np.zeros(0), np.zeros(0, np.int64)
        return Balloons(none, none, none, none, whole, whole, whole, whole, whole, none), Evenness(0, 0, 0, 0.0, 0, 0)
    joined = {name: np.concatenate([block[name] for block in blocks]) for name in blocks[0]}
    i, j = relax.neighbours(joined["centres"], joined["radius"], CONTACT_SLACK)
    colour, evenness = colour_balloons(design, joined, i, j)
    x, y, z = joined["centres"].T
    balloons = Balloons(x, y, z, joined["radius"], joined["size_in"], colour, joined["role"], joined["garland"],
                        joined["quad"], joined["station"])
    return balloons, evenness


def _dimensions(design: Design, balloons: Balloons, routes: list[Route]) -> Dimensions:
    left, right, top, back, front = [], [], [], [], []
    for frame in design.frames:
        points = face(frame)
        left.append(points[:, 0].min())
        right.append(points[:, 0].max())
        top.append(points[:, 1].max())
        back.append(frame.z_m - frame.foot_depth_m / 2)
        front.append(frame.z_m + frame.foot_depth_m / 2)
    if len(balloons):
        left.append((balloons.x - balloons.radius).min())
        right.append((balloons.x + balloons.radius).max())
        top.append((balloons.y + balloons.radius).max())
        back.append((balloons.z - balloons.radius).min())
        front.append((balloons.z + balloons.radius).max())
    run = sum(route.length_m for route in routes)
    return Dimensions(
        float(max(right) - min(left)), float(max(top)), float(max(front) - min(back)), float(min(left)), run,
        len(balloons) / (run / FOOT_M) if run else 0.0,
    )


def _frame_lines(design: Design) -> list[Material]:
    lines = []
    for frame in design.frames:
        lines.append(Material(frame.item, 1, frame.label, "frames"))
        if frame.cover:
            lines.append(Material(frame.cover.item, 1, frame.cover.label, "frames"))
    return lines


def _merged(lines: list[Material]) -> tuple[Material, ...]:
    merged: dict[str, Material] = {}
    for line in lines:
        if line.quantity <= 0:
            continue
        before = merged.get(line.code)
        total = line.quantity + (before.quantity if before else 0)
        merged[line.code] = Material(line.code, total, line.label, line.part)
    return tuple(merged.values())
