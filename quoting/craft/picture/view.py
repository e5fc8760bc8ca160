"""The frame of a picture: metres to drawing units, and layers of one part and thing together."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

import numpy as np

from quoting.craft.design.frames import Points
from quoting.craft.picture.person import PERSON_HEIGHT_M
from quoting.craft.rigging.tie_points import OWN_LINE
from quoting.craft.takeoff.takeoff import TakeOff

# Settings of the drawing.
PX_PER_M = 200.0  # drawing units a metre: one unit is 5 mm, fine enough for whole tenths
MARGIN_M = 0.32
FLOOR_M = 0.26
CEILING_ABOVE_M = 0.9
"""What hangs from a ceiling no farther above it than this is shown with that ceiling (setting)."""
CEILING_SHOWN_M = 0.1


class Layer(NamedTuple):
    """Something drawn: how near it is [m], the part that it belongs to, its SVG, and which thing it is."""

    depth_m: float
    part: str
    svg: str
    thing: str


def ceiling_in_sight(takeoff: TakeOff) -> float | None:
    """Height of the ceiling [m] where the piece hangs from it by lines and is near; None elsewhere.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> ceiling_in_sight(take_off(load_design(STARTERS / "ceiling-swags.json")))
    3.6
    >>> ceiling_in_sight(take_off(load_design(STARTERS / "classic-arch.json"))) is None
    True
    """
    site = takeoff.design.site
    above = site.ceiling_m - takeoff.dimensions.height_m
    is_hung = any(tie.holder == OWN_LINE for tie in takeoff.rigging.ties)
    return site.ceiling_m if is_hung and not site.outdoors and above <= CEILING_ABOVE_M else None


class View:
    """Metres to drawing units."""

    def __init__(self, takeoff: TakeOff, *, person: bool, dimensions: bool, prefix: str) -> None:
        size = takeoff.dimensions
        self.prefix = prefix
        self.left = size.left_m - MARGIN_M - (0.55 if person else 0.0) - (0.2 if dimensions else 0.0)
        self.right = size.left_m + size.width_m + MARGIN_M
        self.ceiling_m = ceiling_in_sight(takeoff)
        self.top = max(size.height_m, PERSON_HEIGHT_M if person else 0.0) + 0.2
        if self.ceiling_m is not None:
            self.top = max(self.top, self.ceiling_m + CEILING_SHOWN_M)
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
