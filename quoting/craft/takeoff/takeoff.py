"""The take-off: a design worked out to every balloon, frame, clip and minute."""

from __future__ import annotations

import math
import zlib
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from quoting.craft.colour import plan
from quoting.craft.colour.plan import Evenness, colour_balloons
from quoting.craft.design.boxes import thing_boxes
from quoting.craft.design.checks import is_empty
from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.frames import face
from quoting.craft.design.prints import printed_sheet
from quoting.craft.design.records import ROLES, CoverPrint, Design, Frame, Rates, Sign
from quoting.craft.design.routes import Route
from quoting.craft.design.signs import as_made, is_lettered, is_made_to_order
from quoting.craft.design.things import Foil, Lettering
from quoting.craft.rigging import florals
from quoting.craft.rigging import ties as rigging
from quoting.craft.rigging.ends import EndQuads, end_quads
from quoting.craft.settle import build
from quoting.craft.settle.build import Column, GarlandResult, Piece
from quoting.craft.settle.fullness import Fullness, fullness_of
from quoting.craft.takeoff.balloons import Balloons, Index
from quoting.craft.takeoff.carrying import LIFT_KG, loads
from quoting.craft.takeoff.doubles import every_colour, stuffed
from quoting.craft.takeoff.holding_down import holding_lines
from quoting.craft.takeoff.minutes import Task, work_plan
from quoting.craft.takeoff.singles import round_pieces, with_rounds
from quoting.craft.takeoff.spares import Allowance, Batch, allowance, batches_of
from studio.trade.latex import round_name
from studio.trade.packing import (
    BALLAST,
    CYLINDER,
    Packed,
    packed_box,
    packed_frames,
    packed_goods,
    packed_parts,
    packed_rounds,
    packed_together,
)

FOOT_M = 0.3048  # exact (international yard and pound agreement, 1959)


@dataclass(frozen=True, slots=True)
class Material:
    """One line of the bill: ``quantity`` pieces of ``code``. ``part`` names the piece of the picture it pays for;
    ``area_m2``: what one piece takes of printed cloth [m2], if it is printed."""

    code: str
    quantity: int
    label: str
    part: str
    area_m2: float | None = None


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
    pieces: tuple[Piece, ...]
    balloons: Balloons
    garlands: tuple[GarlandResult, ...]
    leaves: tuple[florals.Leaf, ...]
    floral_counts: tuple[florals.FloralCount, ...]
    rigging: rigging.Rigging
    tasks: tuple[Task, ...]
    dimensions: Dimensions
    evenness: Evenness
    counts: dict[
        tuple[int, str], int
    ]  # balloons by (nominal size in inches, colour code), as placed, those within others too
    allowance: Allowance
    ends: tuple[EndQuads, ...]

    @property
    def to_bring(self) -> dict[tuple[int, str], int]:
        """The same with the spares."""
        spares = self.allowance.spares
        return {key: count + spares[key] for key, count in self.counts.items()}

    @property
    def filled(self) -> Fullness:
        """How full the organic garlands are, as asked, as measured and at most."""
        return fullness_of(self.garlands)

    @property
    def fullness(self) -> float:
        """Measured share of the visible envelope that is covered, weighted by length; 1 without an organic garland."""
        return self.filled.measured

    @property
    def highest_fullness(self) -> float:
        """How full it can get, weighted by length: fillers wherever a whole one fits, up to 0.97."""
        return self.filled.highest

    def bill(self) -> tuple[Material, ...]:
        """The bill of materials, spares included for latex."""
        names = {colour.colour: colour.name for colour in every_colour(self.design)}
        lines = [
            Material(f"latex-{size}-{colour}", n, round_name(size, names[colour]), "garland")
            for (size, colour), n in self.to_bring.items()
        ]
        lines.extend(_frame_lines(self.design))
        lines.extend(
            Material(item.item, item.pieces, item.label, "florals")
            for item in self.floral_counts
            if item.pieces
        )
        lines.extend(Material(spray.item, 1, spray.label, "florals") for spray in self.design.sprays)
        for sign in self.design.signs:
            lines.extend(_sign_lines(sign))
        lines.extend(_lettering_line(one) for one in self.design.letterings)
        lines.extend(Material(prop.item, 1, prop.label, "props") for prop in self.design.props)
        lines.extend(line for foil in self.design.foils for line in _foil_lines(foil))
        lines.extend(Material(item.code, item.quantity, item.label, item.part) for item in self.rigging.lines)
        return _merged(lines)

    def work(self) -> tuple[tuple[str, float], ...]:
        """List the tasks in working order with the minutes of one person."""
        return tuple((task.name, task.minutes) for task in self.tasks)

    def minutes(self, phase: str) -> float:
        """Sum the minutes of one person in a phase: prep, install, strike or washing."""
        return sum(task.minutes for task in self.tasks if task.phase == phase)


