"""The picture: SVG in elevation and in plan, spheres shaded by size and colour in depth order.

Only presentation attributes are used, no style attributes and no style elements, so that a picture may be
inlined under a strict Content-Security-Policy.
"""

from __future__ import annotations

from collections.abc import Callable
from xml.sax.saxutils import escape

import numpy as np

from quoting.craft.design.boxes import thing_boxes
from quoting.craft.design.frames import Points, face, outline
from quoting.craft.design.records import Frame, Sign
from quoting.craft.design.things import Lettering
from quoting.craft.picture.drawing import (
    PAPER_SHADE,
    balloon_gradient,
    cloth_gradient,
    leaf_svg,
    lightness,
    many,
    mixed,
    outline_path,
    short,
)
from quoting.craft.picture.person import PERSON_HEIGHT_M, person_svg
from quoting.craft.takeoff.sign_room import sign_depth
from quoting.craft.takeoff.takeoff import TakeOff
from studio.trade.sentences import Sentence, written_out

# Settings of the drawing.
PX_PER_M = 200.0  # drawing units a metre: one unit is 5 mm, fine enough for whole tenths
MARGIN_M = 0.32
FLOOR_M = 0.26
WALL_TONE, FLOOR_TONE, INK = "#f7f0e6", "#e4d9c7", "#1D2528"
FLOOR_LINE = 14
CAPITAL = 0.7  # height of a capital letter as a share of the font's size
LIGHT_LETTERS, AMBER = 0.7, "#a0511a"  # letters lighter than this glow in amber
GROUND_BELOW_M = 0.6  # a piece that hangs higher than this throws no shadow on the floor

Layer = tuple[float, str, str]


def elevation_svg(
    takeoff: TakeOff, *, ids: bool = True, person: bool = True, dimensions: bool = False, prefix: str = ""
) -> str:
    """Draw the set piece as the viewer sees it, one unit being 5 mm.

    ``ids``: parts carry ``data-part`` (garland, frames, florals, sign) so that a line of the price can point
    at its part; ``person``: a silhouette for scale; ``dimensions``: width and height with their lines;
    ``prefix`` goes before every gradient id.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> picture = elevation_svg(take_off(load_design(STARTERS / "table-garland.json")))
    >>> picture.count("<circle")
    128
    """
    view = _View(takeoff, person=person, dimensions=dimensions, prefix=prefix)
    layers: list[Layer] = []
    for index, frame in enumerate(takeoff.design.frames):
        layers.append(_frame_layer(index, frame, view))
    layers.extend(_bouquet_layers(takeoff, view))
    layers.extend(_balloon_layers(takeoff, view))
    florals = takeoff.design.florals
    layers.extend(
        (
            leaf.z + 0.06,
            "florals",
            leaf_svg(leaf, florals[leaf.floral], view.x(leaf.x), view.y(leaf.y), PX_PER_M),
        )
        for leaf in takeoff.leaves
    )
    layers.extend(_lettering_layer(takeoff, one, view) for one in takeoff.design.letterings)
    layers.extend(_sign_layer(takeoff, sign, view) for sign in takeoff.design.signs)
    layers.sort(key=lambda layer: layer[0])
    lines = _dimension_lines(takeoff, view) if dimensions else ""
    return _document(
        view.width,
        view.height,
        alt_text(takeoff),
        _gradients(takeoff, prefix) + _ground_gradient(prefix),
        _backdrop(takeoff, view, person=person) + _grouped(layers, ids) + lines,
    )


def elevation_size(takeoff: TakeOff, *, person: bool = True, dimensions: bool = False) -> tuple[int, int]:
    """Give width and height of :func:`elevation_svg` in whole drawing units of 5 mm, as its ``viewBox`` has them.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> elevation_size(take_off(load_design(STARTERS / "table-garland.json")))
    (751, 432)
    """
    view = _View(takeoff, person=person, dimensions=dimensions, prefix="")
    return round(view.width), round(view.height)


