"""A set piece's picture made ready for paper.

In a browser every balloon is a shape that is drawn once for its colour and used as often as needed, out of gradients
that let through what is behind. In a PDF each of those becomes a pattern of its own, some 500 bytes long, and PDF
readers built on Poppler leave out the small ones. So on paper a balloon is a small picture of a shaded sphere, once
made for each colour and placed as often as needed; covers keep their gradients, laid out in drawing units.
"""

from __future__ import annotations

import copy
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final
from xml.etree import ElementTree as ET

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from quoting.craft.picture.finishes import REACH

SPHERE_PX: Final = 224
"""Side of a sphere's picture: 150 dots an inch for a 24-in balloon on a picture 4 m and 17 cm wide."""

MARGIN: Final = 0.02
"""Clear margin round a sphere, as a share of its width: without it the edge is cut off flat."""

_SVG: Final = "{http://www.w3.org/2000/svg}"
_FILL: Final = re.compile(r"url\(#([^)]+)\)")
_POINTS: Final = re.compile(r"[ML]?(-?\d+(?:\.\d+)?)[ ,](-?\d+(?:\.\d+)?)")
_POLYGON: Final = re.compile(r"M[\d.\sL,Z-]+")

_ROUND: Final = re.compile(r".*b\d+")
_ROUND_PLACE: Final = re.compile(r"translate\((-?[\d.]+) (-?[\d.]+)\)scale\(([\d.]+)\)")
_TURN: Final = re.compile(r"rotate\((-?[\d.]+)\)")
FINER: Final = 4
"""How much finer snips are drawn before they are made smaller, so that their edges are smooth (setting)."""

Pixels = NDArray[np.float64]
Box = tuple[float, float, float, float]
"""x, y, width, height in drawing units."""


@dataclass(frozen=True)
class PrintPicture:
    """The picture as SVG, and the small pictures it refers to as ``made:///name``."""

    svg: str
    made: dict[str, bytes]


def for_paper(svg: str, *, name: str, without: Sequence[str] = ()) -> PrintPicture:
    """The same picture, with shaded rounds as small pictures; their names begin with ``name``. Parts named in
    ``without`` are left out."""
    root = _read(svg, without)
    paper = _Paper(root, name)
    for parent in list(root.iter()):
        for place, node in enumerate(list(parent)):
            made = paper.printed(node)
            if made is not None:
                parent[place] = made
    paper.leave_out_rounds()
    return PrintPicture(ET.tostring(root, encoding="unicode"), paper.made)


def left_out(svg: str, without: Sequence[str]) -> str:
    """The picture without these parts of it."""
    return ET.tostring(_read(svg, without), encoding="unicode") if without else svg


def sphere(gradient: ET.Element, *, px: int = SPHERE_PX) -> bytes:
    """A round shaded by an SVG radial gradient, as a PNG ``px`` wide with clear corners."""
    y, x = (np.mgrid[0:px, 0:px] + 0.5) / px * (1 + 2 * MARGIN) - MARGIN
    shaded = _shaded(gradient, x, y)
    edge = np.clip((0.5 - np.hypot(x - 0.5, y - 0.5)) * px / (1 + 2 * MARGIN) + 0.5, 0, 1)
    shaded[..., 3] *= edge
    return _png(shaded)


def layered(shape: ET.Element, gradients: Mapping[str, ET.Element], *, px: int = SPHERE_PX) -> bytes:
    """A round as the picture draws it about the origin, its circles, ellipses and snips over each other, as a PNG of
    everything within REACH to every side."""
    y, x = ((np.mgrid[0:px, 0:px] + 0.5) / px * 2 - 1) * REACH
    below = np.zeros((px, px, 4))
    for node in shape:
        gradient = gradients.get(_gradient_of(node))
        if gradient is None:
            below = _over(_snip(node, px) if node.get("d") else _disc(node, x, y, px), below)
            continue
        u, v, inside = _within(node, x, y, px / (2 * REACH))
        above = _shaded(gradient, u, v)
        above[..., 3] *= inside * float(node.get("opacity", "1"))
        below = _over(above, below)
    return _png(below)


# Private