def take_off(design: Design) -> TakeOff:
    """Work out a design.

    Deterministic for the same design and seed. Raises DesignError where the design asks for more than
    MOST_BALLOONS balloons or for a route that is too short to string, and where it is empty.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> takeoff = take_off(load_design(STARTERS / "classic-arch.json"))
    >>> len(takeoff.balloons), takeoff.counts
    (136, {(11, 'ink'): 41, (11, 'pale-grey'): 54, (11, 'sun'): 41})
    """
    placed = laid_out(unpriced(design))
    spares = _spares(tuple(batches_of(design, placed.balloons.with_inner())), design.loss, design.service)
    brought = replace(placed, design=design, allowance=spares)
    packed = packed_load(brought)
    heavy = math.ceil(packed.ballast_kg / LIFT_KG) + packed.cylinders
    by_hand = loads(
        design, balloons=len(placed.balloons), rounds=packed.rounds, parts=packed.parts, heavy=heavy
    )
    at_ends = sum(end.count for end in placed.ends)
    tasks = work_plan(
        design, placed.balloons, placed.garlands, placed.floral_counts, placed.rigging, by_hand, at_ends
    )
    return replace(brought, tasks=tasks)


def unpriced(design: Design) -> Design:
    """Give the design without whatever changes minutes and spares only: rates, loss, service and bags.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "classic-arch.json")
    >>> unpriced(replace(design, loss=0.2)) == unpriced(design)
    True
    """
    return replace(design, loss=0.0, service=0.5, bags=(), rates=Rates())


@lru_cache(maxsize=build.KEPT)
def laid_out(design: Design) -> TakeOff:
    """Work out everything of a design but spares and minutes: all that a picture of it shows.

    The last ones are kept, so that another crew or loss lays out and colours nothing. DesignError as in
    :func:`take_off`.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> laid_out(load_design(STARTERS / "classic-arch.json")).tasks
    ()
    """
    if is_empty(design):
        raise DesignError(Fault(code=FaultCode.EMPTY_DESIGN, field="garlands"))
    made = build.built(design)
    routes = [result.laid for result in made.garlands]
    colour, evenness = colour_balloons(design.palette, made)
    balloons = stuffed(design, with_rounds(design, _balloons(made.columns, colour)))
    leaves: list[florals.Leaf] = []
    for index, result in enumerate(made.garlands):
        rng = np.random.default_rng([design.seed, index, 1])
        leaves.extend(florals.place_florals(design.florals, result.route, result.reach_m, rng, garland=index))
    ends = end_quads(made.garlands)
    return TakeOff(
        design,
        made.pieces + round_pieces(design),
        balloons,
        made.garlands,
        tuple(leaves),
        florals.count_florals(design.florals, routes),
        _rigged(design, made.garlands, balloons, at_ends=sum(end.count for end in ends)),
        (),
        _dimensions(design, balloons, routes),
        evenness,
        _counted(design, balloons.with_inner()),
        Allowance(),
        ends,
    )


def forget() -> None:
    """Drop what is kept of take-offs, so that a measurement of the work measures the work."""
    build.forget()
    plan.forget()
    laid_out.cache_clear()
    _spares.cache_clear()


@dataclass(frozen=True, slots=True)
class PackedLoad:
    """What a piece takes up in a van: balloons in their bags, frames that lie flat, props as they are, and
    pieces in crates."""

    rounds: Packed
    frames: Packed
    props: Packed
    parts: int
    ballast_kg: int
    cylinders: int

    @property
    def together(self) -> Packed:
        """Everything in one van."""
        heavy = [packed_goods(BALLAST, self.ballast_kg), packed_goods(CYLINDER, self.cylinders)]
        return packed_together([self.rounds, self.frames, self.props, packed_parts(self.parts), *heavy])


def packed_load(takeoff: TakeOff) -> PackedLoad:
    """Pack as the plan reckons an event's bill: rounds as placed, frames flat, 260s empty, ballast and cylinders by
    themselves, the rest in crates."""
    rounds: Counter[int] = Counter()
    for (size, _colour), count in takeoff.counts.items():
        rounds[size] += count
    frames = {frame.item for frame in takeoff.design.frames} | {prop.item for prop in takeoff.design.props}
    goods = {line.code: line.quantity for line in takeoff.bill() if not line.code.startswith("latex-")}
    ballast_kg, cylinders = goods.pop(BALLAST, 0), goods.pop(CYLINDER, 0)
    return PackedLoad(
        packed_together(packed_rounds(size, count) for size, count in rounds.items()),
        packed_together(
            packed_frames(frame.width_m, frame.height_m) for frame in takeoff.design.brought_frames
        ),
        packed_together(packed_box(prop.packed_m) for prop in takeoff.design.brought_props),
        sum(quantity for code, quantity in goods.items() if code not in frames),
        ballast_kg,
        cylinders,
    )


# Private


@lru_cache(maxsize=build.KEPT)
def _spares(batches: tuple[Batch, ...], loss: float, service: float) -> Allowance:
    return allowance(batches, loss=loss, service=service)


