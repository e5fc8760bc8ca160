"""Which step of the build sheet puts up which balloon and which other thing of the model, and what each balloon is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from quoting.craft.design.records import Design
from quoting.craft.settle.build import Piece
from quoting.craft.sheets.build_sheet import PieceSheet, build_sheet, named_units
from quoting.craft.sheets.steps import Step, steps_of
from quoting.craft.solid.scene import Scene, Solid
from quoting.craft.takeoff.takeoff import TakeOff

WORKS: Final = {"garland": "garlands", "wall": "walls", "bouquet": "bouquets"}
"""The step of a piece's balloons that are set at no numbered place, by the kind of the piece."""
PARTS: Final = {"sign": "sign", "letterings": "letterings", "props": "props", "ribbons": "bouquets"}
"""The step of what is no balloon, by the part of the picture that it belongs to."""


@dataclass(frozen=True, slots=True)
class Built:
    """A balloon or another thing as it is built: its step, from 1 (0: it stands there before).

    Of a balloon: the name and kind of its recipe, its number on the string from 1 (0: not on it), the number of its
    place (0: none), metres from the start of the garland.
    """

    step: int
    recipe: str = ""
    kind: str = ""
    on_string: int = 0
    place: int = 0
    station_m: float | None = None


def balls_built(takeoff: TakeOff) -> list[Built]:
    """What each balloon is to the crew, in the take-off's order.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> built = balls_built(take_off(load_design(STARTERS / "classic-arch.json")))
    >>> built[0].step, built[0].kind, built[0].on_string
    (3, 'quad', 1)
    """
    steps, sheet, b = steps_of(takeoff), build_sheet(takeoff), takeoff.balloons
    several = [index for index, piece in enumerate(takeoff.pieces) if piece.kind != "round"]
    works = [_step(steps, _work_with(takeoff.design, piece)) for piece in takeoff.pieces]
    found = [Built(works[index]) for index in b.garland.tolist()]
    for index, piece in zip(several, sheet.pieces, strict=True):
        stations = b.station if index < len(takeoff.garlands) else None
        for unit in named_units(takeoff, index)[1]:
            number = 0 if unit.kind == "filler" else unit.number + 1
            for k in unit.balloons.tolist():
                at = None if stations is None else float(stations[unit.balloons].mean())
                found[k] = replace(
                    found[k], recipe=unit.recipe, kind=unit.kind, on_string=number, station_m=at
                )
        _number_places(found, piece, steps)
    return found


def solids_built(takeoff: TakeOff, solids: Sequence[Solid]) -> list[Built]:
    """The step of everything that is no balloon, in the scene's order."""
    steps = steps_of(takeoff)
    return [Built(_step(steps, _work_of(takeoff.design, solid))) for solid in solids]


def everything_built(takeoff: TakeOff, scene: Scene) -> list[Built]:
    """Balloons and then solids, in the scene's order."""
    return [*balls_built(takeoff), *solids_built(takeoff, scene.solids)]


# Private


def _number_places(found: list[Built], piece: PieceSheet, steps: Sequence[Step]) -> None:
    for kind, rows in piece.placed:
        for row in rows:
            for k in row.balloons:
                found[k] = replace(
                    found[k],
                    step=_step(steps, kind),
                    place=row.number,
                    on_string=0,
                    station_m=row.station_m if piece.length_m else None,
                )


def _step(steps: Sequence[Step], kind: str) -> int:
    """The first step of this kind; 0 where the sheet has none, for that stands there already."""
    return next((number for number, step in enumerate(steps, 1) if step.kind == kind), 0)


def _work_with(design: Design, piece: Piece) -> str:
    if piece.kind == "round":
        return "toppers" if any(one.on_top for one in design.rounds if one.id == piece.id) else "rounds"
    return WORKS[piece.kind]


def _work_of(design: Design, solid: Solid) -> str:
    if solid.part == "frames":
        covers = {frame.cover.label for frame in design.frames if frame.cover}
        return "covers" if solid.name in covers else "frames"
    if solid.part == "florals":
        return "florals" if any(one.label == solid.name for one in design.florals) else "sprays"
    if solid.part == "foils":
        on_top = any(one.on_top for one in design.foils if one.label == solid.name)
        return "toppers" if on_top else "foils"
    return PARTS.get(solid.part, "look")
