"""Labor: minutes by task, from the studio's rates. Minutes are those of one person."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from quoting.craft.design.foils import balloons_of
from quoting.craft.design.records import ROLES, Design, Rates
from quoting.craft.rigging.florals import FloralCount
from quoting.craft.rigging.ties import Rigging
from quoting.craft.settle.build import GarlandResult
from quoting.craft.takeoff.balloons import Balloons
from quoting.craft.takeoff.carrying import Loads, carried, seconds_a_load
from studio.trade.sentences import Sentence
from studio.trade.sentences import to_translate as task

PREP, INSTALL, STRIKE, WASHING = "prep", "install", "strike", "washing"
PHASES = (PREP, INSTALL, STRIKE, WASHING)
BIG_FROM_IN = 13  # from here on inflating takes the longer rate (common practice, no source)
INFLATING = task("Inflate and size")
_Row: TypeAlias = tuple[str, float, Sentence]
"""A task's name, its seconds, and how they come about."""


@dataclass(frozen=True, slots=True)
class Task:
    """One task: its phase (one of PHASES), the minutes of one person, and how they come about."""

    name: str
    phase: str
    minutes: float
    reason: Sentence


@dataclass(frozen=True, slots=True)
class _Counts:
    """What there is to do, by the piece; greenery in metres, fillers by pairs of their quads."""

    balloons: int
    latex: int
    big: int
    accents: int
    singles: int
    foils: int
    props: int
    letterings: int
    quads: int
    end_quads: int
    fillers: float
    frames: int
    covers: int
    signs: int
    ties: int
    greenery_m: float
    picks: int


def work_plan(
    design: Design,
    balloons: Balloons,
    garlands: Sequence[GarlandResult],
    floral_counts: Sequence[FloralCount],
    rigging: Rigging,
    loads: Loads,
    end_quads: int = 0,
) -> tuple[Task, ...]:
    """List the tasks in working order; leave out those without minutes.

    Counts times the design's rates, which are the product's until a studio puts in its own.
    """
    latex = balloons.with_inner()
    count = _Counts(
        balloons=len(balloons),
        latex=len(latex),
        big=int(np.count_nonzero(latex.size_in >= BIG_FROM_IN)),
        accents=int(np.count_nonzero(balloons.role == ROLES.index("accent"))),
        singles=len(design.rounds),
        letterings=len(design.letterings),
        props=len(design.brought_props),
        foils=sum(len(balloons_of(foil)) for foil in design.foils),
        quads=sum(item.quads for item in garlands) + _wall_quads(design, balloons) - end_quads,
        end_quads=end_quads,
        fillers=sum(item.filler_quads for item in garlands) / 2,
        frames=len(design.brought_frames),
        covers=sum(frame.cover is not None for frame in design.frames),
        signs=len(design.signs),
        ties=len(rigging.ties) + rigging.wall_ties,
        greenery_m=sum(item.length_m for item in floral_counts),
        picks=sum(item.pieces for item in floral_counts if item.kind != "greenery") + len(design.sprays),
    )
    rows = {
        PREP: _prep(count, design.rates, 1 / (1 - design.loss)),
        INSTALL: [_carrying(task("Carry in"), loads.way_in, design), *_install(count, design.rates)],
        STRIKE: [*_strike(count, design.rates), _carrying(task("Carry out"), loads.way_out, design)],
        WASHING: [
            (task("Wash covers"), count.covers * design.rates.wash_cover_s, _counted(count.covers, "cover"))
        ],
    }
    return tuple(
        Task(name, phase, seconds / 60, reason)
        for phase, tasks in rows.items()
        for name, seconds, reason in tasks
        if seconds > 0
    )


# Private


def _prep(count: _Counts, rate: Rates, gain: float) -> list[_Row]:
    doubles = count.latex - count.balloons
    small, strung = count.latex - count.big, count.balloons - count.accents - count.singles
    inflating = (small * rate.inflate_s + count.big * rate.inflate_big_s) * gain
    return [
        (INFLATING, inflating, (f"{small} up to 12 in, {count.big} bigger, and the loss",)),
        (
            task("Push balloons into others"),
            doubles * rate.stuff_s,
            _counted(doubles, "double-stuffed balloon"),
        ),
        (task("Tie pairs and quads"), strung * rate.tie_s, _counted(strung, "balloon")),
        (task("Make up fillers"), count.fillers * rate.filler_s, _counted(count.fillers, "filler")),
        (task("Fill foil balloons"), count.foils * rate.foil_s, _counted(count.foils, "foil balloon")),
        (task("String the garland"), count.quads * rate.string_s, _counted(count.quads, "quad")),
    ]


def _install(count: _Counts, rate: Rates) -> list[_Row]:
    florals = count.greenery_m * rate.greenery_s + count.picks * rate.pick_s
    return [
        (task("Set up frames"), count.frames * rate.frame_s, _counted(count.frames, "frame")),
        (task("Set up props"), count.props * rate.prop_s, _counted(count.props, "prop")),
        (task("Dress covers"), count.covers * rate.cover_s, _counted(count.covers, "cover")),
        (task("Hang the sign"), count.signs * rate.sign_s, _counted_signs(count.signs)),
        (
            task("Put on letterings"),
            count.letterings * rate.lettering_s,
            _counted(count.letterings, "lettering"),
        ),
        (task("Clips and tails"), count.ties * rate.tie_point_s, _counted(count.ties, "tie point")),
        (task("Hang the garland"), count.quads * rate.hang_quad_s, _counted(count.quads, "quad")),
        (task("Tie in end quads"), count.end_quads * rate.accent_s, _counted(count.end_quads, "end quad")),
        (task("Tie on big rounds"), count.accents * rate.accent_s, _counted(count.accents, "big round")),
        (task("Place single rounds"), count.singles * rate.accent_s, _counted(count.singles, "round")),
        (task("Place foil balloons"), count.foils * rate.place_foil_s, _counted(count.foils, "foil balloon")),
        (task("Wrap fillers"), count.fillers * rate.place_filler_s, _counted(count.fillers, "filler")),
        (
            task("Florals"),
            florals,
            (round(count.greenery_m, 4), f" of greenery, {count.picks} picks and sprays"),
        ),
    ]


def _strike(count: _Counts, rate: Rates) -> list[_Row]:
    return [
        (
            task("Take down balloons"),
            count.balloons * rate.strike_balloon_s,
            _counted(count.balloons, "balloon"),
        ),
        (task("Take down foils"), count.foils * rate.strike_balloon_s, _counted(count.foils, "foil balloon")),
        (task("Strip and pack frames"), count.frames * rate.strike_frame_s, _counted(count.frames, "frame")),
        (task("Pack props"), count.props * rate.strike_prop_s, _counted(count.props, "prop")),
    ]


def _counted_signs(count: int) -> Sentence:
    return ("one sign",) if count == 1 else (f"{count} signs",)


def _carrying(name: str, count: int, design: Design) -> _Row:
    return name, count * seconds_a_load(design.site, design.rates), carried(count, design.site)


def _wall_quads(design: Design, balloons: Balloons) -> int:
    first = len(design.garlands)
    walls = (balloons.garland >= first) & (balloons.garland < first + len(design.walls))
    return len(set(zip(balloons.garland[walls].tolist(), balloons.quad[walls].tolist(), strict=True)))


def _counted(count: float, one: str, many: str = "") -> Sentence:
    return (f"{count:g} {one if count == 1 else many or one + 's'}",)
