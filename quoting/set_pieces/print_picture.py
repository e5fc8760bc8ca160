"""A set piece's picture made ready for paper.

In a browser every balloon is a circle filled by a gradient. In a PDF each of those becomes a pattern of its own,
some 500 bytes long, and PDF readers built on Poppler leave out the small ones. So on paper a balloon is a small
picture of a shaded sphere, drawn once for each colour and placed as often as needed; covers keep their gradient, laid
out in drawing units.
"""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final
from xml.etree import ElementTree as ET

import numpy as np
from numpy.typing import NDArray
from PIL import Image

SPHERE_PX: Final = 224
"""Side of a sphere's picture: 150 dots an inch for a 24-in balloon on a picture 4 m and 17 cm wide."""

MARGIN: Final = 0.02
"""Clear margin round a sphere, as a share of its width: without it the edge is cut off flat."""

_SVG: Final = "{http://www.w3.org/2000/svg}"
_FILL: Final = re.compile(r"url\(#([^)]+)\)")
_POINTS: Final = re.compile(r"[ML]?(-?\d+(?:\.\d+)?)[ ,](-?\d+(?:\.\d+)?)")
_POLYGON: Final = re.compile(r"M[\d.\sL,Z-]+")

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
    gradients = {node.get("id", ""): node for node in root.iter() if node.tag.endswith("Gradient")}
    made: dict[str, bytes] = {}
    for parent in list(root.iter()):
        for place, node in enumerate(list(parent)):
            gradient = gradients.get(_gradient_of(node))
            if gradient is None:
                continue
            if node.tag in (f"{_SVG}circle", f"{_SVG}ellipse") and gradient.tag == f"{_SVG}radialGradient":
                sprite = f"{name}-{gradient.get('id')}.png"
                if sprite not in made:
                    made[sprite] = sphere(gradient)
                parent[place] = _placed(node, sprite)
            elif gradient.tag == f"{_SVG}linearGradient":
                _lay_out(gradient, _polygon_box(node), node)
    return PrintPicture(ET.tostring(root, encoding="unicode"), made)


def left_out(svg: str, without: Sequence[str]) -> str:
    """The picture without these parts of it."""
    return ET.tostring(_read(svg, without), encoding="unicode") if without else svg


def sphere(gradient: ET.Element, *, px: int = SPHERE_PX) -> bytes:
    """A round shaded by an SVG radial gradient, as a PNG ``px`` wide with clear corners.

    A point's colour is the gradient's at *t*, where the point lies on the circle that grows from the focus (t = 0)
    to the gradient's own circle (t = 1): SVG 2, section 14.2.3.
    """
    cx, cy, radius = (float(gradient.get(key, ".5")) for key in ("cx", "cy", "r"))
    fx, fy = float(gradient.get("fx", cx)), float(gradient.get("fy", cy))
    y, x = (np.mgrid[0:px, 0:px] + 0.5) / px * (1 + 2 * MARGIN) - MARGIN
    dx, dy, ex, ey = x - fx, y - fy, cx - fx, cy - fy
    along = dx * ex + dy * ey
    distance = dx * dx + dy * dy
    t = distance / (along + np.sqrt(along * along + (radius * radius - ex * ex - ey * ey) * distance) + 1e-12)
    colours, places = _stops(gradient)
    shaded = np.stack([np.interp(t, places, colours[:, channel]) for channel in range(4)], axis=-1)
    edge = np.clip((0.5 - np.hypot(x - 0.5, y - 0.5)) * px / (1 + 2 * MARGIN) + 0.5, 0, 1)
    shaded[..., 3] *= edge
    file = io.BytesIO()
    Image.fromarray(shaded.round().astype(np.uint8), "RGBA").save(file, "PNG")
    return file.getvalue()


def _read(svg: str, without: Sequence[str]) -> ET.Element:
    ET.register_namespace("", "http://www.w3.org/2000/svg")
    root = ET.fromstring(svg)  # noqa: S314 -- written by our own hand, never uploaded
    for parent in list(root.iter()):
        for node in list(parent):
            if node.get("data-part") in without:
                parent.remove(node)
    return root


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


def _lay_out(gradient: ET.Element, box: Box | None, node: ET.Element) -> None:
    """Give the gradient its place in drawing units; a shape we can't measure takes its middle colour."""
    if box is None:
        middle = gradient[len(gradient) // 2]
        node.set("fill", middle.get("stop-color", "#000000"))
        return
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
