"""A set piece as solids in space: every balloon with the way its neck points, frames and what fills them, covers,
boards, florals, foils, props.

The model that is turned and the stills are made from it; drawings are drawn from the take-off by themselves. What
is within other balloons is left out. Metres; x right, y up, z towards the viewer.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from quoting.craft.design.fillings import BAR_M, bars_of, shimmer_tone
from quoting.craft.design.foils import FLAT_STROKE, TUBE, balloons_of
from quoting.craft.design.frames import Points, face, outline
from quoting.craft.design.letters import CAPITAL, sign_letters
from quoting.craft.design.records import Design, Frame, Sign
from quoting.craft.design.things import Foil, Prop
from quoting.craft.geometry.glyphs import stroke_width, strokes_of
from quoting.craft.geometry.polyline import kept_points
from quoting.craft.settle.build import GarlandResult
from quoting.craft.solid import botany, words
from quoting.craft.solid.florals import garland_floral, seen_hex, spray_mesh, spray_stance
from quoting.craft.solid.meshes import TUBE_SIDES, Mesh, box, cylinder, sheet, together, tube
from quoting.craft.solid.ribbons import ribbon_mesh, weight_mesh
from quoting.craft.solid.stances import Stance, stood
from quoting.craft.solid.words import words_mesh
from quoting.craft.takeoff.balloons import Balloons
from quoting.craft.takeoff.doubles import shown_within
from quoting.craft.takeoff.sign_room import sign_depth
from quoting.craft.takeoff.takeoff import TakeOff
from studio.trade.latex import round_name
from studio.trade.ranges import FloatArray

# Settings of the scene.
CLOTH_M: Final = 0.004
PAINT_M: Final = 0.0015
BOARD_M: Final = 0.018
COVER_BEFORE_M: Final = 0.002
METAL: Final = "#c9c6c0"
WOOD: Final = "#d9cdb8"
BOARD: Final = "#f4efe6"
"""Of a sign whose letters the fonts lack (setting)."""
STONE: Final = "#bba98c"
RIBBON, WEIGHT = "#cfc4b2", "#8c7f6c"
PILLAR_SIDES: Final = 24
THICKEST_POLE_M: Final = 0.1
"""A column that is thicker is a pillar of the house, not a pole (setting)."""
PILLAR_END_M, PILLAR_END_WIDE = 0.1, 1.24
"""Of the block at either end of a pillar: how high, and how many times as wide as the pillar (settings, by eye)."""
SEEN_M: Final = 0.004
STROKE_STEPS: Final = 24
ROUND_LOOKS: Final = ("plinth", "candle", "balloon-stand")
"""Props that are round; others are drawn as boxes of their measures."""


@dataclass(frozen=True, slots=True)
class Ball:
    """A balloon: middle and radius [m], unit vector towards its knot, its place in the palette, what it is called, and
    the quad that it is tied in (-1 for none)."""

    centre: tuple[float, float, float]
    radius_m: float
    neck: tuple[float, float, float]
    colour: int
    name: str
    piece: int
    quad: int


@dataclass(frozen=True, slots=True)
class Solid:
    """Anything else: a part of the piece (frames, sign, florals, foils, props), a name, a colour, its mesh, whether it
    shines like metal, whether it gives light, and the frame whose face it covers with cloth.

    ``stances``: where the mesh stands, as often as there are; none where it is in its place already.
    """

    part: str
    name: str
    hex: str
    mesh: Mesh
    metal: bool = False
    lit: bool = False
    covers: Frame | None = None
    stances: tuple[Stance, ...] = ()

    @property
    def whole(self) -> Mesh:
        """The mesh wherever it stands."""
        return stood(self.mesh, self.stances)


@dataclass(frozen=True, slots=True)
class Paint:
    """A colour of the palette as it shines, and the colour of the balloon within it, if any."""

    code: str
    name: str
    hex: str
    finish: str
    inner_hex: str = ""


@dataclass(frozen=True, slots=True)
class Scene:
    """All balloons and all solids, and the paints by which balloons name their colour."""

    name: str
    paints: tuple[Paint, ...]
    balls: tuple[Ball, ...]
    solids: tuple[Solid, ...]


def scene_of(takeoff: TakeOff, *, fine: bool = False) -> Scene:
    """Build the scene of a take-off: as many balls as there are balloons.

    ``fine`` gives leaves and letters the corners that a picture needs, and a model on a phone doesn't.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> result = take_off(load_design(STARTERS / "table-garland.json"))
    >>> len(scene_of(result).balls) == len(result.balloons)
    True
    """
    design = takeoff.design
    within = shown_within(design, takeoff.balloons)
    paints = tuple(
        Paint(one.colour, one.name, one.hex, one.finish, within.get(number, ""))
        for number, one in enumerate(design.palette)
    )
    solids = [solid for frame in design.frames for solid in _frame_solids(frame)]
    solids += [_sign_solid(takeoff, sign, fine) for sign in design.signs]
    solids += list(_lettering_solids(design, fine))
    solids += [solid for foil in design.foils for solid in _foil_solids(foil)]
    solids += [_prop_solid(prop) for prop in design.props]
    solids += list(_leaves(takeoff, fine))
    detail = _detail(fine)
    solids += [
        Solid("florals", one.label, seen_hex(one), spray_mesh(one, detail), stances=(spray_stance(one),))
        for one in design.sprays
    ]
    solids += list(_ribbons(takeoff))
    return Scene(design.name, paints, tuple(_balls(takeoff)), tuple(solids))


# Private


def _balls(takeoff: TakeOff) -> Iterator[Ball]:
    b, palette = takeoff.balloons, takeoff.design.palette
    necks = _necks(b, takeoff.garlands)
    for k in range(len(b)):
        colour = int(b.colour[k])
        yield Ball(
            centre=(float(b.x[k]), float(b.y[k]), float(b.z[k])),
            radius_m=float(b.radius[k]),
            neck=(float(necks[k, 0]), float(necks[k, 1]), float(necks[k, 2])),
            colour=colour,
            name=round_name(int(b.size_in[k]), palette[colour].name),
            piece=int(b.garland[k]),
            quad=int(b.quad[k]),
        )


def _necks(balloons: Balloons, garlands: Sequence[GarlandResult]) -> FloatArray:
    """Unit vectors (n, 3) from each balloon's middle to its knot: the string of its garland, else down."""
    ways = np.tile([0.0, -1.0, 0.0], (len(balloons), 1))
    centres = balloons.centres
    for index, garland in enumerate(garlands):
        mine = balloons.garland == index
        if mine.any():
            ways[mine] = garland.route.at(balloons.station[mine]) - centres[mine]
    length = np.linalg.norm(ways, axis=1, keepdims=True)
    return np.where(length > 1e-6, ways / np.maximum(length, 1e-6), np.array([0.0, -1.0, 0.0]))