def plan_svg(takeoff: TakeOff, *, ids: bool = True, prefix: str = "") -> str:
    """Draw the set piece from above, the viewer standing below the picture; one unit is 5 mm."""
    size = takeoff.dimensions
    b, frames = takeoff.balloons, takeoff.design.frames
    rear = min((frame.z_m for frame in frames), default=0.0)
    wall = rear - takeoff.design.site.wall_gap_m
    front = max([float((b.z + b.radius).max())] if len(b) else [0.0])
    front = max([front, *[f.z_m + f.foot_depth_m / 2 for f in frames]]) + MARGIN_M
    left, back = size.left_m - MARGIN_M, wall - 0.12
    width, height = (size.width_m + 2 * MARGIN_M) * PX_PER_M, (front - back) * PX_PER_M

    def x(value: float) -> float:
        return (value - left) * PX_PER_M

    def z(value: float) -> float:
        return (value - back) * PX_PER_M

    wall_tone = mixed(WALL_TONE, PAPER_SHADE, 0.25)
    floor = (
        f'<rect width="{short(width)}" height="{short(height)}" fill="{FLOOR_TONE}"/>'
        f'<rect width="{short(width)}" height="{short(z(wall))}" fill="{wall_tone}"/>'
    )
    layers: list[Layer] = [
        (
            float(y),
            "garland",
            (
                f'<circle cx="{short(x(cx))}" cy="{short(z(cz))}" r="{short(r * PX_PER_M)}" '
                f'fill="url(#{prefix}b{c})"/>'
            ),
        )
        for y, cx, cz, r, c in zip(
            b.y.tolist(), b.x.tolist(), b.z.tolist(), b.radius.tolist(), b.colour.tolist(), strict=True
        )
    ]
    for frame in frames:
        layers.append((-1.0, "frames", _feet_from_above(frame, x, z)))
        layers.append((frame.base_m + frame.height_m, "frames", _frame_from_above(frame, x, z)))
    layers.sort(key=lambda layer: layer[0])
    words = f"Plan of {alt_text(takeoff)}"
    return _document(width, height, words, _gradients(takeoff, prefix), floor + _grouped(layers, ids))


def alt_text(takeoff: TakeOff) -> str:
    """Describe what is seen, in one or two sentences; lengths in metres.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> alt_text(take_off(load_design(STARTERS / "classic-arch.json")))[:33]
    'Classic banded arch: 136 balloons'
    """
    return written_out(description(takeoff))


def description(takeoff: TakeOff) -> Sentence:
    """Describe what is seen with lengths as numbers.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> description(take_off(load_design(STARTERS / "classic-arch.json")))[1:]
    (3.1519, ' wide and ', 2.77, ' high.')
    """
    design, size = takeoff.design, takeoff.dimensions
    colours = ", ".join(f"{c.name.lower()} {c.share * 100:.0f} %" for c in design.palette if c.share > 0)
    number = len(takeoff.balloons)
    pieces = [f"{number} balloons in {colours}"] if number else []
    if design.frames:
        pieces.append("over " + " and ".join(frame.label for frame in design.frames))
    florals = [item.label for item in takeoff.floral_counts if item.pieces]
    more = f", with {' and '.join(florals)}" if florals else ""
    signs = "".join(f" A sign reads “{sign.text}”." for sign in design.signs)
    width, height = round(size.width_m, 4), round(size.height_m, 4)
    return f"{design.name}: {' '.join(pieces)}{more}; ", width, " wide and ", height, f" high.{signs}"


# Private


