"""What floats or hangs in the picture: ribbons down to the weights that hold them, lines up to the ceiling."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from quoting.craft.design.ribbons import floating_ends
from quoting.craft.picture.drawing import many, short
from quoting.craft.picture.view import PX_PER_M, Layer, View
from quoting.craft.rigging.tie_points import OWN_LINE
from quoting.craft.takeoff.takeoff import TakeOff

# Settings of the drawing.
RIBBON_TONE, WEIGHT_TONE = "#a99c88", "#8c7f6c"
WEIGHT_TOP_M = 0.09
LINE_TONE, HOOK_TONE = "#a39a8b", "#8b7d67"


def bouquet_layers(takeoff: TakeOff, view: View) -> list[Layer]:
    """Ribbons from every balloon of a bouquet to its weight."""
    layers: list[Layer] = []
    b = takeoff.balloons
    first = len(takeoff.design.garlands) + len(takeoff.design.walls)
    for k, bouquet in enumerate(takeoff.design.bouquets):
        foot_x, foot_y = view.x(bouquet.x_m), view.y(WEIGHT_TOP_M)
        mine = np.flatnonzero(b.garland == first + k)
        paths = "".join(
            f"M{many(foot_x, foot_y)}Q{many(foot_x, (foot_y + y) / 2, x, y)}"
            for x, y in zip(
                ((b.x[mine] - view.left) * PX_PER_M).tolist(),
                ((view.top - b.y[mine] + b.radius[mine]) * PX_PER_M).tolist(),
                strict=True,
            )
        )
        ribbons = f'<path d="{paths}" fill="none" stroke="{RIBBON_TONE}" stroke-width="1.2"/>'
        layers.append(
            Layer(bouquet.z_m - 0.5, "garland", ribbons + _weight(foot_x, view), f"bouquet:{bouquet.id}")
        )
    return layers


def ribbon_layers(takeoff: TakeOff, view: View) -> list[Layer]:
    """Draw the ribbons of balloons that float by themselves, each from its lowest point to its weight.

    What stands on top of something is tied to that.
    """
    return [_ribbon(thing, at, view) for thing, at in floating_ends(takeoff.design)]


def line_layers(takeoff: TakeOff, view: View) -> Iterator[Layer]:
    """Draw the lines by which garlands hang from the ceiling, each with its hook."""
    if takeoff.design.site.outdoors:
        return
    top = view.y(takeoff.design.site.ceiling_m)
    for tie in takeoff.rigging.ties:
        if tie.holder != OWN_LINE:
            continue
        x = short(view.x(tie.x))
        drawn = (
            f'<path d="M{x} {short(view.y(tie.y))}V{short(top + 6)}" stroke="{LINE_TONE}" stroke-width="1.1"/>'
            f'<path d="M{x} {short(top)}v4a4 4 0 1 1-4 4" fill="none" stroke="{HOOK_TONE}" stroke-width="1.8"/>'
        )
        yield Layer(tie.z - 0.4, "garland", drawn, takeoff.pieces[tie.garland].reference)


# Private


def _ribbon(thing: str, at: tuple[float, float, float], view: View) -> Layer:
    x, y, z = at
    across, low = view.x(x), view.y(min(WEIGHT_TOP_M, y))
    drawn = f'<path d="M{many(across, view.y(y))}V{many(low)}" stroke="{RIBBON_TONE}" stroke-width="1.2"/>'
    return Layer(z - 0.5, "garland", drawn + _weight(across, view), thing)


def _weight(x: float, view: View) -> str:
    return f'<path d="M{many(x - 13, view.y(0))}l4-18h18l4 18z" fill="{WEIGHT_TONE}"/>'
