"""The picture: SVG in elevation, spheres shaded by size and colour in depth order.

Only presentation attributes are used, no style attributes and no style elements, so that the picture may be
inlined under a strict Content-Security-Policy.
"""

from __future__ import annotations

import math
from xml.sax.saxutils import escape

import numpy as np

from quoting.craft.design import Design, Frame
from quoting.craft.florals import Leaf
from quoting.craft.frames import Points, face, outline
from quoting.craft.person import PERSON_HEIGHT_M, PERSON_PATH
from quoting.craft.takeoff import TakeOff

PX_PER_M = 200.0  # drawing units per metre: whole numbers keep the file small
MARGIN_M = 0.32
FLOOR_M = 0.26
DIGITS = 1


def elevation_svg(
    takeoff: TakeOff, *, ids: bool = True, person: bool = True, dimensions: bool = False, prefix: str = ""
) -> str:
    """The set piece as the viewer sees it, one unit being 5 mm.

    ``ids``: parts carry ``data-part`` (garland, frames, florals, sign) so that a line of the price can point at
    its part; ``person``: a silhouette for scale; ``dimensions``: width and height with their lines; ``prefix`` goes before every gradient id.
    """
    view = _View(takeoff, person=person, dimensions=dimensions, prefix=prefix)
    layers: list[tuple[float, str, str]] = []
    for frame in takeoff.design.frames:
        layers.extend(_frame_layers(frame, view))
    layers.extend(_balloon_layers(takeoff, view))
    layers.extend(_leaf_layers(takeoff, view))
    if takeoff.design.sign:
        layers.append(_sign_layer(takeoff.design, view))
    layers.sort(key=lambda layer: layer[0])
    body = _grouped(layers, ids)
    backdrop = _backdrop(takeoff, view, person)
    lines = _dimension_lines(takeoff, view) if dimensions else ""
    w, h = view.width, view.height
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {w:.0f} {h:.0f}" role="img" '
        f'aria-label="{escape(alt_text(takeoff), {chr(34): "&quot;"})}" class="set-piece">'
        f"<defs>{_gradients(takeoff, prefix)}</defs>{backdrop}{body}{lines}</svg>"
    )


def alt_text(takeoff: TakeOff) -> str:
    """What is seen, in two sentences."""
    design, size = takeoff.design, takeoff.dimensions
    colours = ", ".join(f"{c.name.lower()} {c.share * 100:.0f} %" for c in design.palette if c.share > 0)
    number = len(takeoff.balloons)
    pieces = [f"{number} balloons in {colours}"] if number else []
    if design.frames:
        pieces.append("over " + " and ".join(frame.label.lower() for frame in design.frames))
    florals = [item.label.lower() for item in takeoff.floral_counts if item.pieces]
    more = f", with {' and '.join(florals)}" if florals else ""
    sign = f" A sign reads “{design.sign.text}”." if design.sign else ""
    return f"{design.name}: {' '.join(pieces)}{more}; {size.width_m:.2f} m wide and {size.height_m:.2f} m high.{sign}"


# Private


class _View:
    """Metres to drawing units."""

    def __init__(self, takeoff: TakeOff, *, person: bool, dimensions: bool, prefix: str) -> None:
        self.prefix = prefix
        size = takeoff.dimensions
        self.frame_ids = [frame.id for frame in takeoff.design.frames]
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


def _n(value: float) -> str:
    shown = f"{value:.{DIGITS}f}"
    return shown[:-2] if shown.endswith(".0") else shown


def mixed(colour: str, other: str, share: float) -> str:
    """sRGB ``colour`` mixed with ``share`` of ``other``, as #rrggbb."""
    a, b = ([int(c[k : k + 2], 16) for k in (1, 3, 5)] for c in (colour, other))
    return "#" + "".join(f"{round(x + (y - x) * share):02x}" for x, y in zip(a, b, strict=True))


def lightness(colour: str) -> float:
    """Rough lightness 0 to 1 of an sRGB colour (Rec. 601 luma), to choose how strong its shading must be."""
    r, g, b = (int(colour[k : k + 2], 16) for k in (1, 3, 5))
    return (0.299 * r + 0.587 * g + 0.114 * b) / 255


