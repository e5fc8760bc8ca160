"""Foil balloons in the picture: letters and digits as inflated tubes, and stars, hearts, discs and crescents."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from quoting.craft.design.boxes import foil_boxes
from quoting.craft.design.foils import FLAT_STROKE, TUBE, FoilBalloon, balloons_of
from quoting.craft.design.frames import Points
from quoting.craft.design.things import Foil
from quoting.craft.geometry.glyphs import stroke_width, strokes_of
from quoting.craft.picture.drawing import WARM_DARK, many, mixed, short
from quoting.craft.picture.view import PX_PER_M, Layer, View


@dataclass(frozen=True, slots=True)
class Sheen:
    """How a finish takes the light: shares by which rim, sides and glint leave the colour."""

    rim: float
    light: float
    glint: float


# Settings of the drawing.
SHEENS: Final = {
    "plain": Sheen(0.22, 0.18, 0.45),
    "pearl": Sheen(0.18, 0.42, 0.6),
    "metallic": Sheen(0.42, 0.5, 0.85),
    "mirror": Sheen(0.58, 0.62, 1.0),
}
BODY, SOFT, GLINT = 0.84, 0.46, 0.11
"""Breadths of body, soft light and glint, as shares of a tube."""
STAR_INNER = 0.55


def foil_layer(index: int, foil: Foil, view: View) -> Layer:
    """Draw a foil balloon or a row of them, turned as it is."""
    drawn = "".join(_balloon(foil, one, f"{view.prefix}f{index}") for one in balloons_of(foil))
    place = f"translate({many(view.x(foil.x_m), view.y(foil.y_m))})"
    turn = f" rotate({short(foil.turn_deg)})" if foil.turn_deg else ""
    return Layer(foil.z_m, "foils", f'<g transform="{place}{turn}">{drawn}</g>', f"foil:{foil.id}")


def foil_gradient(name: str, foil: Foil) -> str:
    """Draw the light on a shape, from its upper left to its rim.

    >>> star = Foil(id="s", item="star", label="Star", shape="star", flat_m=0.45, hex="#D9B45B", x_m=0, y_m=2)
    >>> foil_gradient("f0", star).count("<stop")
    4
    """
    sheen = SHEENS[foil.finish]
    stops = (
        (0.0, mixed(foil.hex, "#ffffff", sheen.light)),
        (0.4, foil.hex),
        (0.78, mixed(foil.hex, WARM_DARK, sheen.rim * 0.45)),
        (1.0, mixed(foil.hex, WARM_DARK, sheen.rim * 0.8)),
    )
    drawn = "".join(f'<stop offset="{place:g}" stop-color="{tone}"/>' for place, tone in stops)
    return f'<radialGradient id="{name}" cx=".5" cy=".5" r=".6" fx=".36" fy=".32">{drawn}</radialGradient>'


def foil_from_above(foil: Foil, x: float, z: float) -> str:
    """Draw the balloons of a foil from above, about its middle in drawing units."""
    rim = mixed(foil.hex, WARM_DARK, 0.3)
    return "".join(
        f'<rect x="{short(x + (box.left - foil.x_m) * PX_PER_M)}" '
        f'y="{short(z + (box.rear - foil.z_m) * PX_PER_M)}" width="{short(box.width_m * PX_PER_M)}" '
        f'height="{short(box.depth_m * PX_PER_M)}" rx="{short(box.depth_m / 2 * PX_PER_M)}" '
        f'fill="{foil.hex}" stroke="{rim}"/>'
        for box in foil_boxes(foil)
    )


# Private


def _balloon(foil: Foil, one: FoilBalloon, gradient: str) -> str:
    return _glyph(foil, one) if one.glyph else _shape(foil, one, gradient)


def _glyph(foil: Foil, one: FoilBalloon) -> str:
    """A letter: its strokes drawn over each other, from the dark rim to the glint."""
    flat = FLAT_STROKE * foil.flat_m
    tube, line = TUBE * flat * PX_PER_M, (foil.flat_m - flat) * PX_PER_M
    left = one.across_m * PX_PER_M - stroke_width(one.glyph) * line / 2
    path = "".join(
        _line(np.column_stack([left + s[:, 0] * line, (0.5 - s[:, 1]) * line])) for s in strokes_of(one.glyph)
    )
    return _tube(path, tube, foil)


def _tube(path: str, tube: float, foil: Foil) -> str:
    sheen = SHEENS[foil.finish]
    rim = mixed(foil.hex, WARM_DARK, sheen.rim)
    body = mixed(foil.hex, WARM_DARK, sheen.rim * 0.28)
    soft, glint = mixed(foil.hex, "#ffffff", sheen.light), mixed(foil.hex, "#ffffff", sheen.glint)
    shifted = f' transform="translate({many(-tube * 0.15, -tube * 0.17)})"'
    strokes = (
        f'<path d="{path}" stroke="{WARM_DARK}" stroke-opacity=".14" stroke-width="{short(tube)}" '
        f'transform="translate({many(tube * 0.06, tube * 0.1)})"/>'
        f'<path d="{path}" stroke="{rim}" stroke-width="{short(tube)}"/>'
        f'<path d="{path}" stroke="{soft}" stroke-width="{short(tube * 0.97)}" stroke-linecap="butt" '
        f'stroke-dasharray="{many(1.3, tube * 0.13)}" stroke-opacity=".7"/>'
        f'<path d="{path}" stroke="{body}" stroke-width="{short(tube * BODY)}"/>'
        f'<path d="{path}" stroke="{foil.hex}" stroke-width="{short(tube * (BODY + SOFT) / 2)}"'
        f"{shifted}/>"
        f'<path d="{path}" stroke="{soft}" stroke-width="{short(tube * SOFT * 0.6)}" stroke-opacity=".75"{shifted}/>'
        f'<path d="{path}" stroke="{glint}" stroke-width="{short(tube * GLINT)}" stroke-opacity=".9"{shifted}/>'
    )
    return f'<g fill="none" stroke-linecap="round" stroke-linejoin="round">{strokes}</g>'


def _shape(foil: Foil, one: FoilBalloon, gradient: str) -> str:
    """A shape: its dark rim, the puckers of its seam, and its body in the light."""
    sheen, size = SHEENS[foil.finish], one.size.height_m * PX_PER_M
    path = f"{_line(SHAPES[foil.shape]() * size)}Z"
    rim, soft = mixed(foil.hex, WARM_DARK, sheen.rim), mixed(foil.hex, "#ffffff", sheen.light)
    shine_x, shine_y = -size * 0.16, -size * 0.18
    return (
        f'<path d="{path}" fill="{rim}" stroke="{rim}" stroke-width="{short(size * 0.07)}" stroke-linejoin="round"/>'
        f'<path d="{path}" fill="none" stroke="{soft}" stroke-opacity=".55" stroke-width="{short(size * 0.06)}" '
        f'stroke-dasharray="{many(1.3, size * 0.022)}"/>'
        f'<path d="{path}" fill="url(#{gradient})"/>'
        f'<ellipse cx="{short(shine_x)}" cy="{short(shine_y)}" rx="{short(size * 0.07)}" ry="{short(size * 0.035)}" '
        f'fill="{mixed(foil.hex, "#ffffff", sheen.glint)}" fill-opacity=".8" '
        f'transform="rotate(-38 {many(shine_x, shine_y)})"/>'
    )


def _line(points: Points) -> str:
    return "M" + "L".join(many(x, y) for x, y in points.tolist())


def _fitted(points: Points) -> Points:
    """Points about their middle, 0.93 high: the rounded rim adds the rest."""
    low, high = points.min(axis=0), points.max(axis=0)
    return np.asarray((points - (low + high) / 2) / (high[1] - low[1]) * 0.93)


def _disc() -> Points:
    turn = np.linspace(0, 2 * math.pi, 48, endpoint=False)
    return _fitted(np.column_stack([np.cos(turn), np.sin(turn)]))


def _star() -> Points:
    turn = np.radians(-90 + 36.0 * np.arange(10))
    reach = np.where(np.arange(10) % 2, STAR_INNER, 1.0)
    return _fitted(np.column_stack([reach * np.cos(turn), reach * np.sin(turn)]))


def _heart() -> Points:
    turn = np.linspace(0, 2 * math.pi, 60, endpoint=False)
    x = 16 * np.sin(turn) ** 3
    y = -(13 * np.cos(turn) - 5 * np.cos(2 * turn) - 2 * np.cos(3 * turn) - np.cos(4 * turn))
    return _fitted(np.column_stack([x, y]))


def _crescent() -> Points:
    """The outer arc of one circle and the inner arc of another beside it."""
    outer = np.radians(np.linspace(52, 308, 40))
    tip = np.array([math.cos(outer[0]), math.sin(outer[0])])
    middle = np.array([0.42, 0.0])
    reach, start = float(np.hypot(*(tip - middle))), math.atan2(*(tip - middle)[::-1])
    inner = np.linspace(2 * math.pi - start, start, 30)
    arcs = [np.column_stack([np.cos(outer), np.sin(outer)])]
    arcs.append(middle + reach * np.column_stack([np.cos(inner), np.sin(inner)]))
    return _fitted(np.concatenate(arcs))


SHAPES: Final = {"disc": _disc, "star": _star, "heart": _heart, "crescent": _crescent}