def _frame_solids(frame: Frame) -> Iterator[Solid]:
    """Tube, board and cover. What is printed on a cover would need a place on the mesh for each of its points: here the
    cover keeps its own colour."""
    if frame.shape == "column":
        yield from _pole(frame)
        return
    if frame.shape == "panel":
        tone, mesh = frame.cover.hex if frame.cover else WOOD, _sheet(frame, BOARD_M, 0.0)
        yield Solid("frames", frame.label, tone, mesh, covers=frame if frame.cover else None)
    else:
        yield Solid("frames", frame.label, METAL, tube(_line_of(frame), frame.tube_m / 2), metal=True)
    if frame.cover and frame.shape != "panel":
        front = frame.tube_m / 2 + COVER_BEFORE_M
        mesh = _sheet(frame, CLOTH_M, front)
        yield Solid("frames", frame.cover.label, frame.cover.hex, mesh, covers=frame)
    yield from _filling(frame)


def _pole(frame: Frame) -> Iterator[Solid]:
    """A pole, or a pillar of the house, and the cover round it."""
    ends = [[frame.x_m, y, frame.z_m] for y in (frame.base_m, frame.base_m + frame.height_m)]
    line, thick = np.array(ends), frame.width_m > THICKEST_POLE_M
    mesh = tube(line, frame.width_m / 2, PILLAR_SIDES if thick else TUBE_SIDES)
    mesh = together([mesh, *_ends_of_pillar(frame)]) if thick else mesh
    yield Solid("frames", frame.label, STONE if thick else METAL, mesh, metal=not thick)
    if frame.cover:
        sleeve = tube(line, frame.width_m / 2 + CLOTH_M, PILLAR_SIDES)
        yield Solid("frames", frame.cover.label, frame.cover.hex, sleeve)


