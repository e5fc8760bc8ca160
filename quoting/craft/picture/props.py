"""Props in the picture: plinths, tables, chairs, easels, rugs, candles, backdrops and stands."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from quoting.craft.design.things import Prop
from quoting.craft.picture.drawing import PAPER_SHADE, WARM_DARK, many, mixed, short
from quoting.craft.picture.view import PX_PER_M, Layer, View

# Settings of the drawing.
FLAME, WICK = "#f6c667", "#4a3b2a"
FOLD_M = 0.16
RUG_SHOWN = 0.16  # share of a rug's depth that shows on the floor
LEAST_PX = 2.0


@dataclass(frozen=True, slots=True)
class _Drawn:
    """A prop in drawing units: left, top, width and height, its gradient and its tones."""

    left: float
    top: float
    wide: float
    high: float
    fill: str
    tone: str

    @property
    def right(self) -> float:
        return self.left + self.wide

    @property
    def middle(self) -> float:
        return self.left + self.wide / 2

    @property
    def foot(self) -> float:
        return self.top + self.high

    @property
    def edge(self) -> str:
        return mixed(self.tone, PAPER_SHADE, 0.34)

    @property
    def shade(self) -> str:
        return mixed(self.tone, WARM_DARK, 0.3)

    @property
    def light(self) -> str:
        return mixed(self.tone, "#ffffff", 0.42)


def prop_layer(index: int, prop: Prop, view: View) -> Layer:
    """Draw a prop where it stands; a rug lies under everything."""
    wide, high = prop.width_m * PX_PER_M, max(prop.height_m * PX_PER_M, LEAST_PX)
    place = _Drawn(
        view.x(prop.x_m - prop.width_m / 2), view.y(prop.base_m) - high, wide, high,
        f"url(#{view.prefix}p{index})", prop.hex,
    )  # fmt: skip
    if prop.look == "rug":
        return Layer(-LYING_M, "props", _rug(place, prop.depth_m * PX_PER_M), f"prop:{prop.id}")
    return Layer(prop.z_m, "props", LOOKS[prop.look](place), f"prop:{prop.id}")


def prop_gradient(name: str, prop: Prop) -> str:
    """Draw the light across a prop, from the left.

    >>> box = Prop(id="b", item="box", label="Box", look="box", width_m=0.4, height_m=0.4, depth_m=0.4)
    >>> prop_gradient("p0", box).count("<stop")
    4
    """
    stops = (
        (0.0, mixed(prop.hex, PAPER_SHADE, 0.16)),
        (0.28, mixed(prop.hex, "#ffffff", 0.38)),
        (0.62, prop.hex),
        (1.0, mixed(prop.hex, PAPER_SHADE, 0.30)),
    )
    drawn = "".join(f'<stop offset="{place:g}" stop-color="{tone}"/>' for place, tone in stops)
    return f'<linearGradient id="{name}">{drawn}</linearGradient>'


def prop_from_above(prop: Prop, x: float, z: float) -> str:
    """Draw a prop from above, about its middle in drawing units."""
    wide, deep = prop.width_m * PX_PER_M, max(prop.depth_m * PX_PER_M, LEAST_PX)
    paint = f'fill="{mixed(prop.hex, PAPER_SHADE, 0.06)}" stroke="{mixed(prop.hex, PAPER_SHADE, 0.4)}"'
    if prop.look in ROUND_LOOKS:
        return f'<ellipse cx="{short(x)}" cy="{short(z)}" rx="{short(wide / 2)}" ry="{short(deep / 2)}" {paint}/>'
    body = _rect(x - wide / 2, z - deep / 2, wide, deep, paint, round_px=4)
    if prop.look == "chair":
        body += _rect(
            x - wide / 2, z - deep / 2, wide, deep * 0.14, f'fill="{mixed(prop.hex, WARM_DARK, 0.3)}"'
        )
    if prop.look == "rug":
        body += _rect(
            x - wide / 2 + 8, z - deep / 2 + 8, wide - 16, deep - 16,
            f'fill="none" stroke="{mixed(prop.hex, "#ffffff", 0.45)}" stroke-width="2"', round_px=3,
        )  # fmt: skip
    return body


# Private

LYING_M: Final = 50.0  # setting: a rug is drawn before everything else
ROUND_LOOKS: Final = ("plinth", "candle", "balloon-stand")


def _rect(x: float, y: float, wide: float, high: float, paint: str, *, round_px: float = 0.0) -> str:
    corners = f' rx="{short(round_px)}"' if round_px else ""
    if wide <= 0 or high <= 0:
        return ""
    return (
        f'<rect x="{short(x)}" y="{short(y)}" width="{short(wide)}" height="{short(high)}"{corners} {paint}/>'
    )


def _ellipse(x: float, y: float, across: float, up: float, paint: str) -> str:
    return f'<ellipse cx="{short(x)}" cy="{short(y)}" rx="{short(across)}" ry="{short(up)}" {paint}/>'


def _bar(x1: float, y1: float, x2: float, y2: float, tone: str, breadth: float) -> str:
    return (
        f'<path d="M{many(x1, y1)}L{many(x2, y2)}" stroke="{tone}" stroke-width="{short(breadth)}" '
        'stroke-linecap="round"/>'
    )


def _plinth(p: _Drawn) -> str:
    """A round column without base or capital: its top shows as a slim ellipse, lit, its edge in shade below."""
    lid = min(p.wide * 0.11, p.high * 0.2)
    left, right, top, foot = p.left, p.right, p.top + lid, p.foot - lid * 0.4
    half, bulge = p.wide / 2, lid * 0.7
    body = (
        f'<path d="M{many(left, top)}V{short(foot)}A{many(half, bulge)} 0 0 0 {many(right, foot)}'
        f'V{short(top)}Z" fill="{p.fill}"/>'
    )
    under = (
        f'<path d="M{many(left, top)}A{many(half, lid)} 0 0 0 {many(right, top)}v{short(lid * 0.9)}'
        f'A{many(half, lid)} 0 0 1 {many(left, top + lid * 0.9)}Z" fill="{WARM_DARK}" fill-opacity=".09"/>'
    )
    foot_shade = (
        f'<path d="M{many(left, foot - lid * 0.7)}V{short(foot)}A{many(half, bulge)} 0 0 0 {many(right, foot)}'
        f'v{short(-lid * 0.7)}A{many(half, bulge)} 0 0 1 {many(left, foot - lid * 0.7)}Z" fill="{WARM_DARK}" '
        'fill-opacity=".12"/>'
    )
    top_lit = _ellipse(p.middle, top, half, lid, f'fill="{p.light}"')
    glow = _ellipse(
        p.middle - half * 0.16, top - lid * 0.12, half * 0.66, lid * 0.6, 'fill="#fff" fill-opacity=".4"'
    )
    return body + under + foot_shade + top_lit + glow


def _box(p: _Drawn) -> str:
    lid = min(p.high * 0.1, 9.0)
    slant = min(p.wide * 0.08, 12.0)
    top = (
        f'<path d="M{many(p.left + slant, p.top)}H{short(p.right - slant)}L{many(p.right, p.top + lid)}'
        f'H{short(p.left)}Z" fill="{p.light}" stroke="{p.edge}" stroke-width=".8"/>'
    )
    front = f'fill="{p.fill}" stroke="{p.edge}" stroke-width=".8"'
    return top + _rect(p.left, p.top + lid, p.wide, p.high - lid, front)


def _table(p: _Drawn) -> str:
    """A table seen a little from above: its top, the edge of that, the apron in its shade, and four tapered legs."""
    lid, slab = min(max(p.high * 0.07, 5.0), 13.0), min(max(p.high * 0.045, 4.0), 9.0)
    leg, inset = min(max(p.wide * 0.045, 5.0), 13.0), p.wide * 0.05
    edge = p.top + lid
    rear = "".join(
        _leg(p, p.middle + side * (p.wide / 2 - inset * 2.4), edge + slab, p.foot - lid, leg * 0.7, p.shade)
        for side in (-1, 1)
    )
    front = "".join(
        _leg(p, p.middle + side * (p.wide / 2 - inset * 1.5), edge + slab, p.foot, leg, p.edge)
        for side in (-1, 1)
    )
    apron = _rect(p.left + inset, edge + slab, p.wide - 2 * inset, slab * 1.6, f'fill="{p.edge}"')
    dark = _rect(
        p.left + inset, edge + slab, p.wide - 2 * inset, slab * 0.7, f'fill="{WARM_DARK}" fill-opacity=".22"'
    )
    top = (
        f'<path d="M{many(p.left + lid * 1.3, p.top)}H{short(p.right - lid * 1.3)}L{many(p.right, edge)}'
        f'H{short(p.left)}Z" fill="{p.light}"/>'
    )
    board = _rect(
        p.left, edge, p.wide, slab, f'fill="{p.fill}" stroke="{p.edge}" stroke-width=".7"', round_px=slab / 3
    )
    return rear + front + apron + dark + top + board


def _leg(p: _Drawn, x: float, top: float, foot: float, broad: float, tone: str) -> str:
    """A leg that tapers, its right side in the shade."""
    half, thin = broad / 2, broad * 0.32
    return (
        f'<path d="M{many(x - half, top)}H{short(x + half)}L{many(x + thin, foot)}H{short(x - thin)}Z" fill="{tone}"/>'
        f'<path d="M{many(x + half * 0.1, top)}H{short(x + half)}L{many(x + thin, foot)}H{short(x + thin * 0.1)}Z" '
        f'fill="{WARM_DARK}" fill-opacity=".2"/>'
    )


def _chair(p: _Drawn) -> str:
    """A chair from the front: its back with rails, the seat, and four legs."""
    seat, bar = p.top + p.high * 0.52, min(max(p.wide * 0.075, 3.0), 9.0)
    left, right = p.left + bar, p.right - bar
    rear = _bar(left + bar, seat, left + bar, p.foot - 6, p.shade, bar * 0.8)
    rear += _bar(right - bar, seat, right - bar, p.foot - 6, p.shade, bar * 0.8)
    posts = _bar(left + bar * 0.6, seat, left, p.top + bar, p.tone, bar) + _bar(
        right - bar * 0.6, seat, right, p.top + bar, p.tone, bar
    )
    rails = "".join(
        f'<path d="M{many(left, y)}Q{many(p.middle, y - bar * 1.2, right, y)}" fill="none" stroke="{tone}" '
        f'stroke-width="{short(breadth)}" stroke-linecap="round"/>'
        for y, breadth, tone in (
            (p.top + bar * 1.4, bar * 1.7, p.tone),
            (p.top + p.high * 0.2, bar, p.edge),
            (p.top + p.high * 0.33, bar, p.edge),
        )
    )  # fmt: skip
    legs = _bar(left, seat, left - bar * 0.4, p.foot - bar / 2, p.edge, bar)
    legs += _bar(right, seat, right + bar * 0.4, p.foot - bar / 2, p.edge, bar)
    cushion = _rect(
        p.left,
        seat - bar,
        p.wide,
        bar * 2,
        f'fill="{p.fill}" stroke="{p.edge}" stroke-width=".8"',
        round_px=bar,
    )
    return rear + posts + rails + legs + cushion


def _easel(p: _Drawn) -> str:
    """Three legs and a ledge."""
    bar = min(max(p.wide * 0.05, 4.0), 9.0)
    ledge = p.top + p.high * 0.62
    return (
        _bar(p.middle, p.top + p.high * 0.08, p.middle + p.wide * 0.12, p.foot - 9, p.shade, bar * 0.8)
        + _bar(p.middle - bar, p.top + bar, p.left + bar, p.foot - bar / 2, p.tone, bar)
        + _bar(p.middle + bar, p.top + bar, p.right - bar, p.foot - bar / 2, p.tone, bar)
        + _bar(p.middle - p.wide * 0.2, p.top + p.high * 0.36, p.middle + p.wide * 0.2, p.top + p.high * 0.36, p.edge,
               bar * 0.7)
        + _rect(p.left + p.wide * 0.06, ledge, p.wide * 0.88, bar * 1.5, f'fill="{p.fill}" stroke="{p.edge}"',
                round_px=2)
    )  # fmt: skip


def _rug(p: _Drawn, deep: float) -> str:
    """A rug on the floor in front, foreshortened, with a border and fringes."""
    shown, lean = deep * RUG_SHOWN, deep * RUG_SHOWN * 0.5
    far, near = p.foot - shown * 0.35, p.foot + shown * 0.65

    def sheet(inset: float, fill: str) -> str:
        across, up = inset * 1.6, inset * RUG_SHOWN * 2.6
        return (
            f'<path d="M{many(p.left + lean + across, far + up)}H{short(p.right - lean - across)}'
            f'L{many(p.right + lean - across, near - up)}H{short(p.left - lean + across)}Z" fill="{fill}"/>'
        )

    fringes = "".join(
        _bar(x1, y, x2, y + 0.8, p.light, 1.2)
        for k in range(5)
        for y in [far + (near - far) * (k + 0.5) / 5]
        for x1, x2 in [
            (p.left + lean - 2 * lean * (k + 0.5) / 5, p.left + lean - 2 * lean * (k + 0.5) / 5 - 5),
            (p.right - lean + 2 * lean * (k + 0.5) / 5, p.right - lean + 2 * lean * (k + 0.5) / 5 + 5),
        ]
    )
    return fringes + sheet(0, p.edge) + sheet(3, p.tone) + sheet(9, p.light) + sheet(11, p.tone)


def _candle(p: _Drawn) -> str:
    """A candle with the warm light of its lamp."""
    flame, lid = min(p.wide * 0.9, 16.0), min(p.wide * 0.14, 5.0)
    top = p.top + flame * 0.9
    body = (
        f'<path d="M{many(p.left, top + lid)}V{short(p.foot - lid * 0.4)}A{many(p.wide / 2, lid)} 0 0 0 '
        f'{many(p.right, p.foot - lid * 0.4)}V{short(top + lid)}Z" fill="{p.fill}" stroke="{p.edge}" '
        'stroke-width=".7"/>'
    )
    glow = "".join(
        _ellipse(
            p.middle,
            top - flame * 0.3,
            flame * reach,
            flame * reach * 1.1,
            f'fill="{FLAME}" fill-opacity="{seen}"',
        )
        for reach, seen in ((2.4, 0.07), (1.6, 0.1), (0.95, 0.18))
    )
    tip = (
        f'<path d="M{many(p.middle, top - flame * 0.9)}q{many(flame * 0.34, flame * 0.5, 0, flame * 0.9)}'
        f'q{many(-flame * 0.34, -flame * 0.4, 0, -flame * 0.9)}z" fill="{FLAME}"/>'
    )
    wick = _bar(p.middle, top, p.middle, top + lid, WICK, 1.2)
    warm = _ellipse(p.middle, top + lid, p.wide / 2, lid, f'fill="{mixed(p.light, FLAME, 0.35)}"')
    core = _ellipse(p.middle, top - flame * 0.22, flame * 0.09, flame * 0.2, 'fill="#fffbe8"')
    return glow + body + warm + wick + tip + core


def _backdrop(p: _Drawn) -> str:
    """A cloth that hangs in folds from a bar on two poles."""
    pole = 5.0
    folds = max(4, round(p.wide / (FOLD_M * PX_PER_M)))
    step = (p.wide - 2 * pole) / folds
    top = p.top + pole
    hem = "".join(f"q{many(-step / 2, 4, -step, 0)}" for _ in range(folds))
    cloth = f'<path d="M{many(p.left + pole, top)}H{short(p.right - pole)}V{short(p.foot - 4)}{hem}Z" fill="{p.tone}"/>'
    lit = "".join(
        f'<path d="M{many(p.left + pole + step * (k + 0.3), top)}'
        f'q{many(step * 0.16, p.high * 0.5, 0, p.high - pole - 6)}" '
        f'fill="none" stroke="{tone}" stroke-opacity=".5" stroke-width="{short(step * share)}"/>'
        for k in range(folds)
        for tone, share in ((p.light, 0.26), (mixed(p.tone, PAPER_SHADE, 0.5), 0.08))
    )
    frame = _bar(p.left + pole / 2, p.top + pole / 2, p.left + pole / 2, p.foot - 2, p.shade, pole)
    frame += _bar(p.right - pole / 2, p.top + pole / 2, p.right - pole / 2, p.foot - 2, p.shade, pole)
    return frame + cloth + lit + _bar(p.left, p.top + pole / 2, p.right, p.top + pole / 2, p.shade, pole)


def _balloon_stand(p: _Drawn) -> str:
    """A foot, a thin pole and a cup for one balloon or a cluster."""
    foot, pole = min(p.high * 0.05, 10.0), min(max(p.wide * 0.05, 2.5), 6.0)
    base = _ellipse(
        p.middle, p.foot - foot / 2, p.wide / 2, foot / 2 + 1, f'fill="{p.fill}" stroke="{p.edge}"'
    )
    cup = (
        f'<path d="M{many(p.middle - pole * 2, p.top)}h{short(pole * 4)}l{many(-pole * 1.4, pole * 3)}'
        f'h{short(-pole * 1.2)}Z" fill="{p.light}" stroke="{p.edge}" stroke-width=".8"/>'
    )
    return base + _bar(p.middle, p.top + pole * 2, p.middle, p.foot - foot, p.tone, pole) + cup


LOOKS: Final[dict[str, Callable[[_Drawn], str]]] = {
    "plinth": _plinth,
    "box": _box,
    "table": _table,
    "chair": _chair,
    "easel": _easel,
    "candle": _candle,
    "backdrop": _backdrop,
    "balloon-stand": _balloon_stand,
}
