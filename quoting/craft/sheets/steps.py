"""What the crew does on site, in working order."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from quoting.craft.colour.plan import ACCENT, FILLER
from quoting.craft.design.records import Design
from quoting.craft.design.signs import as_made
from quoting.craft.design.things import Foil, Round
from quoting.craft.design.toppers import support_label, toppers
from quoting.craft.takeoff.doubles import shown_names
from quoting.craft.takeoff.holding_down import FOOT_FIXING, weight_that_holds
from quoting.craft.takeoff.singles import SINGLE
from quoting.craft.takeoff.takeoff import TakeOff
from studio.trade.latex import round_name
from studio.trade.packing import BALLAST

OUNCE_G = 28.349523125  # international avoirdupois ounce, exact


@dataclass(frozen=True, slots=True)
class Step:
    """One step: a word for what is put up in it, and what to do."""

    kind: str
    text: str


def steps_of(takeoff: TakeOff) -> list[Step]:
    """List what the crew does on site, in working order.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> [step.kind for step in steps_of(take_off(load_design(STARTERS / "classic-arch.json")))]
    ['frames', 'ties', 'garlands', 'look']
    """
    told = (*_before_garlands(takeoff), *_garlands_and_after(takeoff))
    return [Step(kind, text) for kind, applies, text in told if applies]


# Private


Told: TypeAlias = tuple[str, bool, str]


def _before_garlands(takeoff: TakeOff) -> list[Told]:
    """Frames, what holds them down, covers and signs: kind, whether it applies, and the text."""
    design, brought = takeoff.design, takeoff.design.brought_frames
    covers = sum(frame.cover is not None for frame in design.frames)
    billed = {line.code for line in takeoff.rigging.lines}
    return [
        (
            "frames",
            bool(brought),
            f"Set up the frames, the rearmost first: {', '.join(frame.label for frame in brought)}.",
        ),
        (
            "ballast",
            bool(design.frames) and BALLAST in billed,
            "Lay the ballast on the feet before anything catches wind.",
        ),
        ("ballast", FOOT_FIXING in billed, "Fix every foot to the ground."),
        *(("props", True, text) for text in _prop_steps(design)),
        ("covers", covers > 0, f"Dress {covers} covers, seams to the edge."),
        *(
            ("letterings", True, f"Put on the words “{one.text}”, the lowest line first.")
            for one in design.letterings
        ),
        *(
            ("sign", True, f"{'Hang' if sign.frame else 'Set up'} the sign: {as_made(sign)}.")
            for sign in design.signs
        ),
    ]


def _garlands_and_after(takeoff: TakeOff) -> list[Told]:
    """Tie points, balloons, florals and the last look: kind, whether it applies, and the text."""
    design = takeoff.design
    fillers = int(np.count_nonzero(takeoff.balloons.role == FILLER)) // 8
    big = int(np.count_nonzero(takeoff.balloons.role == ACCENT))
    ends = sum(end.count for end in takeoff.ends)
    on_walls = takeoff.rigging.wall_ties
    ties = len(takeoff.rigging.ties) + on_walls
    clips = sum(bool(tie.frame) for tie in takeoff.rigging.ties) + on_walls
    in_wind = design.site.judged_gust_m_s > 0
    return [
        (
            "ties",
            ties > 0,
            f"Make {ties} tie points, {clips} of them clips on frames, their tails left long.",
        ),
        ("walls", bool(design.walls), "Build the walls row by row from the floor."),
        ("garlands", bool(design.garlands), "Hang the garlands, each from its middle outward."),
        ("ends", ends > 0, f"Tie in {ends} end quads at the foot and at free ends."),
        ("big rounds", big > 0, f"Tie on {big} big rounds at their places."),
        ("rounds", not all(one.on_top for one in design.rounds), f"Place {_single_rounds(takeoff)}."),
        *(("toppers", True, text) for text in _topper_steps(takeoff)),
        *(("foils", True, _foil_step(design, foil)) for foil in design.foils if not foil.on_top),
        ("fillers", fillers > 0, f"Wrap {fillers} fillers into their gaps."),
        ("florals", bool(design.florals), "Weave the greenery, ends hidden; then picks, then sprays."),
        ("sprays", bool(design.sprays), f"Set the placed florals: {_placed_florals(design)}."),
        (
            "bouquets",
            bool(design.bouquets),
            f"Tie the bouquets to their {'ballast' if in_wind else 'weights'}.",
        ),
        ("look", True, "Step back and look."),
    ]


def _single_rounds(takeoff: TakeOff) -> str:
    """The rounds by themselves, alike ones together."""
    names = _round_names(takeoff)
    told = Counter(names[one.id] for one in takeoff.design.rounds if not one.on_top)
    return ", ".join(f"{count} x {name}" for name, count in told.items())


def _round_names(takeoff: TakeOff) -> dict[str, str]:
    """Size and colour of the rounds by themselves, by id."""
    alone = takeoff.balloons.chosen(takeoff.balloons.role == SINGLE)
    shown = shown_names(takeoff.design, alone)
    keys = zip(takeoff.design.rounds, alone.size_in.tolist(), alone.colour.tolist(), strict=True)
    return {one.id: round_name(size, shown[size, colour]) for one, size, colour in keys}


def _topper_steps(takeoff: TakeOff) -> list[str]:
    """What goes on top of what, alike ones together; what floats is tied to what bears it."""
    design, names = takeoff.design, _round_names(takeoff)
    told = Counter(
        f"{_foil_words(one) if isinstance(one, Foil) else names[one.id]} on top of "
        f"{support_label(design, one.on_top)}, {_made_fast(design, one)}"
        for one in toppers(design)
    )
    return [f"Set {words}." if count == 1 else f"Set {count} x {words}." for words, count in told.items()]


def _made_fast(design: Design, one: Round | Foil) -> str:
    pull = weight_that_holds(design, one)
    return f"tied to it: it needs {_grams(pull)} to hold it" if pull else "tied to it"


def _foil_step(design: Design, foil: Foil) -> str:
    pull = weight_that_holds(design, foil)
    weight = f", tied to a weight of {_grams(pull)} or more" if pull else ""
    return f"Set {_foil_words(foil)} in its place{weight}."


def _grams(weight_kg: float) -> str:
    """A weight rounded up to 5 g, and in ounces."""
    grams = 5 * math.ceil(200 * weight_kg - 1e-9)
    return f"{grams} g ({grams / OUNCE_G:.1f} oz)"


def _foil_words(foil: Foil) -> str:
    return f"{foil.label} “{foil.text.upper()}”" if foil.text else foil.label


def _placed_florals(design: Design) -> str:
    return _counted_labels(Counter(spray.label for spray in design.sprays))


def _prop_steps(design: Design) -> list[str]:
    """Rugs lie before anything stands on them; then everything else, candles with their caution."""
    rugs, others = (
        Counter(prop.label for prop in design.brought_props if (prop.look == "rug") == lies)
        for lies in (True, False)
    )
    steps = [f"Lay {_counted_labels(rugs)}."] if rugs else []
    steps += [f"Set up {_counted_labels(others)}."] if others else []
    lit = any(prop.look == "candle" for prop in design.props)
    return steps + ["Light the candles by battery; no open flame stands near the piece."] * lit


def _counted_labels(labels: Counter[str]) -> str:
    return ", ".join(label if count == 1 else f"{count} x {label}" for label, count in labels.items())