def _ends_of_pillar(frame: Frame) -> Iterator[Mesh]:
    """The blocks that a pillar stands on and ends with."""
    wide = PILLAR_END_WIDE * frame.width_m
    block = box((wide, PILLAR_END_M, wide))
    for y in (PILLAR_END_M / 2, frame.height_m - PILLAR_END_M / 2):
        yield _moved(block, frame.z_m, frame.x_m, frame.base_m + y)


def _filling(frame: Frame) -> Iterator[Solid]:
    """Bars in the plane of a frame, or shimmering panels before its cover."""
    if frame.filling == "shimmer":
        front = (0.0 if frame.shape == "panel" else frame.tube_m / 2 + COVER_BEFORE_M) + CLOTH_M
        panels = _sheet(frame, CLOTH_M, front)
        yield Solid("frames", f"{frame.label}, shimmer", shimmer_tone(frame), panels, metal=True)
    if bars := bars_of(frame):
        tubes = [tube(np.array([[*end, frame.z_m] for end in bar]), BAR_M / 2) for bar in bars]
        yield Solid("frames", f"{frame.label}, bars", METAL, together(tubes), metal=True)


def _sheet(frame: Frame, thick_m: float, front_m: float) -> Mesh:
    """What closes the face of a frame, its front so far before the frame's plane [m]."""
    return _moved(sheet(_simple(face(frame)), thick_m), frame.z_m + front_m)


def _line_of(frame: Frame) -> FloatArray:
    """The tube's middle line (n, 3) [m], closed where the outline is."""
    flat = _simple(outline(frame).points)
    return np.column_stack([flat, np.full(len(flat), frame.z_m)])


def _simple(line: Points) -> Points:
    """A line with no more points than it takes to the eye."""
    return np.asarray(line[kept_points(line, SEEN_M)])


def _sign_solid(takeoff: TakeOff, sign: Sign, fine: bool) -> Solid:
    """The words of a sign cut out of board; a plain board where the fonts have none of its letters."""
    rear, letters = sign_depth(takeoff.design, sign, takeoff.balloons), sign_letters(sign)
    cut = words_mesh(sign.text, "serif", letters.size_m, BOARD_M, slanted=True, steps=_steps(fine))
    if cut is None:
        board = _moved(box((sign.width_m, sign.height_m, BOARD_M)), rear + BOARD_M / 2, sign.x_m, sign.y_m)
        return Solid("sign", sign.text, BOARD, board, lit=sign.lit)
    placed = _moved(cut, rear + BOARD_M, sign.x_m, sign.y_m - letters.line_m)
    return Solid("sign", sign.text, sign.hex, placed, lit=sign.lit)


def _lettering_solids(design: Design, fine: bool) -> Iterator[Solid]:
    """Words put on cloth or board, as thin as paint."""
    for one in design.letterings:
        frame = next(frame for frame in design.frames if frame.id == one.frame)
        painted = words_mesh(one.text, one.font, one.height_m / CAPITAL, PAINT_M, steps=_steps(fine))
        if painted:
            front = frame.z_m + (0.0 if frame.shape == "panel" else frame.tube_m / 2 + COVER_BEFORE_M)
            placed = _moved(painted, front + PAINT_M, one.x_m, one.y_m - one.height_m / 2)
            yield Solid("letterings", one.text, one.hex, placed)