class _View:
    """Metres to drawing units."""

    def __init__(self, takeoff: TakeOff, *, person: bool, dimensions: bool, prefix: str) -> None:
        size = takeoff.dimensions
        self.prefix = prefix
        self.left = size.left_m - MARGIN_M - (0.55 if person else 0.0) - (0.2 if dimensions else 0.0)
        self.right = size.left_m + size.width_m + MARGIN_M
        self.top = max(size.height_m, PERSON_HEIGHT_M if person else 0.0) + 0.2
        self.below = FLOOR_M + (0.25 if dimensions else 0.0)
        self.person_x = size.left_m - 0.42
        self.width = (self.right - self.left) * PX_PER_M
        self.height = (self.top + self.below) * PX_PER_M

    def x(self, x: float) -> float:
        return (x - self.left) * PX_PER_M

    def y(self, y: float) -> float:
        return (self.top - y) * PX_PER_M

    def points(self, points: Points) -> Points:
        return np.column_stack([(points[:, 0] - self.left) * PX_PER_M, (self.top - points[:, 1]) * PX_PER_M])


def _document(width: float, height: float, words: str, definitions: str, body: str) -> str:
    label = escape(words, {'"': "&quot;"})
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height:.0f}" role="img" '
        f'aria-label="{label}" class="set-piece"><defs>{definitions}</defs>{body}</svg>'
    )


def _gradients(takeoff: TakeOff, prefix: str) -> str:
    balloons = "".join(balloon_gradient(f"{prefix}b{k}", c.hex) for k, c in enumerate(takeoff.design.palette))
    covers = "".join(
        cloth_gradient(f"{prefix}c{k}", frame.cover.hex)
        for k, frame in enumerate(takeoff.design.frames)
        if frame.cover
    )
    return balloons + covers


def _ground_gradient(prefix: str) -> str:
    return (
        f'<radialGradient id="{prefix}ground">'
        f'<stop offset="0" stop-color="{PAPER_SHADE}" stop-opacity=".38"/>'
        f'<stop offset="1" stop-color="{PAPER_SHADE}" stop-opacity="0"/></radialGradient>'
    )


def _backdrop(takeoff: TakeOff, view: _View, *, person: bool) -> str:
    ground = view.y(0.0)
    width = short(view.width)
    wall = f'<rect width="{width}" height="{short(view.height)}" fill="{WALL_TONE}"/>'
    floor = (
        f'<rect y="{short(ground - FLOOR_LINE)}" width="{width}" '
        f'height="{short(view.height - ground + FLOOR_LINE)}" fill="{FLOOR_TONE}"/>'
    )
    parts = [f'<g class="room">{wall}{floor}']
    size, b = takeoff.dimensions, takeoff.balloons
    lowest = min((box.bottom for box in thing_boxes(takeoff.design)), default=GROUND_BELOW_M)
    lowest = min(lowest, float((b.y - b.radius).min()) if len(b) else lowest)
    stands = bool(takeoff.design.frames) or lowest < GROUND_BELOW_M
    if stands:
        centre, reach = view.x(size.left_m + size.width_m / 2), size.width_m * PX_PER_M * 0.56
        parts.append(
            f'<ellipse cx="{short(centre)}" cy="{short(ground + 2)}" rx="{short(reach)}" '
            f'ry="16" fill="url(#{view.prefix}ground)"/>'
        )
    parts.append("</g>")
    if person:
        parts.append(person_svg(view.x(view.person_x), ground, PX_PER_M * PERSON_HEIGHT_M / 100))
    return "".join(parts)


def _frame_layer(index: int, frame: Frame, view: _View) -> Layer:
    covered = frame.cover is not None
    if covered or frame.shape == "panel":
        tone = frame.cover.hex if frame.cover else "#d9cdb8"
        fill = f"url(#{view.prefix}c{index})" if covered else tone
        drawn = (
            f'<path d="{outline_path(view.points(face(frame)), closed=True)}" fill="{fill}" '
            f'stroke="{mixed(tone, PAPER_SHADE, 0.28)}" stroke-width="1.2"/>'
        )
        return frame.z_m, "frames", drawn
    width = frame.width_m if frame.shape == "column" else frame.tube_m
    line = outline(frame)
    path = outline_path(view.points(line.points), closed=line.closed)
    drawn = (
        f'<path d="{path}" fill="none" stroke="#b9a88c" '
        f'stroke-width="{short(max(width * PX_PER_M, 2.0))}" stroke-linejoin="round"/>'
    )
    return frame.z_m, "frames", drawn


