"""Words in the picture: signs and letterings."""

from __future__ import annotations

from xml.sax.saxutils import escape

import numpy as np

from quoting.craft.design.frames import face
from quoting.craft.design.letters import CAPITAL, lettering_width_m, sign_letters
from quoting.craft.design.records import Frame, Sign
from quoting.craft.design.things import Lettering
from quoting.craft.picture.drawing import lightness, many, mixed, short
from quoting.craft.picture.view import PX_PER_M, Layer, View
from quoting.craft.takeoff.sign_room import sign_depth
from quoting.craft.takeoff.takeoff import TakeOff

# Settings of the drawing.
LIGHT_LETTERS, AMBER = 0.7, "#a0511a"  # letters lighter than this glow in amber


def sign_layer(takeoff: TakeOff, sign: Sign, view: View) -> Layer:
    """Draw a sign with the lines that it hangs by; one that is lit glows."""
    letters = sign_letters(sign)
    size = letters.size_m * PX_PER_M
    common = (
        f'x="{short(view.x(sign.x_m))}" y="{short(view.y(sign.y_m - letters.line_m))}" '
        f'font-size="{short(size)}" '
        'font-family="Fraunces, Georgia, serif" font-style="italic" text-anchor="middle"'
    )
    # A glow lighter than dark letters, warmer and darker than light ones: either way they stand out.
    halo = mixed(sign.hex, "#ffffff", 0.72) if lightness(sign.hex) < LIGHT_LETTERS else AMBER
    glow = "".join(
        f'<text {common} fill="none" stroke="{halo}" stroke-opacity="{opacity}" stroke-linejoin="round" '
        f'stroke-width="{short(size * width)}">{escape(sign.text)}</text>'
        for width, opacity in (((0.34, 0.25), (0.18, 0.4)) if sign.lit else ())
    )
    lines = ""
    frame = takeoff.design.frame(sign.frame)
    if frame and len(takeoff.design.walls) == 0:
        low = view.y(sign.y_m + sign.height_m * 0.3)
        hung = [sign.x_m + side * sign.width_m * 0.3 for side in (-1, 1)]
        lines = "".join(
            f'<path d="M{many(view.x(x), low)}V{short(view.y(_top_at(frame, x)))}" '
            'stroke="#8c857a" stroke-opacity=".5" stroke-width=".8"/>'
            for x in hung
        )
    return Layer(
        sign_depth(takeoff.design, sign, takeoff.balloons),
        "sign",
        f'{lines}{glow}<text {common} fill="{sign.hex}">{escape(sign.text)}</text>',
        f"sign:{sign.id}",
    )


def lettering_layer(takeoff: TakeOff, lettering: Lettering, view: View) -> Layer:
    """Words on the frame that they are put on; a capital letter is seven tenths of its font's size."""
    size, width = lettering.height_m / CAPITAL * PX_PER_M, lettering_width_m(lettering) * PX_PER_M
    family = {"serif": "Fraunces, Georgia, serif", "sans": "Figtree, sans-serif"}[lettering.font]
    frame = takeoff.design.frame(lettering.frame)
    assert frame is not None
    words = (
        f'<text x="{short(view.x(lettering.x_m))}" y="{short(view.y(lettering.y_m - lettering.height_m / 2))}" '
        f'font-size="{short(size)}" font-family="{family}" text-anchor="middle" '
        f'fill="{lettering.hex}" textLength="{short(width)}" lengthAdjust="spacingAndGlyphs">'
        f"{escape(lettering.text)}</text>"
    )
    return Layer(frame.z_m + 0.001, "letterings", words, f"lettering:{lettering.id}")


# Private


def _top_at(frame: Frame, x: float) -> float:
    """Height of the frame's outline above x, that of its highest point beside it [m]."""
    points = face(frame)
    (x1, y1), (x2, y2) = points.T, np.roll(points, -1, axis=0).T
    crossed = np.flatnonzero((x1 <= x) != (x2 <= x))
    if len(crossed) == 0:
        return float(points[:, 1].max())
    share = (x - x1[crossed]) / (x2[crossed] - x1[crossed])
    return float((y1[crossed] + share * (y2[crossed] - y1[crossed])).max())
