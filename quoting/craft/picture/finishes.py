"""Rounds of latex in the picture: each colour is drawn once, by its finish, and placed as often as there are balloons.

A round is drawn about the origin with a radius of 1: the shade that it throws on what is just behind it, its body, and
the light on it, which comes from the upper left. It consists of circles and ellipses filled by gradients, and of snips
with straight edges, so that whoever prints it can turn it into a small picture.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from quoting.craft.design.records import PaletteColour
from quoting.craft.design.things import CONFETTI, DOUBLE_STUFFED
from quoting.craft.picture.drawing import WARM_DARK, lightness, mixed

WHITE: Final = "#ffffff"
GOLD: Final = "#d9b45b"
SNIPS: Final = 26  # setting
REACH: Final = 1.2
"""How far a round reaches with the shade that it throws, over its radius (setting)."""
SHADE: Final = ((0.0, 0.34), (0.8, 0.3), (0.9, 0.13), (1.0, 0.0))
"""How much is seen of the shade on what is just behind, over how far it reaches (setting)."""
SHADE_PLACE: Final = 'cx=".04" cy=".07" r="1.12"'
Stop = tuple[float, float, float]
"""Place, share of white (above nought) or of dark (below), and how much of it is seen."""


@dataclass(frozen=True, slots=True)
class Light:
    """How a finish takes the light: the stops of its body, and how strong gleam, spark and rim light are."""

    stops: tuple[Stop, ...]
    gleam: float
    spark: float
    rim: float
    shade: float = 1.0


# Settings of the drawing, by eye.
PALE: Final = Light(
    ((0.0, 0.86, 1.0), (0.14, 0.5, 1.0), (0.32, 0.22, 1.0), (0.58, 0.0, 1.0), (0.84, -0.17, 1.0), (0.955, -0.29, 1.0),
     (1.0, -0.12, 1.0)),
    gleam=0.0, spark=0.0, rim=0.0,
)  # fmt: skip
DEEP: Final = Light(
    ((0.0, 0.5, 1.0), (0.14, 0.26, 1.0), (0.32, 0.1, 1.0), (0.58, 0.0, 1.0), (0.84, -0.28, 1.0), (0.955, -0.44, 1.0),
     (1.0, -0.3, 1.0)),
    gleam=0.0, spark=0.0, rim=0.0,
)  # fmt: skip
"""Plain latex, of which a picture has hundreds, is one gradient: its gleam and the light at its rim are in it."""
LIGHTS: Final = {
    "pearl": Light(
        ((0.0, 0.9, 1.0), (0.3, 0.58, 1.0), (0.58, 0.22, 1.0), (0.8, -0.06, 1.0), (0.92, 0.2, 1.0), (1.0, 0.42, 1.0)),
        gleam=1.0, spark=0.0, rim=0.9,
    ),
    "metallic": Light(
        ((0.0, 0.8, 1.0), (0.16, 0.5, 1.0), (0.38, 0.08, 1.0), (0.62, -0.3, 1.0), (0.8, -0.52, 1.0), (0.91, -0.2, 1.0),
         (1.0, -0.6, 1.0)),
        gleam=0.55, spark=0.8, rim=0.55,
    ),
    "mirror": Light(
        ((0.0, -0.6, 1.0), (0.22, -0.5, 1.0), (0.32, 0.1, 1.0), (0.46, 0.82, 1.0), (0.57, 0.5, 1.0), (0.645, 0.1, 1.0),
         (0.67, -0.74, 1.0), (0.73, -0.6, 1.0), (0.82, -0.1, 1.0), (0.92, 0.5, 1.0), (1.0, -0.3, 1.0)),
        gleam=0.35, spark=1.0, rim=0.9,
    ),
    "crystal": Light(
        ((0.0, 0.5, 0.1), (0.5, 0.3, 0.16), (0.8, 0.1, 0.3), (0.92, -0.12, 0.55), (0.97, 0.45, 0.75), (1.0, -0.3, 0.8)),
        gleam=0.5, spark=1.0, rim=0.8, shade=0.4,
    ),
    DOUBLE_STUFFED: Light((), gleam=0.5, spark=0.0, rim=0.4),
}  # fmt: skip
LIT_CENTRE: Final = 'cx=".48" cy=".48" r=".55" fx=".36" fy=".3"'
CENTRED: Final = 'cx=".5" cy=".5" r=".5"'
CENTRES: Final = {
    "mirror": 'cx=".44" cy="-.34" r="1.36"', "crystal": CENTRED, CONFETTI: CENTRED, DOUBLE_STUFFED: CENTRED,
}  # fmt: skip
"""What is clear is seen through most in its middle; a mirror shows ceiling, bent horizon and floor."""


def round_symbol(
    prefix: str, place: int, colour: PaletteColour, inner_hex: str, snips: Sequence[str] = ()
) -> str:
    """Draw the round of a colour with the gradient of its body; ``inner_hex``: of the balloon within it, if any;
    ``snips``: colours of the confetti in it.

    >>> oat = PaletteColour(colour="oat", name="Oat", hex="#EFE6D6", share=1, finish="crystal")
    >>> drawn = round_symbol("", 0, oat, "")
    >>> drawn.count("<g id="), drawn.count("stop-opacity") >= 6
    (1, True)
    """
    finish = DOUBLE_STUFFED if inner_hex else colour.finish
    light = light_of(finish, colour.hex)
    name = f"{prefix}g{place}"
    body = _body(name, finish, colour.hex, inner_hex, light)
    within = "".join(_snip(k, tone) for k, tone in _toned(snips)) if finish == CONFETTI else ""
    seen = f' opacity="{light.shade:g}"' if light.shade < 1 else ""
    shade = f'<circle {SHADE_PLACE} fill="url(#{prefix}cast)"{seen}/>'
    return (
        f'{body}<g id="{prefix}b{place}">{shade}{within}<circle r="1" fill="url(#{name})"/>'
        f"{_lit(prefix, finish, light)}</g>"
    )


def lights(prefix: str) -> str:
    """Draw what rounds share: the soft gleam and the sharp spark, the light at the rim, and the shade that they throw.

    >>> lights("q-").count("<radialGradient")
    4
    """
    return "".join((
        _radial(f"{prefix}gleam", ((0.0, WHITE, 0.95), (0.4, WHITE, 0.5), (1.0, WHITE, 0.0))),
        _radial(f"{prefix}spark", ((0.0, WHITE, 1.0), (0.7, WHITE, 0.9), (1.0, WHITE, 0.0))),
        _radial(f"{prefix}rim", ((0.0, WHITE, 0.0), (0.86, WHITE, 0.0), (0.96, WHITE, 0.42), (1.0, WHITE, 0.5)),
                'cx=".4" cy=".37" r=".67"'),
        _radial(f"{prefix}cast", tuple((place, WARM_DARK, seen) for place, seen in SHADE)),
    ))  # fmt: skip


def light_of(finish: str, colour: str) -> Light:
    """How a finish takes the light; plain latex by how pale its colour is."""
    if finish in LIGHTS:
        return LIGHTS[finish]
    if finish == CONFETTI:
        return LIGHTS["crystal"]
    return PALE if lightness(colour) > 0.5 else DEEP


def neck_symbol(prefix: str, place: int, colour: PaletteColour) -> str:
    """Draw neck and knot of a round, below it.

    >>> oat = PaletteColour(colour="oat", name="Oat", hex="#EFE6D6", share=1)
    >>> neck_symbol("", 0, oat).count("<path")
    2
    """
    dark, deep = mixed(colour.hex, WARM_DARK, 0.3), mixed(colour.hex, WARM_DARK, 0.46)
    return (
        f'<g id="{prefix}n{place}"><path d="M-.42 .88Q-.12 1.02 -.07 1.14H.07Q.12 1.02 .42 .88Z" fill="{dark}"/>'
        f'<path d="M-.07 1.12H.07L.13 1.26Q0 1.2 -.13 1.26Z" fill="{deep}"/></g>'
    )


# Private


def _body(name: str, finish: str, outer: str, inner: str, light: Light) -> str:
    """The gradient of a body: round about the light, or about where its finish has it."""
    stops = _stuffed(outer, inner) if inner else tuple(
        (place, _toned_by(outer, share, finish, place), seen) for place, share, seen in light.stops
    )  # fmt: skip
    return _radial(name, stops, CENTRES.get(finish, LIT_CENTRE))


def _toned_by(colour: str, share: float, finish: str, place: float) -> str:
    """A pearl turns a little rosy, and bluish at its rim."""
    tone = mixed(colour, WHITE, share) if share >= 0 else mixed(colour, WARM_DARK, -share)
    if finish == "pearl" and place > 0.5:
        return mixed(tone, "#cfe0f4" if place > 0.85 else "#f3c9d6", 0.3)
    return tone


def _stuffed(outer: str, inner: str) -> tuple[tuple[float, str, float], ...]:
    """The inner balloon shines through; at the rim the outer one is looked through at a slant, and shows its colour."""
    core = mixed(inner, outer, 0.3)
    return (
        (0.0, mixed(core, WHITE, 0.34), 1.0), (0.4, core, 1.0), (0.7, mixed(core, WARM_DARK, 0.2), 1.0),
        (0.77, mixed(outer, core, 0.25), 1.0), (0.9, mixed(outer, WHITE, 0.1), 1.0),
        (1.0, mixed(outer, WARM_DARK, 0.34), 1.0),
    )  # fmt: skip


def _lit(prefix: str, finish: str, light: Light) -> str:
    """Gleam, spark and rim light over a body. The ellipses lie on an axis turned towards the light."""
    if not light.rim:
        return ""
    parts = [f'<circle r="1" fill="url(#{prefix}rim)" opacity="{light.rim:g}"/>']
    wide, high = (0.44, 0.6) if finish == "pearl" else (0.24, 0.4)
    parts.append(
        f'<ellipse cx="-.54" rx="{wide:g}" ry="{high:g}" transform="rotate(48)" fill="url(#{prefix}gleam)" '
        f'opacity="{light.gleam:g}"/>'
    )
    if light.spark:
        parts.append(_sparks(prefix, light.spark))
    return "".join(parts)


def _sparks(prefix: str, strength: float) -> str:
    """A window near the light, and its small likeness on the far side."""
    return (
        f'<ellipse cx="-.66" rx=".1" ry=".24" transform="rotate(48)" fill="url(#{prefix}spark)" '
        f'opacity="{strength:g}"/><ellipse cx=".78" rx=".05" ry=".2" transform="rotate(48)" '
        f'fill="url(#{prefix}spark)" opacity="{0.6 * strength:g}"/>'
    )


def _radial(name: str, stops: Sequence[tuple[float, str, float]], where: str = "") -> str:
    return f'<radialGradient id="{name}"{" " if where else ""}{where}>{_stops(stops)}</radialGradient>'


def _stops(stops: Sequence[tuple[float, str, float]]) -> str:
    return "".join(_stop(*each) for each in stops)


def _stop(place: float, tone: str, seen: float) -> str:
    opacity = f' stop-opacity="{seen:g}"' if seen < 1 else ""
    return f'<stop offset="{place:g}" stop-color="{tone}"{opacity}/>'


def _toned(colours: Sequence[str]) -> list[tuple[int, str]]:
    tones = list(colours) or [GOLD]
    return [(k, tones[k % len(tones)]) for k in range(SNIPS)]


def _snip(k: int, tone: str) -> str:
    """The k-th snip, on a spiral of the golden section; they cling to the skin and gather below."""
    reach, turn = 0.9 * math.sqrt((k + 0.5) / SNIPS), 2.399963 * k
    x, y = reach * math.cos(turn), reach * math.sin(turn)
    y += 0.22 * (1 - abs(y)) * (1 - x * x)
    size, lean = 0.075 + 0.03 * (k % 3), 1.7 * k
    corners = (
        f"{x + size * math.cos(lean + corner):.2f} {y + size * (0.7 if k % 2 else 1) * math.sin(lean + corner):.2f}"
        for corner in (0.0, 1.2566, 2.5133, 3.7699, 5.0265)
    )
    return f'<path d="M{"L".join(corners)}Z" fill="{tone}"/>'
