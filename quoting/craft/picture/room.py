"""The room behind a set piece: wall, floor, skirting board, ceiling and a door; outdoors sky and paving.

Plain rectangles carry classes, so that a page in the dark can give them other colours; what lies over them is light and
shade, which suits both.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from quoting.craft.design.records import Site
from quoting.craft.picture.drawing import WARM_DARK, short
from quoting.craft.picture.view import PX_PER_M, View

# Settings of the drawing.
WALL_TONE: Final = "#eee6da"
FLOOR_TONE: Final = "#d3b792"
BOARD_TONE: Final = "#fbf7f0"
CEILING_TONE: Final = "#fdfaf5"
EDGE_TONE: Final = "#cdbfa8"
SKY_TONE, PAVING_TONE = "#e9eff0", "#d9d3c6"
FLOOR_LINE: Final = 16
"""How far the floor reaches up behind the piece, in drawing units."""
BOARD: Final = 20
"""Height of the skirting board, in drawing units."""
PARQUET_BEYOND: Final = 900  # as far as its boards are seen, in drawing units
BEYOND: Final = 3000
"""How far the room reaches beyond what is shown of it, in drawing units."""
HAZE, GREENERY_TONE = 150, "#a9bb9c"
JOINTS: Final = (0.16, 0.4, 0.72)
"""Where the boards of the floor meet, over the depth of the floor that is seen."""
PANEL_WIDE, PANEL_APART = 240, 300
PANELS: Final = ((56, 112), (250, 410))
"""Mouldings on the wall as those of a still's hall: above the floor, how high each row begins and how high it is."""
RAIL: Final = 196
"""Height of the rail between the rows, in drawing units."""
ROWS: Final = (0.0, 0.2, 0.46, 0.8, 1.2, 1.7, 2.3)
"""Where rows of the parquet begin, over the same depth and past it."""
HERRINGBONE: Final = (26, 11)
"""Half a stair of the parquet, across and up, in drawing units."""


@dataclass(frozen=True, slots=True)
class Shown:
    """What is shown of a room, in drawing units: the box, and where the piece stands on the floor."""

    left: float
    top: float
    width: float
    height: float
    ground: float

    @property
    def floor(self) -> float:
        """Where the floor meets the wall."""
        return self.ground - FLOOR_LINE

    @property
    def foot(self) -> float:
        """The lower edge."""
        return self.top + self.height


def room_svg(shown: Shown, prefix: str, *, is_outdoors: bool = False) -> str:
    """Draw wall, skirting board and floor, outdoors sky and paving: one group of rectangles with their gradients.

    They reach beyond what is shown, so that a page may leave more room for the picture than it is large.

    >>> room_svg(Shown(0, 0, 400, 300, 240), "q-").count("<rect")
    6
    """
    left, wide = shown.left - BEYOND, shown.width + 2 * BEYOND
    top, wall = shown.top - BEYOND, shown.floor - shown.top + BEYOND
    deep = shown.foot - shown.floor + BEYOND
    board = _rect("room-board", left, shown.floor - BOARD, wide, BOARD, BOARD_TONE)
    board += _rect("room-edge", left, shown.floor - BOARD, wide, 1.6, EDGE_TONE)
    return (
        f'<g class="room{" room-outdoors" if is_outdoors else ""}"><defs>{_light(shown, prefix)}</defs>'
        + _rect("room-wall", left, top, wide, wall, SKY_TONE if is_outdoors else WALL_TONE)
        + _rect("room-light", left, top, wide, wall, f"url(#{prefix}wall-light)")
        + (_haze(shown, prefix) if is_outdoors else _panels(shown, prefix) + board)
        + _rect("room-floor", left, shown.floor, wide, deep, PAVING_TONE if is_outdoors else FLOOR_TONE)
        + ("".join(_joint(shown, share) for share in JOINTS) if is_outdoors else _parquet(shown))
        + _rect("room-light", left, shown.floor, wide, deep, f"url(#{prefix}floor-light)")
        + "</g>"
    )


def ceiling_svg(shown: Shown, ceiling: float) -> str:
    """Draw the ceiling, down to where it meets the wall; the group carries that as ``data-y``.

    >>> ceiling_svg(Shown(0, 0, 400, 300, 240), 24).count("<rect")
    2
    """
    return (
        f'<g class="ceiling" data-y="{short(ceiling)}">'
        + _rect("room-ceiling", shown.left - BEYOND, shown.top - BEYOND, shown.width + 2 * BEYOND,
                ceiling - shown.top + BEYOND, CEILING_TONE)
        + _rect("room-edge", shown.left - BEYOND, ceiling - 3, shown.width + 2 * BEYOND, 3, EDGE_TONE)
        + "</g>"
    )  # fmt: skip


def door_svg(left: float, top: float, width: float, ground: float) -> str:
    """Draw a closed door in the wall, with its frame, its two panels and its handle.

    >>> door_svg(0, 0, 180, 400).count("<rect")
    5
    """
    high, post = ground - FLOOR_LINE - top, 12.0
    panels = "".join(
        _rect("door-panel", left + width * 0.16, top + high * start, width * 0.68, high * share, "#efe5d5",
              'stroke="#c9b89c" stroke-width="1.6"')
        for start, share in ((0.08, 0.42), (0.56, 0.36))
    )  # fmt: skip
    knob = left + width * 0.91, top + high * 0.52
    return (
        '<g class="room-door">'
        + _rect("door-frame", left - post, top - post, width + 2 * post, high + post, "#fbf7f0",
                'stroke="#cdbfa8" stroke-width="1.4"')
        + _rect("door-leaf", left, top, width, high, "#efe5d5", 'stroke="#b9a98f" stroke-width="1.6"')
        + panels
        + _rect("door-knob", knob[0] - 7, knob[1], 14, 4, "#9a8867", 'rx="2"')
        + "</g>"
    )  # fmt: skip


