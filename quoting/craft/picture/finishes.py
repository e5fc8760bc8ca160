"""Finishes of latex in the picture: how light falls on a round that is pearly, metallic, clear or within another."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from quoting.craft.design.records import PaletteColour
from quoting.craft.design.things import CONFETTI
from quoting.craft.picture.drawing import WARM_DARK, balloon_gradient, lightness, mixed

# Settings of the drawing: place, share of white (above nought) or of dark (below), and how much of it is seen.
WHITE: Final = "#ffffff"
STOPS: Final = {
    "pearl": (
        (0.0, 0.95, 1.0), (0.18, 0.6, 1.0), (0.42, 0.28, 1.0), (0.74, 0.0, 1.0), (0.92, -0.2, 1.0), (1.0, 0.12, 1.0),
    ),
    "metallic": (
        (0.0, 1.0, 1.0), (0.1, 0.75, 1.0), (0.26, 0.22, 1.0), (0.5, 0.0, 1.0), (0.78, -0.42, 1.0), (0.9, -0.2, 1.0),
        (1.0, -0.55, 1.0),
    ),
    "mirror": (
        (0.0, 1.0, 1.0), (0.1, 0.85, 1.0), (0.22, 0.32, 1.0), (0.42, 0.0, 1.0), (0.62, -0.48, 1.0), (0.8, -0.62, 1.0),
        (0.92, 0.28, 1.0), (1.0, -0.55, 1.0),
    ),
    "crystal": (
        (0.0, 1.0, 0.9), (0.12, 0.6, 0.5), (0.4, 0.2, 0.34), (0.78, 0.0, 0.46), (0.94, -0.2, 0.72), (1.0, -0.35, 0.9),
    ),
}  # fmt: skip
STOPS_OF: Final = {**STOPS, CONFETTI: STOPS["crystal"]}
DOTS: Final = 16
GOLD: Final = "#d9b45b"


def finished_gradient(name: str, colour: PaletteColour, inner_hex: str) -> str:
    """Draw the light on a round by the finish of its colour; ``inner_hex``: of the balloon within it, if any.

    >>> oat = PaletteColour(colour="oat", name="Oat", hex="#EFE6D6", share=1, finish="crystal")
    >>> finished_gradient("b0", oat, "").count("stop-opacity")
    6
    """
    if inner_hex:
        return _stuffed(name, colour.hex, inner_hex)
    if colour.finish not in STOPS_OF:
        return balloon_gradient(name, colour.hex)
    stops = "".join(_stop(colour.hex, *stop) for stop in STOPS_OF[colour.finish])
    return f'<radialGradient id="{name}" cx=".5" cy=".5" r=".52" fx=".34" fy=".28">{stops}</radialGradient>'


def confetti_pattern(name: str, colours: Sequence[str]) -> str:
    """Draw the snips within a clear round, in the colours at hand; they fill any circle that takes the pattern.

    >>> confetti_pattern("k0", ["#D9B45B"]).count("<circle")
    16
    """
    tones = list(colours) or [GOLD]
    dots = "".join(_dot(k, tones[k % len(tones)]) for k in range(DOTS))
    return (
        f'<pattern id="{name}" width="1" height="1" patternContentUnits="objectBoundingBox">{dots}</pattern>'
    )


# Private


def _stop(colour: str, place: float, share: float, seen: float) -> str:
    tone = mixed(colour, WHITE, share) if share >= 0 else mixed(colour, WARM_DARK, -share)
    opacity = f' stop-opacity="{seen:g}"' if seen < 1 else ""
    return f'<stop offset="{place:g}" stop-color="{tone}"{opacity}/>'


def _stuffed(name: str, outer: str, inner: str) -> str:
    """The inner balloon shines through; at the rim the outer one is looked through at a slant, and shows its colour."""
    core, rim = mixed(inner, outer, 0.38), mixed(outer, inner, 0.18)
    glint = mixed(core, WHITE, 0.9 if lightness(outer) > 0.5 else 0.6)
    stops = (
        (0.0, glint), (0.13, mixed(core, WHITE, 0.35)), (0.46, core), (0.78, mixed(core, rim, 0.5)),
        (0.93, rim), (1.0, mixed(rim, WARM_DARK, 0.3)),
    )  # fmt: skip
    drawn = "".join(f'<stop offset="{place:g}" stop-color="{tone}"/>' for place, tone in stops)
    return f'<radialGradient id="{name}" cx=".5" cy=".5" r=".52" fx=".34" fy=".28">{drawn}</radialGradient>'


def _dot(k: int, tone: str) -> str:
    """The k-th snip, on a spiral of the golden section that leaves no gap and lines up with nothing."""
    reach, turn = 0.44 * math.sqrt((k + 0.5) / DOTS), 2.399963 * k
    x, y, r = 0.5 + reach * math.cos(turn), 0.5 + reach * math.sin(turn), 0.028 + 0.012 * (k % 3)
    return f'<circle cx="{x:.3f}" cy="{y:.3f}" r="{r:.3f}" fill="{tone}"/>'