def _balloon_layers(takeoff: TakeOff, view: _View) -> list[Layer]:
    b = takeoff.balloons
    x = np.round((b.x - view.left) * PX_PER_M, 1)
    y = np.round((view.top - b.y) * PX_PER_M, 1)
    r = np.round(b.radius * PX_PER_M, 1)
    return [
        (z, "garland", f'<circle cx="{cx:g}" cy="{cy:g}" r="{cr:g}" fill="url(#{view.prefix}b{c})"/>')
        for z, cx, cy, cr, c in zip(
            b.z.tolist(), x.tolist(), y.tolist(), r.tolist(), b.colour.tolist(), strict=True
        )
    ]


def _bouquet_layers(takeoff: TakeOff, view: _View) -> list[Layer]:
    """Ribbons from every balloon of a bouquet to its weight."""
    layers: list[Layer] = []
    b = takeoff.balloons
    first = len(takeoff.design.garlands) + len(takeoff.design.walls)
    for k, bouquet in enumerate(takeoff.design.bouquets):
        foot_x, foot_y = view.x(bouquet.x_m), view.y(0.09)
        mine = np.flatnonzero(b.garland == first + k)
        paths = "".join(
            f"M{many(foot_x, foot_y)}Q{many(foot_x, (foot_y + y) / 2, x, y)}"
            for x, y in zip(
                ((b.x[mine] - view.left) * PX_PER_M).tolist(),
                ((view.top - b.y[mine] + b.radius[mine]) * PX_PER_M).tolist(),
                strict=True,
            )
        )
        ribbons = f'<path d="{paths}" fill="none" stroke="#a99c88" stroke-width="1.2"/>'
        weight = f'<path d="M{many(foot_x - 13, view.y(0))}l4-18h18l4 18z" fill="#8c7f6c"/>'
        layers.append((bouquet.z_m - 0.5, "garland", ribbons + weight))
    return layers