def _gradients(takeoff: TakeOff, prefix: str) -> str:
    parts = []
    for k, colour in enumerate(takeoff.design.palette):
        base = colour.hex
        light = lightness(base)
        glint = mixed(base, "#ffffff", 0.92 if light > 0.5 else 0.62)
        near = mixed(base, "#ffffff", 0.45 if light > 0.5 else 0.16)
        shade = mixed(base, "#2a1e14", 0.26 if light > 0.5 else 0.34)
        rim = mixed(base, "#2a1e14", 0.36 if light > 0.5 else 0.50)
        parts.append(
            f'<radialGradient id="{prefix}b{k}" cx=".5" cy=".5" r=".52" fx=".34" fy=".28">'
            f'<stop offset="0" stop-color="{glint}"/><stop offset=".13" stop-color="{near}"/>'
            f'<stop offset=".5" stop-color="{base}"/><stop offset=".86" stop-color="{shade}"/>'
            f'<stop offset="1" stop-color="{rim}"/></radialGradient>'
        )
    for k, frame in enumerate(takeoff.design.frames):
        if frame.cover:
            parts.append(
                f'<linearGradient id="{prefix}c{k}"><stop offset="0" stop-color="{mixed(frame.cover.hex, "#5b4a36", 0.10)}"/>'
                f'<stop offset=".4" stop-color="{mixed(frame.cover.hex, "#ffffff", 0.35)}"/>'
                f'<stop offset="1" stop-color="{mixed(frame.cover.hex, "#5b4a36", 0.14)}"/></linearGradient>'
            )
    parts.append(
        f'<radialGradient id="{prefix}ground"><stop offset="0" stop-color="#5b4a36" stop-opacity=".38"/>'
        '<stop offset="1" stop-color="#5b4a36" stop-opacity="0"/></radialGradient>'
    )
    return "".join(parts)


def _backdrop(takeoff: TakeOff, view: _View, person: bool) -> str:
    ground = view.y(0.0)
    parts = [
        f'<g class="room"><rect width="{_n(view.width)}" height="{_n(view.height)}" fill="#f7f0e6"/>',
        f'<rect y="{_n(ground - 14)}" width="{_n(view.width)}" height="{_n(view.height - ground + 14)}" fill="#e4d9c7"/>',
    ]
    size = takeoff.dimensions
    centre = view.x(size.left_m + size.width_m / 2)
    parts.append(
        f'<ellipse cx="{_n(centre)}" cy="{_n(ground + 2)}" rx="{_n(size.width_m * PX_PER_M * 0.56)}" ry="16" '
        f'fill="url(#{view.prefix}ground)"/></g>'
    )
    if person:
        scale = PX_PER_M * PERSON_HEIGHT_M / 100
        parts.append(
            f'<path class="person" d="{PERSON_PATH}" fill="#56636a" fill-opacity=".28" '
            f'transform="translate({_n(view.x(view.person_x))} {_n(ground)}) scale({scale:.3f})"/>'
        )
    return "".join(parts)


def _path(points: Points, view: _View, *, closed: bool) -> str:
    """The path of an outline, thinned to what the eye can tell."""
    kept = [points[0]]
    for before, here, after in zip(points, points[1:], points[2:], strict=False):
        a, b = here - before, after - here
        turn = abs(math.atan2(a[0] * b[1] - a[1] * b[0], float(a @ b)))
        if turn > 0.004 and math.dist(kept[-1], here) > 0.012 or turn > 0.3:
            kept.append(here)
    kept.append(points[-1])
    steps = "L".join(f"{_n(view.x(p[0]))} {_n(view.y(p[1]))}" for p in kept)
    return f"M{steps}{'Z' if closed else ''}"


def _frame_layers(frame: Frame, view: _View) -> list[tuple[float, str, str]]:
    layers = []
    index = view.frame_ids.index(frame.id)
    if frame.shape == "column":
        width = frame.width_m * PX_PER_M
    else:
        width = max(frame.tube_m * PX_PER_M, 2.0)
    if frame.cover and frame.shape != "column":
        fill = f'<path d="{_path(face(frame), view, closed=True)}" fill="url(#{view.prefix}c{index})" stroke="{mixed(frame.cover.hex, "#5b4a36", 0.28)}" stroke-width="1.2"/>'
        layers.append((frame.z_m, "frames", fill))
    else:
        line = outline(frame)
        tube = (f'<path d="{_path(line.points, view, closed=line.closed)}" fill="none" stroke="#b9a88c" '
                f'stroke-width="{_n(width)}" stroke-linejoin="round"/>')
        layers.append((frame.z_m, "frames", tube))
    return layers


