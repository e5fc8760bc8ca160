"""Florals by their kind: what a florist knows each by, drawn once and placed as often as it is set in.

A floral is drawn with its foot, or the middle of a bloom, at the origin and its way to the right; its length is 1.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import Final

from quoting.craft.design.floral_kinds import LOOKS
from quoting.craft.picture.drawing import WARM_DARK, mixed

GREEN_DARK, STEM, LEAF_TONE = "#14301c", "#5d7355", "#7c9272"
SPIRAL: Final = 2.399963  # a whole turn by the golden section [rad], exact
Point = tuple[float, float]


def sprig(kind: str, colour: str) -> str:
    """Draw what stands at one place of a vine: a few leaves on their twig.

    >>> sprig("eucalyptus", "#7E9A78") != sprig("ruscus", "#7E9A78")
    True
    """
    return SPRIGS.get(kind, _ruscus_sprig)(colour)


def pick(kind: str, colour: str) -> str:
    """Draw a pick: what one stem of the kind has.

    >>> len({pick(kind, "#7E9A78") for kind in PICKS})
    7
    """
    return PICKS[kind](colour)


def branch(kind: str, colour: str) -> str:
    """Draw a branch: several of a kind on one stem.

    >>> len({branch(kind, "#7E9A78") for kind in PICKS})
    7
    """
    return BRANCHES.get(kind, pick_on_stem)(kind, colour)


def pick_on_stem(kind: str, colour: str) -> str:
    """Draw one pick with the length of its stem: a bloom at its end, or the pick itself."""
    if kind in LOOKS["bloom"]:
        return _line([(0, 0), (0.66, 0)], STEM, 0.02) + _at(pick(kind, colour), 0.7, 0, 0.62)
    return pick(kind, colour)


# Private


def _n(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".").replace("-0.", "-.").removeprefix("0") or "0"


def _p(*values: float) -> str:
    return " ".join(map(_n, values))


def _at(drawn: str, x: float, y: float, size: float, turn_deg: float = 0.0) -> str:
    turned = f"rotate({turn_deg:g})" if turn_deg else ""
    return f'<g transform="translate({_p(x, y)}){turned}scale({_n(size)})">{drawn}</g>'


def _line(points: list[Point], tone: str, broad: float) -> str:
    (x, y), *others = points
    steps = "".join(f"L{_p(*point)}" for point in others)
    return (
        f'<path d="M{_p(x, y)}{steps}" fill="none" stroke="{tone}" stroke-width="{_n(broad)}" '
        'stroke-linecap="round"/>'
    )


def _filled(path: str, tone: str) -> str:
    return f'<path d="{path}" fill="{tone}"/>'


def _shaded(path: str, tone: str) -> str:
    """A shape and a little shade about it, by which it stands out from what is behind."""
    return (
        f'<path d="{path}" fill="{tone}" stroke="{WARM_DARK}" stroke-opacity=".16" stroke-width=".03" '
        'paint-order="stroke"/>'
    )


def _blade(x: float, y: float, turn: float, size: float, breadth: float) -> str:
    """The path of a pointed leaf from (x, y)."""
    dx, dy = math.cos(turn) * size, math.sin(turn) * size
    nx, ny = -dy * breadth, dx * breadth
    return f"M{_p(x, y)}q{_p(dx * 0.42 + nx, dy * 0.42 + ny, dx, dy)}q{_p(-dx * 0.58 - nx, -dy * 0.58 - ny, -dx, -dy)}z"


def _round_leaf(x: float, y: float, turn: float, size: float) -> str:
    """The path of a leaf that is nearly round, from its foot at (x, y)."""
    c, s, r = math.cos(turn) * size, math.sin(turn) * size, size * 0.56
    ax, ay = -s * 0.62, c * 0.62
    return (
        f"M{_p(x, y)}c{_p(ax, ay, c + ax * 0.85, s + ay * 0.85, c, s)}"
        f"c{_p(-ax * 0.85, -ay * 0.85, -c - ax, -s - ay, -c, -s)}z"
        if r
        else ""
    )


def _eucalyptus(colour: str, pairs: int, leaf: float) -> str:
    """Round leaves in pairs along a reddish twig, smaller towards the tip, the light ones on top."""
    pale, deep, rib = (
        mixed(colour, "#ffffff", 0.26),
        mixed(colour, GREEN_DARK, 0.18),
        mixed(colour, "#ffffff", 0.5),
    )
    low: list[str] = []
    high: list[str] = []
    ribs = []
    for k in range(pairs):
        at = 0.14 + 0.74 * k / pairs
        size = leaf * (1 - 0.45 * k / pairs)
        for side in (-1, 1):
            turn = side * (1.15 - 0.5 * k / pairs)
            (low if side > 0 else high).append(_round_leaf(at, 0, turn, size))
            ribs.append(f"M{_p(at, 0)}l{_p(math.cos(turn) * size * 0.8, math.sin(turn) * size * 0.8)}")
    high.append(_round_leaf(0.86, 0, 0.1, leaf * 0.5))
    twig = _line([(0, 0), (0.9, 0)], mixed(colour, "#6b4a3a", 0.55), 0.022)
    veins = f'<path d="{"".join(ribs)}" stroke="{rib}" stroke-width=".012" fill="none"/>'
    return _shaded("".join(low), deep) + twig + _shaded("".join(high), mixed(pale, colour, 0.3)) + veins


def _eucalyptus_sprig(colour: str) -> str:
    return _eucalyptus(colour, 2, 0.46)


def _ruscus(colour: str, pairs: int, leaf: float) -> str:
    """Pointed leaves, one after the other to both sides of a stem, each with its rib."""
    deep, pale = mixed(colour, GREEN_DARK, 0.26), mixed(colour, "#ffffff", 0.12)
    sides: tuple[list[str], list[str]] = ([], [])
    ribs = []
    for k in range(2 * pairs):
        at, side = 0.08 + 0.8 * k / (2 * pairs), 1 if k % 2 else -1
        size, turn = leaf * (1 - 0.35 * k / (2 * pairs)), side * (0.82 - 0.3 * k / (2 * pairs))
        sides[k % 2].append(_blade(at, 0, turn, size, 0.36))
        ribs.append(f"M{_p(at, 0)}l{_p(math.cos(turn) * size * 0.9, math.sin(turn) * size * 0.9)}")
    tip = _blade(0.86, 0, 0.05, leaf * 0.6, 0.36)
    veins = (
        f'<path d="{"".join(ribs)}" stroke="{mixed(colour, "#ffffff", 0.4)}" stroke-width=".01" fill="none"/>'
    )
    stem = _line([(0, 0), (0.9, 0)], mixed(colour, GREEN_DARK, 0.4), 0.02)
    return _shaded("".join(sides[1]), deep) + stem + _shaded("".join(sides[0]) + tip, pale) + veins


def _ruscus_sprig(colour: str) -> str:
    return _ruscus(colour, 1, 0.72)


def _frond(turn: float, size: float, bow: float) -> Iterator[str]:
    """The leaflets of one fern frond from the origin: many, slim, in pairs, longest in its lower third."""
    pairs = 9
    for k in range(pairs):
        at = size * (0.1 + 0.86 * k / pairs)
        bent = turn + bow * at
        x, y = math.cos(bent) * at, math.sin(bent) * at
        long = size * 0.3 * math.sin(math.pi * (0.2 + 0.78 * k / pairs)) + 0.02
        for side in (-1, 1):
            yield _blade(x, y, bent + side * (1.2 - 0.5 * k / pairs), long, 0.24)


def _fern_of(colour: str, fronds: tuple[tuple[float, float, float], ...]) -> str:
    drawn = []
    for k, (turn, size, bow) in enumerate(fronds):
        tone = mixed(colour, GREEN_DARK if k % 2 else "#ffffff", 0.14)
        ribs = [
            (math.cos(turn + bow * at) * at, math.sin(turn + bow * at) * at)
            for at in (0, size / 2, size * 0.97)
        ]
        drawn.append(
            _shaded("".join(_frond(turn, size, bow)), tone) + _line(ribs, mixed(tone, GREEN_DARK, 0.4), 0.012)
        )
    return "".join(drawn)


def _fern_pick(colour: str) -> str:
    return _fern_of(colour, ((-0.62, 0.86, -0.3), (0.66, 0.84, 0.3), (0.02, 1.0, 0.1)))


def _petal(turn: float, inner: float, outer: float, half: float, dent: float = 0.0) -> str:
    """A petal from the middle outwards, rounded, with a dent in its edge where it is ruffled."""

    def at(angle: float, reach: float) -> Point:
        return math.cos(angle) * reach, math.sin(angle) * reach

    start, end, edge = at(turn - half, inner), at(turn + half, inner), at(turn, outer * (1.04 - dent))
    left = (*at(turn - half * 1.4, outer * 0.8), *at(turn - half * 0.6, outer * 1.12))
    right = (*at(turn + half * 0.6, outer * 1.12), *at(turn + half * 1.4, outer * 0.8))
    return f"M{_p(*start)}C{_p(*left, *edge)}C{_p(*right, *end)}Z"


def _ring(
    count: int, shift: float, inner: float, outer: float, tone: str, dark: str, dent: float = 0.0
) -> str:
    """A ring of petals that overlap, each with a dark foot and its edge in the light."""
    half = math.pi / count * 1.25
    return "".join(
        f'<path d="{_petal(shift + 2 * math.pi * k / count, inner, outer, half, dent)}" fill="{tone}" stroke="{dark}" '
        'stroke-width=".014"/>'
        for k in range(count)
    )


def _sepals(reach: float) -> str:
    """A few leaves that look out from under a bloom."""
    path = "".join(_blade(0, 0, turn, reach, 0.3) for turn in (2.35, -2.35, 0.7))
    return _shaded(path, LEAF_TONE)


def _rose(colour: str) -> str:
    """Outer petals that fall back, and a heart that winds inwards."""
    deep, dark = mixed(colour, WARM_DARK, 0.2), mixed(colour, WARM_DARK, 0.36)
    rings = (
        _ring(5, 0.3, 0.06, 0.44, mixed(colour, "#ffffff", 0.24), deep)
        + _ring(5, 0.92, 0.05, 0.34, mixed(colour, "#ffffff", 0.08), deep)
        + _ring(4, 0.2, 0.04, 0.25, mixed(colour, WARM_DARK, 0.06), dark)
    )
    points = [(0.02 + 0.15 * t / 9, t * 0.78) for t in range(10)]
    winding = [(math.cos(turn) * reach, math.sin(turn) * reach) for reach, turn in points]
    heart = f'<circle r=".17" fill="{mixed(colour, WARM_DARK, 0.16)}"/>' + _line(winding, dark, 0.026)
    return (
        _sepals(0.62)
        + f'<circle cx=".02" cy=".04" r=".45" fill="{WARM_DARK}" fill-opacity=".2"/>'
        + rings
        + heart
    )


def _peony(colour: str) -> str:
    """Full and ruffled: many petals with dented edges, close and pale, stamens in the middle."""
    deep = mixed(colour, WARM_DARK, 0.16)
    rings = "".join(
        _ring(count, shift, reach * 0.3, reach, mixed(colour, "#ffffff", light), deep, dent=0.16)
        for count, shift, reach, light in (
            (9, 0.0, 0.52, 0.06), (8, 0.4, 0.44, 0.26), (7, 0.1, 0.35, 0.14), (6, 0.6, 0.26, 0.36), (5, 0.2, 0.18, 0.2),
        )
    )  # fmt: skip
    stamens = "".join(
        f"M{_p(0.07 * math.cos(k * SPIRAL) * math.sqrt(k / 9), 0.07 * math.sin(k * SPIRAL) * math.sqrt(k / 9))}h.01"
        for k in range(1, 10)
    )
    dots = f'<path d="{stamens}" stroke="#d9b45b" stroke-width=".04" stroke-linecap="round"/>'
    shade = f'<circle cx=".02" cy=".04" r=".53" fill="{WARM_DARK}" fill-opacity=".2"/>'
    return _sepals(0.7) + shade + rings + dots


def _pampas(colour: str) -> str:
    """A feathery plume: fine hairs that leave a bending stem to both sides, fullest below its middle."""
    tones = (
        mixed(colour, WARM_DARK, 0.24),
        colour,
        mixed(colour, "#ffffff", 0.3),
        mixed(colour, "#ffffff", 0.56),
    )
    hairs: list[list[str]] = [[] for _ in tones]
    for k in range(88):
        share = (k + 0.5) / 88
        at = 0.24 + 0.72 * share
        full = math.sin(math.pi * (0.16 + 0.8 * share)) ** 0.7
        side = 1 if k % 2 else -1
        wild = math.sin(k * 12.9898) * 0.5
        long, wide = 0.15 + 0.1 * full + 0.05 * wild, side * (0.03 + (0.2 + 0.09 * wild) * full)
        y = 0.05 * math.sin(at * 2.2) - 0.02
        hairs[k * 7 % len(tones)].append(f"M{_p(at, y)}q{_p(long * 0.45, wide * 0.3, long, wide)}")
    body = _shaded("M.2 0C.34 .12 .7 .15 1.06 .03C.74 -.11 .36 -.12 .2 0Z", mixed(colour, WARM_DARK, 0.08))
    drawn = "".join(
        f'<path d="{"".join(paths)}" fill="none" stroke="{tone}" stroke-width=".016" stroke-linecap="round"/>'
        for paths, tone in zip(hairs, tones, strict=True)
    )
    return _line([(0, 0), (0.4, 0.01)], mixed(colour, "#6b5a34", 0.4), 0.022) + body + drawn


def _palm(colour: str) -> str:
    """A fan: pleated blades that spread from one point, slit at their ends."""
    pale, deep = mixed(colour, "#ffffff", 0.16), mixed(colour, GREEN_DARK, 0.16)
    blades: tuple[list[str], list[str]] = ([], [])
    folds = []
    for k in range(15):
        turn = -1.35 + 2.7 * k / 14
        size = 0.8 * (1 - 0.12 * abs(turn) ** 2 / 1.8)
        blades[k % 2].append(_blade(0.2, 0, turn, size, 0.12))
        folds.append(f"M.2 0l{_p(math.cos(turn) * size * 0.9, math.sin(turn) * size * 0.9)}")
    ribs = f'<path d="{"".join(folds)}" stroke="{mixed(colour, GREEN_DARK, 0.36)}" stroke-width=".008" fill="none"/>'
    stalk = _line([(0, 0), (0.22, 0)], deep, 0.03)
    return stalk + _shaded("".join(blades[1]), deep) + _filled("".join(blades[0]), pale) + ribs


def _blooms_on_a_branch(kind: str, colour: str) -> str:
    stems = "".join(
        _line([(0, 0), (reach * math.cos(turn), reach * math.sin(turn))], STEM, 0.016)
        for turn, reach, _ in ON_A_BRANCH
    )
    heads = "".join(
        _at(pick(kind, colour), reach * math.cos(turn), reach * math.sin(turn), size, 40 * k)
        for k, (turn, reach, size) in enumerate(ON_A_BRANCH)
    )
    return stems + heads


ON_A_BRANCH: Final = ((-0.42, 0.62, 0.44), (0.46, 0.55, 0.4), (0.02, 0.78, 0.5))
"""Blooms of a branch: turned by so much, so far from its foot, so large (setting)."""
# Settings of the drawing, by eye.
SPRIGS: Final[dict[str, Callable[[str], str]]] = {
    "eucalyptus": _eucalyptus_sprig,
    "ruscus": _ruscus_sprig,
    "fern": lambda colour: _fern_of(colour, ((0.0, 1.0, 0.2),)),
    "palm": _palm,
}
# Settings of the drawing, by eye.
PICKS: Final[dict[str, Callable[[str], str]]] = {
    "eucalyptus": lambda colour: _eucalyptus(colour, 4, 0.3),
    "ruscus": lambda colour: _ruscus(colour, 4, 0.42),
    "fern": _fern_pick,
    "palm": _palm,
    "rose": _rose,
    "peony": _peony,
    "pampas": _pampas,
}
# Settings of the drawing, by eye.
BRANCHES: Final[dict[str, Callable[[str, str], str]]] = {
    "eucalyptus": lambda _, colour: _eucalyptus(colour, 6, 0.24),
    "ruscus": lambda _, colour: _ruscus(colour, 6, 0.32),
    "fern": lambda _, colour: _fern_of(colour, ((0.0, 1.0, 0.24),)),
    "rose": _blooms_on_a_branch,
    "peony": _blooms_on_a_branch,
}