def _sign_layer(takeoff: TakeOff, sign: Sign, view: _View) -> Layer:
    size = min(sign.height_m * 0.72, sign.width_m / max(len(sign.text), 1) * 1.9) * PX_PER_M
    common = (
        f'x="{short(view.x(sign.x_m))}" y="{short(view.y(sign.y_m) + size * 0.33)}" '
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
    frame = next((f for f in takeoff.design.frames if f.id == sign.frame), None)
    if frame and len(takeoff.design.walls) == 0:
        low = view.y(sign.y_m + sign.height_m * 0.3)
        hung = [sign.x_m + side * sign.width_m * 0.3 for side in (-1, 1)]
        lines = "".join(
            f'<path d="M{many(view.x(x), low)}V{short(view.y(_top_at(frame, x)))}" '
            'stroke="#8c857a" stroke-opacity=".5" stroke-width=".8"/>'
            for x in hung
        )
    return (
        sign_depth(takeoff.design, sign, takeoff.balloons),
        "sign",
        f'{lines}{glow}<text {common} fill="{sign.hex}">{escape(sign.text)}</text>',
    )


def _lettering_layer(takeoff: TakeOff, lettering: Lettering, view: _View) -> Layer:
    """Words on the frame that they are put on; a capital letter is seven tenths of its font's size."""
    size = lettering.height_m / CAPITAL * PX_PER_M
    family = {"serif": "Fraunces, Georgia, serif", "sans": "Figtree, sans-serif"}[lettering.font]
    depth = next(frame.z_m for frame in takeoff.design.frames if frame.id == lettering.frame)
    words = (
        f'<text x="{short(view.x(lettering.x_m))}" y="{short(view.y(lettering.y_m - lettering.height_m / 2))}" '
        f'font-size="{short(size)}" font-family="{family}" text-anchor="middle" fill="{lettering.hex}">'
        f"{escape(lettering.text)}</text>"
    )
    return depth + 0.001, "letterings", words


def _top_at(frame: Frame, x: float) -> float:
    """Height of the frame's outline above x, that of its highest point beside it [m]."""
    points = face(frame)
    (x1, y1), (x2, y2) = points.T, np.roll(points, -1, axis=0).T
    crossed = np.flatnonzero((x1 <= x) != (x2 <= x))
    if len(crossed) == 0:
        return float(points[:, 1].max())
    share = (x - x1[crossed]) / (x2[crossed] - x1[crossed])
    return float((y1[crossed] + share * (y2[crossed] - y1[crossed])).max())


def _grouped(layers: list[Layer], ids: bool) -> str:
    """Neighbours in depth that belong to one part share a group."""
    parts: list[str] = []
    current = ""
    for _, name, drawn in layers:
        if name != current:
            if current:
                parts.append("</g>")
            parts.append(f'<g class="part part-{name}" data-part="{name}">' if ids else "<g>")
            current = name
        parts.append(drawn)
    return "".join(parts) + ("</g>" if current else "")


def _dimension_lines(takeoff: TakeOff, view: _View) -> str:
    size = takeoff.dimensions
    left, right = view.x(size.left_m), view.x(size.left_m + size.width_m)
    y = view.y(-0.36)
    x = view.x(view.left + 0.12)
    top, ground = view.y(size.height_m), view.y(0.0)
    text = f'font-family="Figtree, sans-serif" font-size="20" fill="{INK}" text-anchor="middle"'
    return (
        f'<g class="dimensions" stroke="{INK}" stroke-width="1.4" fill="none">'
        f'<path d="M{many(left, y)}H{short(right)}M{many(left, y - 8)}v16M{many(right, y - 8)}v16"/>'
        f'<path d="M{many(x, top)}V{short(ground)}M{many(x - 8, top)}h16M{many(x - 8, ground)}h16"/>'
        f'</g><text {text} x="{short((left + right) / 2)}" y="{short(y + 24)}">{size.width_m:.2f} m</text>'
        f'<text {text} transform="translate({many(x - 8, (top + ground) / 2)}) rotate(-90)">'
        f"{size.height_m:.2f} m</text>"
    )


def _feet_from_above(frame: Frame, x: Callable[[float], float], z: Callable[[float], float]) -> str:
    depth = frame.foot_depth_m / 2
    half = frame.width_m / 2
    sides = (0.0,) if frame.shape == "column" else (-half, half)
    return "".join(
        f'<path d="M{many(x(frame.x_m + side), z(frame.z_m - depth))}V{short(z(frame.z_m + depth))}" '
        'stroke="#9a8a70" stroke-width="7" stroke-linecap="round"/>'
        for side in sides
    )


def _frame_from_above(frame: Frame, x: Callable[[float], float], z: Callable[[float], float]) -> str:
    if frame.shape == "column":
        return (
            f'<circle cx="{short(x(frame.x_m))}" cy="{short(z(frame.z_m))}" '
            f'r="{short(frame.width_m / 2 * PX_PER_M)}" fill="#d9cdb8" stroke="#9a8a70"/>'
        )
    line = outline(frame).points[:, 0]
    tone = frame.cover.hex if frame.cover else "#b9a88c"
    return (
        f'<path d="M{short(x(float(line.min())))} {short(z(frame.z_m))}H{short(x(float(line.max())))}" '
        f'stroke="{mixed(tone, PAPER_SHADE, 0.2)}" stroke-width="{short(max(frame.tube_m * PX_PER_M, 4.0))}" '
        'stroke-linecap="round"/>'
    )
