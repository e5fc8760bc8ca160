"""The frame of a picture: metres to drawing units, and layers of one part and thing together."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

import numpy as np

from quoting.craft.design.frames import Points
from quoting.craft.picture.person import PERSON_HEIGHT_M
from quoting.craft.takeoff.takeoff import TakeOff

# Settings of the drawing.
PX_PER_M = 200.0  # drawing units a metre: one unit is 5 mm, fine enough for whole tenths
MARGIN_M = 0.32
FLOOR_M = 0.26


class Layer(NamedTuple):
    """Something drawn: how near it is [m], the part that it belongs to, its SVG, and which thing it is."""

    depth_m: float
    part: str
    svg: str
    thing: str


class View:
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


def grouped(layers: Iterable[Layer], *, ids: bool, things: bool) -> str:
    """Join layers; neighbours that belong to one part share a group, with ``things`` those of one thing.

    >>> grouped([Layer(0, "frames", "<path/>", "frame:low")], ids=True, things=True)
    '<g class="part part-frames" data-part="frames" data-thing="frame:low"><path/></g>'
    """
    parts: list[str] = []
    current = ("", "")
    for layer in layers:
        here = (layer.part, layer.thing if things else "")
        if here != current:
            parts += ["</g>"] if current[0] else []
            name = f' class="part part-{layer.part}" data-part="{layer.part}"' if ids else ""
            thing = f' data-thing="{layer.thing}"' if things else ""
            parts.append(f"<g{name}{thing}>")
            current = here
        parts.append(layer.svg)
    return "".join(parts) + ("</g>" if current[0] else "")