class _Paper:
    """A picture on its way to paper: its shapes by their ids, and the small pictures made for it."""

    def __init__(self, root: ET.Element, name: str) -> None:
        self.root, self.name = root, name
        self.shapes = {node.get("id", ""): node for node in root.iter() if node.get("id")}
        self.gradients = {key: node for key, node in self.shapes.items() if node.tag.endswith("Gradient")}
        self.rounds = {key: node for key, node in self.shapes.items() if _ROUND.fullmatch(key) and len(node)}
        self.inside = {id(part) for node in self.rounds.values() for part in node}
        self.defs = root.find(f"{_SVG}defs")
        self.made: dict[str, bytes] = {}

    def printed(self, node: ET.Element) -> ET.Element | None:
        """What stands for a node on paper; None where it stays, its gradient laid out."""
        if id(node) in self.inside:
            return None
        used = node.get("href", "").removeprefix("#")
        if used in self.rounds:
            return self._placed_round(node, used)
        gradient = self.gradients.get(_gradient_of(node))
        if gradient is None:
            return None
        if node.tag in (f"{_SVG}circle", f"{_SVG}ellipse") and gradient.tag == f"{_SVG}radialGradient":
            return _placed(node, self._sprite(gradient))
        if gradient.tag == f"{_SVG}linearGradient" and gradient.get("gradientUnits") != "userSpaceOnUse":
            self._lay_out(gradient, node, self.shapes.get(used, node))
        return None

    def leave_out_rounds(self) -> None:
        """Take out what the small pictures stand for."""
        for parent in list(self.root.iter()):
            for node in list(parent):
                if node.get("id", "") in self.rounds:
                    parent.remove(node)

    def _sprite(self, gradient: ET.Element) -> str:
        sprite = f"{self.name}-{gradient.get('id')}.png"
        if sprite not in self.made:
            self.made[sprite] = sphere(gradient)
        return sprite

    def _placed_round(self, node: ET.Element, used: str) -> ET.Element:
        sprite = f"{self.name}-{used}.png"
        if sprite not in self.made:
            self.made[sprite] = layered(self.rounds[used], self.gradients)
        x, y, radius = (float(each) for each in _ROUND_PLACE.findall(node.get("transform", ""))[0])
        reach = radius * REACH
        place = {"x": x - reach, "y": y - reach, "width": 2 * reach, "height": 2 * reach}
        written = {key: f"{value:.1f}" for key, value in place.items()}
        return ET.Element(f"{_SVG}image", {**written, "href": f"made:///{sprite}"})

    def _lay_out(self, gradient: ET.Element, node: ET.Element, shape: ET.Element) -> None:
        """A gradient of its own for a node, in drawing units; a shape we can't measure takes its middle colour."""
        box = _polygon_box(shape)
        if box is None or self.defs is None:
            node.set("fill", gradient[len(gradient) // 2].get("stop-color", "#000000"))
            return
        own = copy.deepcopy(gradient)
        own.set("id", f"{gradient.get('id')}-{len(self.defs)}")
        _in_units(own, box)
        self.defs.append(own)
        node.set("fill", f"url(#{own.get('id')})")


def _read(svg: str, without: Sequence[str]) -> ET.Element:
    ET.register_namespace("", "http://www.w3.org/2000/svg")
    root = ET.fromstring(svg)  # noqa: S314 -- written by our own hand, never uploaded
    for parent in list(root.iter()):
        for node in list(parent):
            if node.get("data-part") in without:
                parent.remove(node)
    return root


def _shaded(gradient: ET.Element, x: Pixels, y: Pixels) -> Pixels:
    """Colours of an SVG radial gradient at shares of its box.

    A point's colour is the gradient's at *t*, where the point lies on the circle that grows from the focus (t = 0)
    to the gradient's own circle (t = 1): SVG 2, section 14.2.3.
    """
    cx, cy, radius = (float(gradient.get(key, ".5")) for key in ("cx", "cy", "r"))
    fx, fy = float(gradient.get("fx", cx)), float(gradient.get("fy", cy))
    dx, dy, ex, ey = x - fx, y - fy, cx - fx, cy - fy
    along = dx * ex + dy * ey
    distance = dx * dx + dy * dy
    t = distance / (along + np.sqrt(along * along + (radius * radius - ex * ex - ey * ey) * distance) + 1e-12)
    colours, places = _stops(gradient)
    return np.stack([np.interp(t, places, colours[:, channel]) for channel in range(4)], axis=-1)


def _within(node: ET.Element, x: Pixels, y: Pixels, scale: float) -> tuple[Pixels, Pixels, Pixels]:
    """Shares of the box of a circle or ellipse, turned about the origin, and how much of each dot it covers."""
    turn = np.radians(float(_TURN.findall(node.get("transform", "rotate(0)"))[0]))
    across, down = x * np.cos(turn) + y * np.sin(turn), y * np.cos(turn) - x * np.sin(turn)
    rx, ry = (float(node.get(key, node.get("r", "1"))) for key in ("rx", "ry"))
    u, v = (across - float(node.get("cx", "0"))) / rx, (down - float(node.get("cy", "0"))) / ry
    covered = np.clip((1 - np.hypot(u, v)) * min(rx, ry) * scale + 0.5, 0, 1)
    return (u + 1) / 2, (v + 1) / 2, covered


def _disc(node: ET.Element, x: Pixels, y: Pixels, px: int) -> Pixels:
    """A disc in one colour, as much of it as is seen."""
    drawn = _filled(node, px)
    inside = _within(node, x, y, px / (2 * REACH))[2]
    drawn[..., 3] = 255 * inside * float(node.get("fill-opacity", "1"))
    return drawn


def _filled(node: ET.Element, px: int) -> Pixels:
    """Nothing but the colour of a node."""
    colour = node.get("fill", "#000000")
    drawn = np.empty((px, px, 4))
    drawn[..., :3] = [int(colour[k : k + 2], 16) for k in (1, 3, 5)]
    return drawn


def _snip(node: ET.Element, px: int) -> Pixels:
    """A straight-edged snip in its colour."""
    places = [
        tuple((float(each) / REACH + 1) / 2 * px * FINER for each in point)
        for point in _POINTS.findall(node.get("d", ""))
    ]
    mask = Image.new("L", (px * FINER, px * FINER))
    if len(places) > 2:
        ImageDraw.Draw(mask).polygon(places, fill=255)
    drawn = _filled(node, px)
    drawn[..., 3] = np.asarray(mask.resize((px, px), Image.Resampling.BOX), dtype=float)
    return drawn


def _over(above: Pixels, below: Pixels) -> Pixels:
    """One picture over another: Porter and Duff, Compositing digital images, 1984."""
    top, under = above[..., 3:] / 255, below[..., 3:] / 255
    seen = top + under * (1 - top)
    mixed = (above[..., :3] * top + below[..., :3] * under * (1 - top)) / np.maximum(seen, 1e-9)
    return np.concatenate([mixed, seen * 255], axis=-1)


def _png(shaded: Pixels) -> bytes:
    file = io.BytesIO()
    Image.fromarray(shaded.round().astype(np.uint8), "RGBA").save(file, "PNG")
    return file.getvalue()


def _gradient_of(node: ET.Element) -> str:
    match = _FILL.fullmatch(node.get("fill", ""))
    return match[1] if match else ""


def _stops(gradient: ET.Element) -> tuple[NDArray[np.float64], Sequence[float]]:
    colours, places = [], []
    for stop in gradient:
        colour = stop.get("stop-color", "#000000")
        opacity = float(stop.get("stop-opacity", "1"))
        colours.append([*(int(colour[k : k + 2], 16) for k in (1, 3, 5)), 255 * opacity])
        places.append(float(stop.get("offset", "0")))
    return np.array(colours, dtype=np.float64), places


def _placed(node: ET.Element, sprite: str) -> ET.Element:
    cx, cy = float(node.get("cx", "0")), float(node.get("cy", "0"))
    rx, ry = float(node.get("rx", node.get("r", "0"))), float(node.get("ry", node.get("r", "0")))
    kept = {"preserveAspectRatio": "none"} if rx != ry else {}
    rx, ry = rx * (1 + 2 * MARGIN), ry * (1 + 2 * MARGIN)
    place = {"x": cx - rx, "y": cy - ry, "width": 2 * rx, "height": 2 * ry}
    written = {key: f"{value:.1f}" for key, value in place.items()}
    return ET.Element(f"{_SVG}image", {**written, **kept, "href": f"made:///{sprite}"})


def _polygon_box(node: ET.Element) -> Box | None:
    if node.tag == f"{_SVG}rect":
        x, y, width, height = (float(node.get(key, "0")) for key in ("x", "y", "width", "height"))
        return x, y, width, height
    path = node.get("d", "")
    if not _POLYGON.fullmatch(path):
        return None
    points = np.array([(float(x), float(y)) for x, y in _POINTS.findall(path)])
    low, high = points.min(axis=0), points.max(axis=0)
    return float(low[0]), float(low[1]), float(high[0] - low[0]), float(high[1] - low[1])


def _in_units(gradient: ET.Element, box: Box) -> None:
    """Give a gradient its place in drawing units."""
    x, y, width, height = box
    ends = [
        float(gradient.get(key, fallback))
        for key, fallback in (("x1", "0"), ("x2", "1"), ("y1", "0"), ("y2", "0"))
    ]
    gradient.set("gradientUnits", "userSpaceOnUse")
    for key, share, start, length in zip(
        ("x1", "x2", "y1", "y2"), ends, (x, x, y, y), (width, width, height, height), strict=True
    ):
        gradient.set(key, f"{start + share * length:.1f}")
