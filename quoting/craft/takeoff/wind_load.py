"""What the wind meets of a set piece, and how the piece stands against it."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from quoting.craft.air.atmosphere import Air
from quoting.craft.air.helium import latex_kg
from quoting.craft.air.wind import (
    FORCE_COEFFICIENT,
    FRICTION,
    Shape,
    Stand,
    WindCheck,
    WindPart,
    stand_in_wind,
)
from quoting.craft.design.boxes import Box, foil_boxes, sign_box
from quoting.craft.design.fillings import BAR_M, bars_of
from quoting.craft.design.frames import face, outline_length_m, outline_middle_m
from quoting.craft.design.records import Design, Frame
from quoting.craft.geometry.silhouette import Silhouette, silhouette_of_balloons, silhouette_of_faces
from quoting.craft.takeoff.balloons import Balloons
from studio.trade.ranges import FloatArray

# Mass of the air that a skin's overpressure adds, as a share of the air displaced: 2 to 3 kPa of 101 (common practice,
# no source).
LIGHTER_AIR_SHARE = 0.03


def wind_on(design: Design, balloons: Balloons) -> WindCheck | None:
    """Check a piece against the site's gust, standing on its frames' feet, wind from the front.

    None indoors, without a gust and without frames. Covers, boards and signs that overlap are met once. The
    garland before them and open tubes are all counted, which is on the safe side. Feet slide as steel on concrete.
    """
    gust = design.site.judged_gust_m_s
    if gust <= 0 or not design.frames:
        return None
    mass = frames_kg(design) + _balloon_mass(design, balloons)
    arm = min(max(frame.foot_depth_m / 2, 0.01) for frame in design.frames)
    stand = Stand(mass=mass, arm=arm, ballast_arm=arm, friction=FRICTION[("steel", "concrete")])
    return stand_in_wind(_wind_parts(design, balloons), stand, gust)


def frames_kg(design: Design) -> float:
    """Mass of the frames with their feet, and of the signs [kg]."""
    signs = sum((sign.weight_kg for sign in design.signs), 0.0)
    return sum(frame.weight_kg for frame in design.frames) + signs


def brought_kg(design: Design) -> float:
    """The same of what comes with the van [kg], with the props: not of a pillar that stands at the venue."""
    props = sum((prop.weight_kg for prop in design.brought_props), 0.0)
    return frames_kg(replace(design, frames=design.brought_frames)) + props


def heaviest_kg(design: Design) -> float:
    """Mass of the heaviest single load [kg]: a frame or a prop that is brought."""
    loads = [frame.weight_kg for frame in design.brought_frames]
    return max(loads + [prop.weight_kg for prop in design.brought_props], default=0.0)


def afloat(design: Design, balloons: Balloons) -> NDArray[np.bool_]:
    """Tell which balloons float: those of bouquets, and rounds with helium. Pieces are garlands, then walls, bouquets
    and rounds."""
    still = [False] * (len(design.garlands) + len(design.walls)) + [True] * len(design.bouquets)
    floats = np.array(still + [one.gas == "helium" for one in design.rounds], dtype=bool)
    return np.asarray(floats[balloons.garland])


# Private


def _wind_parts(design: Design, balloons: Balloons) -> list[WindPart]:
    closed = [frame for frame in design.frames if _is_closed(frame)]
    solid = [face(frame) for frame in closed]
    solid += [_corners(sign_box(sign)) for sign in design.signs]
    solid += [_corners(box) for foil in design.foils if foil.gas == "air" for box in foil_boxes(foil)]
    held = ~afloat(design, balloons)
    flat = np.column_stack([balloons.x, balloons.y])[held]
    return [
        _part(silhouette_of_faces(solid), Shape.PANEL),
        _part(silhouette_of_balloons(flat, balloons.radius[held]), Shape.GARLAND),
        *(
            _part(seen, Shape.TUBE)
            for frame in design.frames
            if not _is_closed(frame)
            for seen in _open(frame)
        ),
    ]


def _is_closed(frame: Frame) -> bool:
    return frame.is_filled or frame.cover is not None or frame.shape == "column"


def _part(seen: Silhouette, shape: Shape) -> WindPart:
    return WindPart(seen.area, seen.middle, FORCE_COEFFICIENT[shape])


def _open(frame: Frame) -> list[Silhouette]:
    """The tube of an open frame, and the bars that fill it."""
    bars = [Silhouette(math.dist(a, b) * BAR_M, (a[1] + b[1]) / 2) for a, b in bars_of(frame)]
    return [_tube(frame), *bars]


def _tube(frame: Frame) -> Silhouette:
    return Silhouette(outline_length_m(frame) * frame.tube_m, outline_middle_m(frame))


def _corners(box: Box) -> FloatArray:
    """A thing as its upright box seen from the front: more than it is, which is on the safe side."""
    return np.array(
        [(box.left, box.bottom), (box.left, box.top), (box.right, box.top), (box.right, box.bottom)]
    )


def _balloon_mass(design: Design, balloons: Balloons) -> float:
    """Skins, and the little that their compressed air weighs more than the air around [kg]."""
    held = balloons.chosen(~afloat(design, balloons))
    skins = latex_kg(held.with_inner().size_in).sum()
    volume = float((4 / 3 * np.pi * held.radius**3).sum())
    return float(skins) + volume * Air().density * LIGHTER_AIR_SHARE
