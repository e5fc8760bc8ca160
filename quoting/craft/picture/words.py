"""Words in the picture: signs and letterings."""

from __future__ import annotations

import math
from typing import Final
from xml.sax.saxutils import escape

import numpy as np

from quoting.craft.design.frames import face
from quoting.craft.design.letters import CAPITAL, SLANT, lettering_width_m, sign_letters
from quoting.craft.design.records import Frame, Sign
from quoting.craft.design.things import Lettering
from quoting.craft.picture.drawing import WARM_DARK, many, mixed, short
from quoting.craft.picture.lettershapes import EM, is_known, word_shape
from quoting.craft.picture.view import PX_PER_M, Layer, View
from quoting.craft.takeoff.sign_room import sign_depth
from quoting.craft.takeoff.takeoff import TakeOff

# Settings of the drawing.
FAMILIES: Final = {"serif": "Fraunces, Georgia, serif", "sans": "Figtree, sans-serif"}
SKEW_DEG: Final = -math.degrees(math.atan(SLANT))


def sign_layer(index: int, takeoff: TakeOff, sign: Sign, view: View) -> Layer:
    """Draw a sign with the lines that it hangs by."""
    letters = sign_letters(sign)
    size = letters.size_m * PX_PER_M
    words = _Words(f"{view.prefix}t{index}", sign.text, "serif", size, slanted=True)
    shown = words.at(view.x(sign.x_m), view.y(sign.y_m - letters.line_m), _painted(sign, words, size))
    depth = sign_depth(takeoff.design, sign, takeoff.balloons)
    return Layer(depth, "sign", _lines(takeoff, sign, view) + shown, f"sign:{sign.id}")


def lettering_layer(index: int, takeoff: TakeOff, lettering: Lettering, view: View) -> Layer:
    """Words on the frame that they are put on; a capital letter is seven tenths of its font's size."""
    size, width = lettering.height_m / CAPITAL * PX_PER_M, lettering_width_m(lettering) * PX_PER_M
    words = _Words(f"{view.prefix}v{index}", lettering.text, lettering.font, size, width=width)
    frame = takeoff.design.frame(lettering.frame)
    assert frame is not None
    thick = size * 0.012
    painted = (
        words.drawn(f'fill="{WARM_DARK}" fill-opacity=".3"', thick * 1.2, thick * 1.6)
        + words.drawn('fill="#ffffff" fill-opacity=".55"', -thick * 0.8, -thick * 0.8)
        + words.drawn(f'fill="{lettering.hex}"')
    )
    shown = words.at(view.x(lettering.x_m), view.y(lettering.y_m - lettering.height_m / 2), painted)
    return Layer(frame.z_m + 0.001, "letterings", shown, f"lettering:{lettering.id}")


# Private


class _Words:
    """Words drawn as often as they need paint: one shape about its middle, its line at y = 0, in drawing units."""

    def __init__(
        self, name: str, text: str, font: str, size: float, *, slanted: bool = False, width: float = 0.0
    ) -> None:
        self.name, self.text, self.font, self.size, self.slanted = name, text, font, size, slanted
        self.shape, self.wide = word_shape(text, font) if is_known(text, font) else ("", 0.0)
        self.stretch = width / (self.wide * size / EM) if width and self.wide else 1.0

    def at(self, x: float, y: float, painted: str) -> str:
        """What is painted, its middle at (x, y)."""
        return f'<g transform="translate({many(x, y)})">{self._defined()}{painted}</g>'

    def drawn(self, paint: str, dx: float = 0.0, dy: float = 0.0) -> str:
        """The words once, moved a little."""
        moved = f' transform="translate({many(dx, dy)})"' if dx or dy else ""
        return f'<use href="#{self.name}" {paint}{moved}/>'

    def breadth(self, units: float) -> str:
        """The breadth of a line in drawing units, as it is written for the shape."""
        return short(units * EM / self.size) if self.shape else short(units)

    def _defined(self) -> str:
        if not self.shape:  # letters that our fonts lack: whoever shows the picture has some
            style = ' font-style="italic"' if self.slanted else ""
            return (
                f'<defs><text id="{self.name}" font-size="{short(self.size)}" font-family="{FAMILIES[self.font]}"'
                f'{style} text-anchor="middle">{escape(self.text)}</text></defs>'
            )
        scale = self.size / EM
        leaning = f"skewX({SKEW_DEG:.2f})" if self.slanted else ""
        return (
            f'<defs><path id="{self.name}" d="{self.shape}" transform="scale({scale * self.stretch:.4f} {scale:.4f})'
            f'{leaning}translate({short(-self.wide / 2)} 0)"/></defs>'
        )


def _painted(sign: Sign, words: _Words, size: float) -> str:
    """Cut out of board, with its side and its shade; lit, a tube with the light along it."""
    thick = size * 0.022
    shade = words.drawn(f'fill="{WARM_DARK}" fill-opacity=".2"', thick * 1.8, thick * 2.4)
    side = words.drawn(f'fill="{mixed(sign.hex, WARM_DARK, 0.45)}"', thick * 0.8, thick * 0.8)
    front = words.drawn(f'fill="{sign.hex}"')
    if not sign.lit:
        return shade + side + front
    along = f'fill="none" stroke="{mixed(sign.hex, "#ffffff", 0.45)}" stroke-opacity=".6"'
    return shade + side + front + words.drawn(f'{along} stroke-width="{words.breadth(size * 0.006)}"')


def _lines(takeoff: TakeOff, sign: Sign, view: View) -> str:
    frame = takeoff.design.frame(sign.frame)
    if not frame or len(takeoff.design.walls):
        return ""
    low = view.y(sign.y_m + sign.height_m * 0.3)
    hung = [sign.x_m + side * sign.width_m * 0.3 for side in (-1, 1)]
    return "".join(
        f'<path d="M{many(view.x(x), low)}V{short(view.y(_top_at(frame, x)))}" '
        'stroke="#8c857a" stroke-opacity=".5" stroke-width=".8"/>'
        for x in hung
    )


def _top_at(frame: Frame, x: float) -> float:
    """Height of the frame's outline above x, that of its highest point beside it [m]."""
    points = face(frame)
    (x1, y1), (x2, y2) = points.T, np.roll(points, -1, axis=0).T
    crossed = np.flatnonzero((x1 <= x) != (x2 <= x))
    if len(crossed) == 0:
        return float(points[:, 1].max())
    share = (x - x1[crossed]) / (x2[crossed] - x1[crossed])
    return float((y1[crossed] + share * (y2[crossed] - y1[crossed])).max())