def site_door(site: Site, view: View) -> str:
    """Draw the door in the wall behind, where the site has one."""
    if site.door_x_m is None:
        return ""
    left = view.x(site.door_x_m - site.door_width_m / 2)
    return door_svg(left, view.y(site.door_height_m), site.door_width_m * PX_PER_M, view.y(0.0))


# Private


def _light(shown: Shown, prefix: str) -> str:
    """The light on wall and floor, which comes from the upper left."""
    across = (
        f'gradientUnits="userSpaceOnUse" x1="{short(shown.left)}" y1="{short(shown.top)}" '
        f'x2="{short(shown.left + shown.width)}" y2="{short(shown.floor)}"'
    )
    down = f'gradientUnits="userSpaceOnUse" x1="0" y1="{short(shown.floor)}" x2="0" y2="{short(shown.foot)}"'
    return (
        f'<linearGradient id="{prefix}wall-light" {across}>{_stop(0, "#ffffff", 0.5)}{_stop(0.5, "#ffffff", 0)}'
        f'{_stop(1, WARM_DARK, 0.1)}</linearGradient><linearGradient id="{prefix}floor-light" {down}>'
        f"{_stop(0, WARM_DARK, 0.2)}{_stop(0.3, WARM_DARK, 0.05)}{_stop(1, '#ffffff', 0.16)}</linearGradient>"
    )


def _haze(shown: Shown, prefix: str) -> str:
    """Greenery far behind, which fades upwards into the sky."""
    top = shown.floor - HAZE
    ends = f'x1="0" y1="{short(shown.floor)}" x2="0" y2="{short(top)}"'
    fade = (
        f'<linearGradient id="{prefix}haze" gradientUnits="userSpaceOnUse" {ends}>{_stop(0, GREENERY_TONE, 0.75)}'
        f"{_stop(0.4, GREENERY_TONE, 0.5)}{_stop(1, GREENERY_TONE, 0)}</linearGradient>"
    )
    wide = shown.width + 2 * BEYOND
    return f"<defs>{fade}</defs>" + _rect(
        "room-haze", shown.left - BEYOND, top, wide, HAZE, f"url(#{prefix}haze)"
    )


def _stop(place: float, tone: str, seen: float) -> str:
    return f'<stop offset="{place:g}" stop-color="{tone}" stop-opacity="{seen:g}"/>'


def _panels(shown: Shown, prefix: str) -> str:
    """Two rows of mouldings and a rail between them: one line in the shade, and the same in the light beside it."""
    many = math.ceil((shown.width + 2 * BEYOND) / PANEL_APART)
    left = shown.left + shown.width / 2 - (many * PANEL_APART - PANEL_APART + PANEL_WIDE) / 2
    rows = (
        f"M{short(left)} {short(shown.floor - low)}"
        + f"h{PANEL_WIDE}v{-high}h{-PANEL_WIDE}zm{PANEL_APART} 0" * many
        for low, high in PANELS
    )
    rail = f"M{short(shown.left - BEYOND)} {short(shown.floor - RAIL)}h{short(shown.width + 2 * BEYOND)}"
    name = f"{prefix}panels"
    return (
        f'<g fill="none" class="room-panels"><path id="{name}" d="{"".join(rows)}{rail}" stroke="{WARM_DARK}" '
        f'stroke-opacity=".1" stroke-width="2.4"/>'
        f'<use href="#{name}" transform="translate(-2 -2)" stroke="#ffffff" stroke-opacity=".5"/></g>'
    )


def _parquet(shown: Shown) -> str:
    """Rows of boards in a herringbone, drawn as the stairs in which they meet."""
    across, up = HERRINGBONE
    many = math.ceil((shown.width + 2 * PARQUET_BEYOND) / (2 * across))
    stair = f"l{across} {-up}l{across} {up}" * many
    rows = "".join(
        f"M{short(shown.left - PARQUET_BEYOND + across * (number % 2))} {short(y)}{stair}"
        for number, y in enumerate(shown.floor + share * (shown.foot - shown.floor) + up for share in ROWS)
    )
    return f'<path class="room-parquet" d="{rows}" fill="none" stroke="{WARM_DARK}" stroke-opacity=".12"/>'


def _joint(shown: Shown, share: float) -> str:
    """Where two boards of the floor, or two rows of paving, meet."""
    y = shown.floor + share * (shown.foot - shown.floor)
    return _rect(
        "room-joint", shown.left - BEYOND, y, shown.width + 2 * BEYOND, 1.1, WARM_DARK, 'fill-opacity=".1"'
    )


def _rect(name: str, x: float, y: float, wide: float, high: float, fill: str, more: str = "") -> str:
    return (
        f'<rect class="{name}" x="{short(x)}" y="{short(y)}" width="{short(wide)}" height="{short(max(high, 0))}" '
        f'fill="{fill}"{" " if more else ""}{more}/>'
    )
