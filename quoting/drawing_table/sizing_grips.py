"""What a thing is made larger, turned and bent by in the picture, in drawing units and as its scripts read it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from quoting.craft.picture.view import PX_PER_M
from quoting.craft.table.handles import ThingView
from quoting.craft.table.sizing import TURN_STEP_DEG, SizeView, TurnView
from quoting.set_pieces import measures

KEYED: Final = -1
"""The corner that takes the keys: the last one."""


@dataclass(frozen=True, slots=True)
class SizeGrip:
    """A corner by which a thing is made larger; ``has_keys``: it is the one of them that the Tab key goes to."""

    x: float
    y: float
    words: str
    has_keys: bool


@dataclass(frozen=True, slots=True)
class TurnGrip:
    """What a thing is turned by: where it is, and where the line to it begins."""

    x: float
    y: float
    from_x: float
    from_y: float
    words: str


@dataclass(frozen=True, slots=True)
class CornerGrip:
    """A corner of a bent frame, or the middle between two, by the number of the corner at or before it."""

    index: int
    x: float
    y: float
    x_m: float
    y_m: float
    words: str


@dataclass(frozen=True, slots=True)
class SizingGrips:
    """All of them, with what the scripts reckon with as JSON; empty where a thing has none."""

    size: str = ""
    turn: str = ""
    corners: tuple[SizeGrip, ...] = ()
    turner: TurnGrip | None = None
    bends: tuple[CornerGrip, ...] = ()
    between: tuple[CornerGrip, ...] = ()


def sizing_grips(thing: ThingView, units: str) -> SizingGrips:
    """The grips of one thing."""
    return SizingGrips(
        size=_size_json(thing.size) if thing.size else "",
        turn=_turn_json(thing.turn) if thing.turn else "",
        corners=tuple(_corners(thing.size, units)) if thing.size else (),
        turner=_turner(thing.turn) if thing.turn else None,
        bends=tuple(_bends(thing.corners, units)),
        between=tuple(_between(thing.corners)),
    )


# Private


def _size_json(view: SizeView) -> str:
    choices = [{"w": each.width_m, "h": each.height_m, "label": each.label} for each in view.choices]
    x, y = view.anchor
    return json.dumps({
        "x": x, "y": y, "w": round(view.width_m, 4), "h": round(view.height_m, 4), "alike": view.is_alike,
        "centred": view.is_centred, "choices": choices,
    })  # fmt: skip


def _turn_json(view: TurnView) -> str:
    x, y = view.about
    return json.dumps({"x": x, "y": y, "deg": view.deg, "step": TURN_STEP_DEG})


def _corners(view: SizeView, units: str) -> Iterator[SizeGrip]:
    size = f"{measures.length(view.width_m, units)} × {measures.length(view.height_m, units)}"
    last = view.corners[KEYED]
    for x, y in view.corners:
        yield SizeGrip(_units(x), _units(-y), f"Larger or smaller: {size}", (x, y) == last)


def _turner(view: TurnView) -> TurnGrip:
    (x, y), (from_x, from_y) = view.grip, view.about
    return TurnGrip(_units(x), _units(-y), _units(from_x), _units(-from_y), f"Turned {view.deg:g} degrees")


def _bends(corners: tuple[tuple[float, float], ...], units: str) -> Iterator[CornerGrip]:
    for index, (x, y) in enumerate(corners):
        high = measures.length(max(y, 0.001), units)
        words = f"Corner {index + 1} of {len(corners)}, {high} high"
        yield CornerGrip(index, _units(x), _units(-y), x, y, words)


def _between(corners: tuple[tuple[float, float], ...]) -> Iterator[CornerGrip]:
    for index, ((x1, y1), (x2, y2)) in enumerate(pairwise(corners)):
        x, y = round((x1 + x2) / 2, 4), round((y1 + y2) / 2, 4)
        words = f"Add a corner between {index + 1} and {index + 2}"
        yield CornerGrip(index, _units(x), _units(-y), x, y, words)


def _units(metres: float) -> float:
    return round(metres * PX_PER_M, 1)