def _steps(fine: bool) -> words.Steps:
    return words.FINE if fine else words.COARSE


def _foil_solids(foil: Foil) -> Iterator[Solid]:
    turn = math.radians(foil.turn_deg)
    for one in balloons_of(foil):
        if one.glyph:
            shapes = list(_glyph_tubes(foil, one.glyph, one.across_m))
        else:
            shapes = [_cushion(one.size.width_m, one.size.height_m, one.size.depth_m)]
        for mesh in shapes:
            turned = _turned(mesh, -turn)
            yield Solid(
                "foils",
                foil.label,
                foil.hex,
                _moved(turned, foil.z_m, foil.x_m, foil.y_m),
                foil.finish != "plain",
            )


def _glyph_tubes(foil: Foil, glyph: str, across_m: float) -> Iterator[Mesh]:
    flat = FLAT_STROKE * foil.flat_m
    line = foil.flat_m - flat
    left = across_m - stroke_width(glyph) * line / 2
    for stroke in strokes_of(glyph):
        path = np.column_stack(
            [left + stroke[:, 0] * line, (stroke[:, 1] - 0.5) * line, np.zeros(len(stroke))]
        )
        yield tube(path, TUBE * flat / 2)


def _cushion(width_m: float, height_m: float, depth_m: float) -> Mesh:
    """A flat round cushion, for discs and as a stand-in for other shapes of foil."""
    turn = np.linspace(0, 2 * math.pi, STROKE_STEPS, endpoint=False)
    ring = np.column_stack([np.cos(turn) * width_m / 2, np.sin(turn) * height_m / 2])
    return _moved(sheet(ring, depth_m), depth_m / 2)


def _prop_solid(prop: Prop) -> Solid:
    if prop.look in ROUND_LOOKS:
        mesh = cylinder(min(prop.width_m, prop.depth_m) / 2, prop.height_m)
        return Solid("props", prop.label, prop.hex, _moved(mesh, prop.z_m, prop.x_m, prop.base_m))
    mesh = box((prop.width_m, prop.height_m, prop.depth_m))
    return Solid(
        "props", prop.label, prop.hex, _moved(mesh, prop.z_m, prop.x_m, prop.base_m + prop.height_m / 2)
    )


def _detail(fine: bool) -> botany.Detail:
    return botany.FINE if fine else botany.COARSE


def _leaves(takeoff: TakeOff, fine: bool) -> Iterator[Solid]:
    """All leaves of one floral as one solid."""
    for index, floral in enumerate(takeoff.design.florals):
        mine = [leaf for leaf in takeoff.leaves if leaf.floral == index]
        if mine:
            mesh, stances = garland_floral(floral, mine, _detail(fine))
            yield Solid("florals", floral.label, seen_hex(floral), mesh, stances=stances)


def _ribbons(takeoff: TakeOff) -> Iterator[Solid]:
    for name, tone, mesh in (
        ("ribbons", RIBBON, ribbon_mesh(takeoff)),
        ("weights", WEIGHT, weight_mesh(takeoff)),
    ):
        if mesh:
            yield Solid("ribbons", name, tone, mesh)


def _moved(mesh: Mesh, z_m: float, x_m: float = 0.0, y_m: float = 0.0) -> Mesh:
    return Mesh(mesh.places + np.array([x_m, y_m, z_m]), mesh.normals, mesh.triangles)


def _turned(mesh: Mesh, turn: float) -> Mesh:
    """Turned about z, counter-clockwise for a positive angle [rad]."""
    cos, sin = math.cos(turn), math.sin(turn)
    rotation = np.array([[cos, sin, 0.0], [-sin, cos, 0.0], [0.0, 0.0, 1.0]])
    return Mesh(mesh.places @ rotation, mesh.normals @ rotation, mesh.triangles)