def _balloon_layers(takeoff: TakeOff, view: _View) -> list[tuple[float, str, str]]:
    b = takeoff.balloons
    x = np.round((b.x - view.left) * PX_PER_M, DIGITS)
    y = np.round((view.top - b.y) * PX_PER_M, DIGITS)
    r = np.round(b.radius * PX_PER_M, DIGITS)
    return [
        (z, "garland", f'<circle cx="{cx:g}" cy="{cy:g}" r="{cr:g}" fill="url(#{view.prefix}b{c})"/>')
        for z, cx, cy, cr, c in zip(b.z.tolist(), x.tolist(), y.tolist(), r.tolist(), b.colour.tolist(), strict=True)
    ]


def _leaf_layers(takeoff: TakeOff, view: _View) -> list[tuple[float, str, str]]:
    florals = takeoff.design.florals
    return [(leaf.z + 0.06, "florals", _leaf(leaf, florals[leaf.floral].hex, view)) for leaf in takeoff.leaves]


def _leaf(leaf: Leaf, colour: str, view: _View) -> str:
    size = leaf.size_m * PX_PER_M
    x, y = view.x(leaf.x), view.y(leaf.y)
    if leaf.kind == "greenery":
        tint = mixed(colour, "#ffffff", 0.14) if leaf.angle % 1 > 0.5 else mixed(colour, "#14301c", 0.16)
        return _blade(x, y, leaf.angle, size, 0.2, tint)
    spread = (-0.55, 0.0, 0.55) if leaf.kind == "pick" else (-1.0, -0.5, 0.0, 0.5, 1.0)
    return "".join(
        _blade(x, y, leaf.angle + turn, size * (1 - 0.25 * abs(turn)), 0.13, mixed(colour, "#ffffff", 0.1 + 0.1 * abs(turn)))
        for turn in spread
    )


def _blade(x: float, y: float, angle: float, size: float, breadth: float, colour: str) -> str:
    dx, dy = math.cos(angle) * size, -math.sin(angle) * size
    nx, ny = -dy * breadth, dx * breadth
    return (
        f'<path d="M{_n(x)} {_n(y)}q{_n(dx * .45 + nx)} {_n(dy * .45 + ny)} {_n(dx)} {_n(dy)}'
        f'q{_n(-dx * .55 - nx)} {_n(-dy * .55 - ny)} {_n(-dx)} {_n(-dy)}" fill="{colour}"/>'
    )


def _sign_layer(design: Design, view: _View) -> tuple[float, str, str]:
    sign = design.sign
    assert sign is not None
    frame = next((f for f in design.frames if f.id == sign.frame), None)
    z = (frame.z_m if frame else 0.0) + 0.03
    size = min(sign.height_m * 0.62, sign.width_m / max(len(sign.text), 1) * 1.75) * PX_PER_M
    x, y = _n(view.x(sign.x_m)), view.y(sign.y_m)
    glow = (f'<text x="{x}" y="{_n(y)}" font-size="{_n(size)}" font-family="Fraunces, Georgia, serif" font-style="italic" '
            f'text-anchor="middle" dominant-baseline="central" fill="none" stroke="{mixed(sign.hex, "#ffffff", 0.6)}" '
            f'stroke-opacity=".55" stroke-width="{_n(size * .12)}">{escape(sign.text)}</text>') if sign.lit else ""
    letters = (f'<text x="{x}" y="{_n(y)}" font-size="{_n(size)}" font-family="Fraunces, Georgia, serif" '
               f'font-style="italic" text-anchor="middle" dominant-baseline="central" fill="{sign.hex}">'
               f"{escape(sign.text)}</text>")
    return (z, "sign", glow + letters)


def _grouped(layers: list[tuple[float, str, str]], ids: bool) -> str:
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
    text = 'font-family="Figtree, sans-serif" font-size="20" fill="#1D2528" text-anchor="middle"'
    return (
        '<g class="dimensions" stroke="#1D2528" stroke-width="1.4">'
        f'<path d="M{_n(left)} {_n(y)}H{_n(right)}M{_n(left)} {_n(y - 8)}v16M{_n(right)} {_n(y - 8)}v16" fill="none"/>'
        f'<path d="M{_n(x)} {_n(top)}V{_n(ground)}M{_n(x - 8)} {_n(top)}h16M{_n(x - 8)} {_n(ground)}h16" fill="none"/></g>'
        f'<text {text} x="{_n((left + right) / 2)}" y="{_n(y + 24)}">{size.width_m:.2f} m</text>'
        f'<text {text} transform="translate({_n(x - 8)} {_n((top + ground) / 2)}) rotate(-90)">{size.height_m:.2f} m</text>'
    )
