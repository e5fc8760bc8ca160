"""Florals in the picture: those woven into garlands, and single stems and branches turned as they are set."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from quoting.craft.design.floral_kinds import kind_of
from quoting.craft.design.records import Design, Floral
from quoting.craft.design.things import Spray
from quoting.craft.picture.botany import GREEN_DARK, LEAF_TONE, branch, pick, pick_on_stem, sprig
from quoting.craft.picture.drawing import many, mixed, short
from quoting.craft.picture.view import PX_PER_M, Layer, View
from quoting.craft.rigging.florals import Leaf
from quoting.craft.takeoff.takeoff import TakeOff

# Settings of the drawing.
BEFORE_M: Final = {"greenery": 0.1, "pick": 0.14, "spray": 0.2}
"""How far florals stand out before the balloons among which they are set."""


def floral_symbols(takeoff: TakeOff, prefix: str) -> str:
    """Draw each floral of the design once; greenery twice, as its leaves lie in the light or in the shade.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> floral_symbols(take_off(load_design(STARTERS / "garland-nested-arches.json")), "").count("<g id=")
    3
    """
    seen = {leaf.floral for leaf in takeoff.leaves}
    garlands = "".join(
        _symbols(f"{prefix}l{k}", floral) for k, floral in enumerate(takeoff.design.florals) if k in seen
    )
    placed = "".join(
        f'<g id="{prefix}y{k}">{_placed(spray)}</g>' for k, spray in _kinds(takeoff.design).values()
    )
    return garlands + placed


def leaf_layers(takeoff: TakeOff, view: View) -> Iterator[Layer]:
    """Draw the florals of garlands where they come to the outside, a little before the balloons beside them."""
    for number, leaf in enumerate(takeoff.leaves):
        floral = takeoff.design.florals[leaf.floral]
        name = f"{view.prefix}l{leaf.floral}" + (
            "d" if floral.kind == "greenery" and leaf.angle % 1 <= 0.5 else ""
        )
        x, y = view.x(leaf.x), view.y(leaf.y)
        drawn = _stem(leaf, floral, x, y) + _used(
            name, x, y, leaf.angle, leaf.size_m, mirrored=bool(number % 2)
        )
        yield Layer(
            _depth(leaf, floral, takeoff.design), "florals", drawn, takeoff.pieces[leaf.garland].reference
        )


def spray_layers(takeoff: TakeOff, view: View) -> Iterator[Layer]:
    """Draw the placed florals, the stem of each towards where it is set in."""
    kinds = _kinds(takeoff.design)
    for spray in takeoff.design.sprays:
        angle = math.pi / 2 - math.radians(spray.turn_deg)
        half = spray.size_m / 2
        x, y = view.x(spray.x_m - half * math.cos(angle)), view.y(spray.y_m - half * math.sin(angle))
        name = f"{view.prefix}y{kinds[_alike(spray)][0]}"
        yield Layer(spray.z_m, "florals", _used(name, x, y, angle, spray.size_m), f"spray:{spray.id}")


def spray_from_above(spray: Spray, x: float, z: float) -> str:
    """Draw a placed floral from above, about its middle in drawing units."""
    half = spray.size_m * PX_PER_M / 2
    tone = mixed(spray.hex if spray.look == "leaf" else LEAF_TONE, "#ffffff", 0.1)
    leaves = "".join(_blade(x, z, turn, half * 0.9, tone) for turn in (0.3, 1.5, 2.8, 4.0, 5.2))
    heart = f'<circle cx="{short(x)}" cy="{short(z)}" r="{short(half * 0.5)}" fill="{spray.hex}"/>'
    return leaves + (heart if spray.look != "leaf" else "")


# Private

BEHIND_M: Final = 1e-3
""""Behind", in the order in which things are drawn (setting)."""


def _symbols(name: str, floral: Floral) -> str:
    kind = kind_of(floral.look, floral.item, floral.label)
    if floral.kind != "greenery":
        return f'<g id="{name}">{pick(kind, floral.hex)}</g>'
    lit, shaded = mixed(floral.hex, "#ffffff", 0.08), mixed(floral.hex, GREEN_DARK, 0.16)
    return f'<g id="{name}">{sprig(kind, lit)}</g><g id="{name}d">{sprig(kind, shaded)}</g>'


def _kinds(design: Design) -> dict[tuple[str, ...], tuple[int, Spray]]:
    """The placed florals that look different, numbered, by what they look like."""
    found: dict[tuple[str, ...], tuple[int, Spray]] = {}
    for spray in design.sprays:
        found.setdefault(_alike(spray), (len(found), spray))
    return found


def _alike(spray: Spray) -> tuple[str, ...]:
    return kind_of(spray.look, spray.item, spray.label), spray.kind, spray.look, spray.hex


def _placed(spray: Spray) -> str:
    kind = kind_of(spray.look, spray.item, spray.label)
    return (pick_on_stem if spray.kind == "pick" else branch)(kind, spray.hex)


def _depth(leaf: Leaf, floral: Floral, design: Design) -> float:
    """How near a leaf is: a little before the balloons about it, yet behind a frame that it is behind."""
    behind = [
        frame.z_m - BEHIND_M
        for frame in design.frames
        if leaf.z < frame.z_m and abs(leaf.x - frame.x_m) <= frame.width_m / 2
    ]
    return min([leaf.z + BEFORE_M[floral.kind], *behind])


def _used(name: str, x: float, y: float, angle: float, size_m: float, *, mirrored: bool = False) -> str:
    size = round(size_m * PX_PER_M, 1)
    scale = f"{size:g} {-size:g}" if mirrored else f"{size:g}"
    return f'<use href="#{name}" transform="translate({many(x, y)})rotate({-math.degrees(angle):.0f})scale({scale})"/>'


def _stem(leaf: Leaf, floral: Floral, x: float, y: float) -> str:
    dx, dy = leaf.stem[0] * PX_PER_M, -leaf.stem[1] * PX_PER_M
    if not dx and not dy:
        return ""
    tone = mixed(floral.hex, GREEN_DARK, 0.3)
    return f'<path d="M{many(x, y)}l{many(dx, dy)}" stroke="{tone}" stroke-width="1.6"/>'


def _blade(x: float, y: float, angle: float, size: float, colour: str) -> str:
    """One leaf from (x, y) in a direction [rad]."""
    dx, dy = math.cos(angle) * size, -math.sin(angle) * size
    nx, ny = -dy * 0.26, dx * 0.26
    return (
        f'<path d="M{many(x, y)}q{many(dx * 0.45 + nx, dy * 0.45 + ny, dx, dy)}'
        f'q{many(-dx * 0.55 - nx, -dy * 0.55 - ny, -dx, -dy)}" fill="{colour}"/>'
    )
