"""Rigging: ties, strings, clips and pins that hold the garland together and to its frames."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from quoting.craft.design.foils import balloons_of
from quoting.craft.design.frames import face
from quoting.craft.design.records import Design, Sign
from quoting.craft.design.routes import Route
from quoting.craft.rigging.holds import tied_to_balloons
from quoting.craft.rigging.tie_points import (
    BINDER_CLIP,
    EMPTY_260_M,
    OWN_LINE,
    SPRING_CLAMP,
    THICK_TUBE_M,
    WALL_CLIP,
    TiePoint,
    tie_points,
)
from quoting.craft.settle.classic import wall_columns
from studio.trade.latex import twisting_name

KNOTS_M = 0.5  # of every drop of line: its two knots and what is cut off (common practice, no source)
FOIL_LINE_M = 1.0  # to tie on one foil balloon with air in it (common practice, no source)
TIES_A_COLUMN = 2  # of a wall: its string is made fast above and below (common practice, no source)


@dataclass(frozen=True, slots=True)
class RiggingLine:
    """Pieces of one kind of hardware."""

    code: str
    quantity: int
    label: str
    part: str
    reason: str


@dataclass(frozen=True, slots=True)
class Rigging:
    """Everything that holds the piece together."""

    ties: tuple[TiePoint, ...]
    lines: tuple[RiggingLine, ...]
    wall_ties: int = 0
    """Clips that hold the columns of walls to their frame."""


def rig(
    design: Design,
    routes: list[Route],
    *,
    strings: list[Route] | None = None,
    fillers: int,
    big_rounds: int = 0,
    end_quads: int = 0,
) -> Rigging:
    """List tie points, by hand or by length, turning and weight, and strings, clips, line, hooks and pins.

    ``routes`` are the lines as laid, by which ties are spaced; ``strings`` the same at rest, if known: what bends takes
    more string. Half a 260 joins each filler, a whole one ties on each of the big rounds and ties in each end quad.
    Common practice, no source; every figure is a constant of this module.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.settle.build import routes_of
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> lines = rig(design, routes_of(design), fillers=10, big_rounds=6).lines
    >>> [(line.code, line.quantity) for line in lines]
    [('latex-260-oat', 30), ('clip-binder', 6)]
    """
    ties = tuple(tie for k, route in enumerate(routes) for tie in tie_points(design, k, route))
    columns = [wall_columns(wall)[0] for wall in design.walls]
    wall_ties = TIES_A_COLUMN * sum(columns) if design.frames else 0
    lines = [
        _strings(
            design,
            strings or routes,
            {
                "as tails at the tie points": len(ties),
                f"cut in half for {fillers} fillers": math.ceil(fillers / 2),
                "to tie on big rounds": big_rounds,
                "to tie in end quads": end_quads,
                "to tie rounds to their frames": sum(bool(one.frame) for one in design.rounds),
                "to tie rounds to other balloons": tied_to_balloons(design, routes),
                "to tie rounds on top": sum(bool(one.on_top) for one in design.rounds),
            },
        ),
        *_clips(design, ties, wall_ties),
        _wall_clips(ties),
        _hooks(ties),
        _fishing_line(design, ties, columns),
        RiggingLine(
            "cover-pin", 2 * len(_hanging(design)), "Cover pin", "sign", "one behind each drop of line"
        ),
        *_bouquet_lines(design),
    ]
    return Rigging(ties, tuple(line for line in lines if line.quantity > 0), wall_ties)


# Private


def _strings(design: Design, routes: list[Route], besides: Mapping[str, int]) -> RiggingLine:
    """All 260s: the string, and ``besides`` by what they are for."""
    colour = design.palette[0]
    strings = sum(math.ceil(route.drawn_m * 1.1 / EMPTY_260_M) for route in routes)
    uses = {"as string": strings, **besides}
    reason = ", ".join(f"{count} {use}" for use, count in uses.items() if count)
    quantity = sum(uses.values())
    return RiggingLine(f"latex-260-{colour.colour}", quantity, twisting_name(colour.name), "garland", reason)


def _clips(design: Design, ties: Sequence[TiePoint], wall_ties: int) -> list[RiggingLine]:
    thick = [tie.holder for tie in ties].count(SPRING_CLAMP)
    thin = [tie.holder for tie in ties].count(BINDER_CLIP)
    on_thick = bool(wall_ties) and min(frame.tube_m for frame in design.frames) >= THICK_TUBE_M
    columns = "; top and bottom of every column of the wall" if wall_ties else ""
    return [
        RiggingLine(
            "clip-binder", thin + (0 if on_thick else wall_ties), "Binder clip", "frames",
            f"one for every tie point on thin tube{'' if on_thick else columns}",
        ),
        RiggingLine(
            "clamp-spring", thick + (wall_ties if on_thick else 0), "Spring clamp", "frames",
            f"one for every tie point on thick tube{columns if on_thick else ''}",
        ),
    ]  # fmt: skip


def _wall_clips(ties: Sequence[TiePoint]) -> RiggingLine:
    held = [tie.holder for tie in ties].count(WALL_CLIP)
    reason = "one for every tie point on the wall, where the venue allows it"
    return RiggingLine("clip-wall", held, "Wall clip", "garland", reason)


def _hooks(ties: Sequence[TiePoint]) -> RiggingLine:
    hung = [tie.holder for tie in ties].count(OWN_LINE)
    return RiggingLine("ceiling-hook", hung, "Ceiling hook", "garland", "one above every tie that hangs free")


def _fishing_line(design: Design, ties: Sequence[TiePoint], columns: Sequence[int]) -> RiggingLine:
    """All fishing line of a piece: a bill has one line for it."""
    drops = [design.site.ceiling_m - tie.y for tie in ties if tie.holder == OWN_LINE]
    hung = sum(max(drop, 0.0) + KNOTS_M for drop in drops)
    walls = sum(n * (wall.height_m + KNOTS_M) for n, wall in zip(columns, design.walls, strict=True))
    tied = [foil for foil in design.foils if foil.gas == "air" or foil.on_top]
    foils = sum(len(balloons_of(foil)) for foil in tied) * FOIL_LINE_M
    signs = sum(_sign_line_m(design, sign) for sign in _hanging(design))
    reasons = [
        words
        for length_m, words in (
            (hung, f"{len(drops)} drops from the ceiling"),
            (walls, "one string up every column of the wall"),
            (foils, "a metre to tie on every foil balloon"),
            (signs, "two drops of the sign over the frame, made fast behind"),
        )
        if length_m
    ]
    part = "garland" if hung or walls else "sign" if signs else "foils"
    total = math.ceil(hung + walls + signs + foils - 1e-9)
    return RiggingLine("fishing-line-m", total, "Fishing line, metres", part, "; ".join(reasons))


def _hanging(design: Design) -> list[Sign]:
    """The signs that hang from a frame."""
    return [sign for sign in design.signs if sign.frame]


def _sign_line_m(design: Design, sign: Sign) -> float:
    """Two drops from the tube above the sign, as long behind, where a pin holds them out of sight [m]."""
    frame = design.frame(sign.frame)
    assert frame is not None
    points = face(frame)
    over = points[np.abs(points[:, 0] - sign.x_m) <= max(sign.width_m / 2, 0.05)]
    top = float(over[:, 1].max()) if len(over) else frame.base_m + frame.height_m
    drop = max(top - (sign.y_m + sign.height_m / 2), 0.0)
    return 2 * (2 * drop + KNOTS_M)


def _bouquet_lines(design: Design) -> list[RiggingLine]:
    """A ribbon for every balloon; indoors a weight for each bouquet and each balloon that floats by itself, since
    ballast holds those in the wind. What stands on top of something is tied to that."""
    singles = [one.y_m for one in design.rounds if one.gas == "helium" and not one.on_top]
    floating = [foil for foil in design.foils if foil.gas == "helium" and not foil.on_top]
    singles += [foil.y_m for foil in floating for _ in balloons_of(foil)]
    ribbon = sum(one.count * one.top_m for one in design.bouquets) + sum(singles)
    weights = 0 if design.site.judged_gust_m_s > 0 else len(design.bouquets) + len(singles)
    alone = " and every balloon that floats by itself" if singles else ""
    return [
        RiggingLine("bouquet-weight", weights, "Bouquet weight", "garland", f"one for every bouquet{alone}"),
        RiggingLine(
            "ribbon-m",
            math.ceil(ribbon),
            "Ribbon, metres",
            "garland",
            "one length to the floor for every balloon",
        ),
    ]
