"""The room that a frame leaves its sign: what of it balloons hide, and what of it stands out past the frame."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
from numpy.typing import NDArray

from quoting.craft.design.frames import face, is_inside
from quoting.craft.design.letters import sign_letters, text_width
from quoting.craft.design.records import Design, Frame, Sign
from quoting.craft.takeoff.balloons import Balloons
from quoting.craft.takeoff.singles import SINGLE
from studio.trade.ranges import FloatArray

BEFORE_FRAME_M = 0.03
"""How far before its frame a sign hangs. Common practice, no source."""
LOOKED_AT, SEARCHED = (40, 16), (16, 6)
"""Settings: points of a sign across and up where it is judged, and where many places are tried."""
ON_A_LETTER, MUCH_OF_A_LETTER, LEAST_LETTER_M = (8, 10), 1 / 3, 0.01
"""Settings: points of a letter across and up, from which share on it counts as hidden, and how wide it is at least."""
# Settings of the search.
LEAST_WIDTH_M = 0.3
WIDTHS = (0.8, 0.7, 0.6, 0.5, 0.4, 0.3)
"""Widths that a sign is tried in, as shares of its frame's."""
USUAL_HEIGHT = 0.62
"""Where on a frame a sign is looked for first, as a share of its height. Common practice, no source."""
MUCH_OF_A_SIGN = 0.1
"""From this share on it is said that a sign is hidden, or stands out past its frame (setting)."""
SEEN_WHOLE = 0.02
"""Share of a sign that may be out of sight where it counts as seen whole (setting)."""


@dataclass(frozen=True, slots=True)
class SignRoom:
    """Shares of a sign, 0 to 1: behind balloons, and past the outline of its frame."""

    hidden: float = 0.0
    outside: float = 0.0

    @property
    def out_of_sight(self) -> float:
        return self.hidden + self.outside


def sign_room(design: Design, balloons: Balloons) -> SignRoom:
    """Look at the signs of a design from the front: of the one that is seen least. Nothing is out of sight where
    there is no sign.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> takeoff = take_off(load_design(STARTERS / "ring-half-moon.json"))
    >>> sign_room(takeoff.design, takeoff.balloons).hidden < 0.1
    True
    """
    seen = (_looked_at(design, sign, balloons, LOOKED_AT) for sign in design.signs)
    return max(seen, key=lambda room: room.out_of_sight, default=SignRoom())


def hidden_letters(design: Design, sign: Sign, balloons: Balloons) -> str:
    """Give the letters of a sign that balloons before it hide by a third or more, in their order.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> takeoff = take_off(load_design(STARTERS / "ring-half-moon.json"))
    >>> hidden_letters(takeoff.design, takeoff.design.signs[0], takeoff.balloons)
    ''
    """
    depth = sign_depth(design, sign, balloons)
    return "".join(
        letter
        for letter, place in _letters(sign)
        if not letter.isspace()
        and _behind(_places_on(place, ON_A_LETTER), balloons, depth).mean() >= MUCH_OF_A_LETTER
    )


def outside_share(design: Design, sign: Sign, points: tuple[int, int] = LOOKED_AT) -> float:
    """Share of a sign, 0 to 1, that stands out past the outline of its frame; none where it has no face to hang on."""
    frame = design.frame(sign.frame)
    if frame is None or frame.shape == "column":
        return 0.0
    return float(1 - is_inside(_places_on(sign, points), face(frame)).mean())


def hung_in_the_open(design: Design, sign: Sign, balloons: Balloons) -> Sign:
    """Hang a sign where its frame leaves it free: as wide as goes, as near to the usual place as goes.

    Where nothing is free, where least of it is out of sight. A sign without a frame stays.
    """
    frame = design.frame(sign.frame)
    if frame is None:
        return sign
    best, least = sign, np.inf
    for place in _places(sign, frame):
        found = _looked_at(design, place, balloons, SEARCHED).out_of_sight
        if found < least:
            best, least = place, found
        if found <= SEEN_WHOLE:
            break
    return best


def sign_depth(design: Design, sign: Sign, balloons: Balloons) -> float:
    """Depth of a sign [m]: before its frame, and before a wall of balloons that it covers."""
    frame = design.frame(sign.frame)
    depth = (frame.z_m if frame else 0.0) + BEFORE_FRAME_M
    walls = (balloons.garland >= len(design.garlands)) & (balloons.role != SINGLE)
    across = np.abs(balloons.x - sign.x_m) < sign.width_m / 2
    behind = walls & across & (np.abs(balloons.y - sign.y_m) < sign.height_m)
    return max(depth, float((balloons.z + balloons.radius)[behind].max()) if behind.any() else depth)


# Private


def _letters(sign: Sign) -> Iterator[tuple[str, Sign]]:
    """Each letter with the part of the sign that it stands on, as wide as the font has it."""
    size = sign_letters(sign).size_m
    left = sign.x_m - text_width(sign.text, "serif") * size / 2
    for letter in sign.text:
        width = text_width(letter, "serif") * size
        yield letter, replace(sign, text=letter, width_m=max(width, LEAST_LETTER_M), x_m=left + width / 2)
        left += width


def _places(sign: Sign, frame: Frame) -> list[Sign]:
    """Places to try, the widest first and of those the nearest to the usual one."""
    steps = sorted(
        product(np.linspace(-0.4, 0.4, 9), np.linspace(0.15, 0.9, 13)),
        key=lambda at: abs(at[0]) * frame.width_m + abs(at[1] - USUAL_HEIGHT) * frame.height_m,
    )
    return [
        replace(
            sign,
            width_m=max(min(LEAST_WIDTH_M, frame.width_m), frame.width_m * share),
            x_m=frame.x_m + float(across) * frame.width_m,
            y_m=frame.base_m + float(up) * frame.height_m,
        )
        for share in WIDTHS
        for across, up in steps
    ]


def _looked_at(design: Design, sign: Sign, balloons: Balloons, points: tuple[int, int]) -> SignRoom:
    hidden = _behind(_places_on(sign, points), balloons, sign_depth(design, sign, balloons)).mean()
    return SignRoom(float(hidden), outside_share(design, sign, points))


def _places_on(sign: Sign, points: tuple[int, int]) -> FloatArray:
    """So many points across a sign and up it, (n, 2) [m]."""
    across, up = (
        middle + ((np.arange(count) + 0.5) / count - 0.5) * size
        for middle, size, count in zip(
            (sign.x_m, sign.y_m), (sign.width_m, sign.height_m), points, strict=True
        )
    )
    return np.column_stack([one.ravel() for one in np.meshgrid(across, up)])


def _behind(points: FloatArray, balloons: Balloons, depth: float) -> NDArray[np.bool_]:
    """Which points have a balloon before them: its surface there is nearer to the viewer than the sign."""
    reach = np.hypot(*(np.ptp(points, axis=0) / 2)) + balloons.radius
    middle = points.mean(axis=0)
    near = (np.hypot(balloons.x - middle[0], balloons.y - middle[1]) < reach) & (
        balloons.z + balloons.radius > depth
    )
    x, y, z, radius = (part[near] for part in (balloons.x, balloons.y, balloons.z, balloons.radius))
    off = (points[:, :1] - x) ** 2 + (points[:, 1:] - y) ** 2
    covered = off < radius**2
    front = z + np.sqrt(np.where(covered, radius**2 - off, 0.0))
    return np.asarray((covered & (front > depth)).any(axis=1))
