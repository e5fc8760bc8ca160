"""Labor: minutes by task, from the studio's rates. Minutes are those of one person."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from quoting.craft.design.records import ROLES, Design
from quoting.craft.rigging.florals import FloralCount
from quoting.craft.rigging.ties import Rigging
from quoting.craft.settle.build import GarlandResult
from quoting.craft.takeoff.balloons import Balloons
from quoting.craft.takeoff.carrying import Loads, carried, seconds_a_load
from studio.trade.sentences import Sentence

PREP, INSTALL, STRIKE, WASHING = "prep", "install", "strike", "washing"
PHASES = (PREP, INSTALL, STRIKE, WASHING)
BIG_FROM_IN = 13
INFLATING = "Inflate and size"


@dataclass(frozen=True, slots=True)
class Task:
    """One task: its phase (one of PHASES), the minutes of one person, and how they come about."""

    name: str
    phase: str
    minutes: float
    reason: Sentence


def work_plan(
    design: Design,
    balloons: Balloons,
    garlands: Sequence[GarlandResult],
    floral_counts: Sequence[FloralCount],
    rigging: Rigging,
    loads: Loads,
) -> tuple[Task, ...]:
    """List the tasks in working order; leave out those without minutes.

    Counts times the design's rates, which are the product's until a studio puts in its own.
    """
    rate = design.rates
    size_in, role = balloons.size_in, balloons.role
    gain = 1 + design.loss
    small = int(np.count_nonzero(size_in < BIG_FROM_IN))
    big = int(np.count_nonzero(size_in >= BIG_FROM_IN))
    quads = sum(item.quads for item in garlands) + _wall_quads(design, balloons)
    fillers = sum(item.filler_quads for item in garlands) / 2
    accents = int(np.count_nonzero(role == ROLES.index("accent")))
    strung = len(size_in) - accents
    covers = sum(frame.cover is not None for frame in design.frames)
    green = sum(item.length_m for item in floral_counts)
    picks = sum(item.pieces for item in floral_counts if item.kind != "greenery")
    frames, ties = len(design.frames), len(rigging.ties) + rigging.wall_ties
    each_load = seconds_a_load(design.site, rate)
    rows = [
        (
            INFLATING,
            PREP,
            (small * rate.inflate_s + big * rate.inflate_big_s) * gain,
            (f"{small} up to 12 in, {big} bigger, and the loss",),
        ),
        ("Tie pairs and quads", PREP, strung * rate.tie_s, _counted(strung, "balloon")),
        ("Make up fillers", PREP, fillers * rate.filler_s, _counted(fillers, "filler")),
        ("String the garland", PREP, quads * rate.string_s, _counted(quads, "quad")),
        ("Carry in", INSTALL, loads.way_in * each_load, carried(loads.way_in, design.site)),
        ("Set up frames", INSTALL, frames * rate.frame_s, _counted(frames, "frame")),
        ("Dress covers", INSTALL, covers * rate.cover_s, _counted(covers, "cover")),
        ("Hang the sign", INSTALL, rate.sign_s if design.sign else 0.0, ("one sign",)),
        ("Clips and tails", INSTALL, ties * rate.tie_point_s, _counted(ties, "tie point")),
        ("Hang the garland", INSTALL, quads * rate.hang_quad_s, _counted(quads, "quad")),
        ("Tie on big rounds", INSTALL, accents * rate.accent_s, _counted(accents, "big round")),
        ("Wrap fillers", INSTALL, fillers * rate.place_filler_s, _counted(fillers, "filler")),
        (
            "Florals",
            INSTALL,
            green * rate.greenery_s + picks * rate.pick_s,
            (round(green, 4), f" of greenery, {picks} picks and sprays"),
        ),
        (
            "Take down balloons",
            STRIKE,
            len(size_in) * rate.strike_balloon_s,
            _counted(len(size_in), "balloon"),
        ),
        ("Strip and pack frames", STRIKE, frames * rate.strike_frame_s, _counted(frames, "frame")),
        ("Carry out", STRIKE, loads.way_out * each_load, carried(loads.way_out, design.site)),
        ("Wash covers", WASHING, covers * rate.wash_cover_s, _counted(covers, "cover")),
    ]
    return tuple(
        Task(name, phase, seconds / 60, reason) for name, phase, seconds, reason in rows if seconds > 0
    )


def _wall_quads(design: Design, balloons: Balloons) -> int:
    first = len(design.garlands)
    walls = (balloons.garland >= first) & (balloons.garland < first + len(design.walls))
    return len(set(zip(balloons.garland[walls].tolist(), balloons.quad[walls].tolist(), strict=True)))


def _counted(count: float, one: str, many: str = "") -> Sentence:
    return (f"{count:g} {one if count == 1 else many or one + 's'}",)
