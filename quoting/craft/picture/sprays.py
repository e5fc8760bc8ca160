"""Placed florals in the picture: single stems and branches, turned as they are set."""

from __future__ import annotations

import math

from quoting.craft.design.things import Spray
from quoting.craft.picture.drawing import blade, bloom, many, mixed, plume, short
from quoting.craft.picture.view import PX_PER_M, Layer, View

# Settings of the drawing.
LEAVES, BLOOMS = 5, 3
STEM_TONE, LEAF_TONE = "#5d7355", "#7c9272"


def spray_layer(spray: Spray, view: View) -> Layer:
    """Draw a placed floral, its stem towards where it is set in."""
    drawn = _spray(spray, view.x(spray.x_m), view.y(spray.y_m))
    return Layer(spray.z_m, "florals", drawn, f"spray:{spray.id}")


def spray_from_above(spray: Spray, x: float, z: float) -> str:
    """Draw a placed floral from above, about its middle in drawing units."""
    half = spray.size_m * PX_PER_M / 2
    leaves = "".join(
        blade(
            x,
            z,
            turn,
            half * 0.9,
            0.26,
            mixed(spray.hex if spray.look == "leaf" else LEAF_TONE, "#ffffff", 0.1),
        )
        for turn in (0.3, 1.5, 2.8, 4.0, 5.2)
    )
    heart = f'<circle cx="{short(x)}" cy="{short(z)}" r="{short(half * 0.5)}" fill="{spray.hex}"/>'
    return leaves + (heart if spray.look != "leaf" else "")


# Private


def _spray(spray: Spray, x: float, y: float) -> str:
    angle, size = math.pi / 2 - math.radians(spray.turn_deg), spray.size_m * PX_PER_M
    foot = x - math.cos(angle) * size / 2, y + math.sin(angle) * size / 2
    if spray.look == "bloom":
        return _blooms(spray, foot, angle, size)
    if spray.look == "plume":
        return _stem(foot, angle, size * 0.4) + plume(
            *_along(foot, angle, size * 0.25), angle, size * 0.75, spray.hex
        )
    return _branch(spray, foot, angle, size)


def _branch(spray: Spray, foot: tuple[float, float], angle: float, size: float) -> str:
    """A stem with leaves to both sides, smaller towards its tip."""
    pairs = LEAVES if spray.kind == "spray" else 3
    drawn = [_stem(foot, angle, size * 0.94, mixed(spray.hex, "#14301c", 0.35))]
    for k in range(pairs):
        at = 0.16 + 0.7 * k / pairs
        length = size * (0.36 - 0.2 * k / pairs)
        for side in (-1, 1):
            place = _along(foot, angle, size * (at + (0.05 if side > 0 else 0.0)))
            tone = mixed(spray.hex, "#ffffff", 0.14) if side > 0 else mixed(spray.hex, "#14301c", 0.12)
            drawn.append(blade(*place, angle + side * (0.95 - 0.35 * k / pairs), length, 0.30, tone))
    tip = _along(foot, angle, size * 0.82)
    return "".join(drawn) + blade(*tip, angle, size * 0.2, 0.30, mixed(spray.hex, "#ffffff", 0.2))


def _blooms(spray: Spray, foot: tuple[float, float], angle: float, size: float) -> str:
    """One bloom on its stem, or several on a branch."""
    if spray.kind == "pick":
        head = _along(foot, angle, size * 0.68)
        return _stem(foot, angle, size * 0.6) + bloom(*head, angle, size * 0.72, spray.hex)
    drawn = []
    for turn, reach, share in ((-0.42, 0.62, 0.44), (0.46, 0.55, 0.4), (0.02, 0.78, 0.5))[:BLOOMS]:
        drawn.append(_stem(foot, angle + turn, size * reach))
        drawn.append(
            blade(*_along(foot, angle + turn, size * 0.25), angle + turn * 2.6, size * 0.3, 0.26, LEAF_TONE)
        )
        drawn.append(bloom(*_along(foot, angle + turn, size * reach), angle, size * share, spray.hex))
    return "".join(drawn)


def _stem(foot: tuple[float, float], angle: float, length: float, tone: str = STEM_TONE) -> str:
    end = _along(foot, angle, length)
    middle = _along(foot, angle + 0.08, length / 2)
    return (
        f'<path d="M{many(*foot)}Q{many(*middle, *end)}" fill="none" stroke="{tone}" stroke-width="1.8" '
        'stroke-linecap="round"/>'
    )


def _along(foot: tuple[float, float], angle: float, length: float) -> tuple[float, float]:
    return foot[0] + math.cos(angle) * length, foot[1] - math.sin(angle) * length