def _rigged(
    design: Design, garlands: Sequence[GarlandResult], balloons: Balloons, *, at_ends: int
) -> rigging.Rigging:
    """Ties and strings, and what holds the piece down."""
    rigged = rigging.rig(
        design,
        [result.laid for result in garlands],
        strings=[result.route for result in garlands],
        fillers=sum(item.filler_quads for item in garlands) // 2,
        big_rounds=int(np.count_nonzero(balloons.role == ROLES.index("accent"))),
        end_quads=at_ends,
    )
    return replace(rigged, lines=(*rigged.lines, *holding_lines(design, balloons)))


def _balloons(columns: Mapping[str, Column], colour: Index) -> Balloons:
    if not columns:
        none, whole = np.zeros(0), np.zeros(0, np.int64)
        return Balloons(none, none, none, none, whole, whole, whole, whole, whole, none, whole)
    x, y, z = columns["centres"].T
    names = ("size_in", "role", "piece", "quad")
    size, role, piece, quad = (columns[name].astype(np.int64) for name in names)
    unstuffed = np.full(len(size), -1, np.int64)
    return Balloons(
        x, y, z, columns["radius"], size, colour, role, piece, quad, columns["station"], unstuffed
    )


def _counted(design: Design, balloons: Balloons) -> dict[tuple[int, str], int]:
    codes = [colour.colour for colour in every_colour(design)]
    tally = Counter(zip(balloons.size_in.tolist(), balloons.colour.tolist(), strict=True))
    return {
        (size, codes[k]): n
        for (size, k), n in sorted(tally.items(), key=lambda item: (-item[0][0], item[0][1]))
    }


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
    for box in thing_boxes(design):
        left.append(box.left)
        right.append(box.right)
        top.append(box.top)
        back.append(box.rear)
        front.append(box.front)
    run = sum(route.length_m for route in routes)
    return Dimensions(
        float(max(right) - min(left)),
        float(max(top)),
        float(max(front) - min(back)),
        float(min(left)),
        run,
        int(np.count_nonzero(balloons.garland < len(design.garlands))) / (run / FOOT_M) if run else 0.0,
    )


def _frame_lines(design: Design) -> list[Material]:
    lines = []
    for frame in design.frames:
        lines.append(Material(frame.item, 1, frame.label, "frames"))
        if frame.cover:
            plain = Material(frame.cover.item, 1, frame.cover.label, "frames")
            lines.append(printed_cover(frame, frame.cover_print) if frame.cover_print else plain)
    return lines


def printed_cover(frame: Frame, laid: CoverPrint) -> Material:
    """The cover that is printed for a frame, in the place of the one on the shelf; alike where image and outline
    are."""
    seen, sheet = printed_sheet(frame, 0.0), printed_sheet(frame, laid.bleed_m)
    size = f"{seen.width_m:.2f} × {seen.height_m:.2f} m with {100 * laid.bleed_m:.3g} cm bleed"
    corners = np.rint(1000 * face(replace(frame, x_m=0.0, base_m=0.0))).astype(int).tolist()
    numbered = f"{zlib.crc32(f'{corners}|{laid}'.encode()):08x}"
    label = f"Printed cover, {size}, to be made"
    return Material(f"cover-printed-{numbered}", 1, label, "frames", round(sheet.area_m2, 4))


def _sign_lines(sign: Sign) -> list[Material]:
    """The shelf's sign where it says what is wanted; else a sign to be made, or lettering on a plain one."""
    numbered = f"{zlib.crc32(sign.text.strip().encode()):08x}"
    if is_made_to_order(sign):
        return [Material(f"sign-made-{numbered}", 1, f"{as_made(sign)}, to be made", "sign")]
    lines = [Material(sign.item, 1, sign.label, "sign")]
    if is_lettered(sign):
        lines.append(Material(f"sign-lettering-{numbered}", 1, f"Lettering “{sign.text}”", "sign"))
    return lines


def _lettering_line(one: Lettering) -> Material:
    """Words to be cut: alike where text, letters, size and colour are."""
    numbered = f"{zlib.crc32(f'{one.text.strip()}|{one.font}|{one.height_m:g}|{one.hex}'.encode()):08x}"
    return Material(f"lettering-{numbered}", 1, f"Lettering “{one.text}”", "letterings")


def _foil_lines(foil: Foil) -> list[Material]:
    """Each letter and digit is an item of its own."""
    if foil.shape != "glyphs":
        return [Material(foil.item, 1, foil.label, "foils")]
    glyphs = foil.text.upper()
    return [Material(f"{foil.item}-{one.lower()}", 1, f"{foil.label} “{one}”", "foils") for one in glyphs]


def _merged(lines: list[Material]) -> tuple[Material, ...]:
    merged: dict[str, Material] = {}
    for line in lines:
        if line.quantity <= 0:
            continue
        before = merged.get(line.code)
        merged[line.code] = replace(line, quantity=line.quantity + before.quantity) if before else line
    return tuple(merged.values())
