"""The starter designs, read and worked out once for all tests."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import quoting.craft
from quoting.craft.design.design_file import load_design
from quoting.craft.design.records import Design, Leg
from quoting.craft.takeoff.takeoff import TakeOff, take_off

ROW_M = 12.0
FOLDER = Path(quoting.craft.__file__).parent / "starters"
NAMES = tuple(sorted(path.stem for path in FOLDER.glob("*.json")))


@cache
def starter(name: str) -> Design:
    return load_design(FOLDER / f"{name}.json")


@cache
def worked(name: str) -> TakeOff:
    return take_off(starter(name))


def straight_garland(length_m: float, **changes: object) -> Design:
    """A garland of the nested arches' mix, strung straight across a wall without frames or florals."""
    base = starter("garland-nested-arches")
    garland = replace(
        base.garlands[0],
        route=(Leg(kind="through", points=((0.0, 1.5), (length_m, 1.5))),),
        profile=(),
        **changes,  # type: ignore[arg-type] # each has its field's type
    )
    return replace(base, frames=(), florals=(), garlands=(garland,))


def garland_in_rows(metres: float) -> Design:
    """The mix of the nested arches in rows on a wall, with greenery."""
    rows = max(1, math.ceil(metres / ROW_M))
    points = []
    for row in range(rows):
        ends = (0.0, metres / rows) if row % 2 == 0 else (metres / rows, 0.0)
        points += [(x, 0.8 + 1.3 * row) for x in ends]
    base = straight_garland(3.0)
    garland = replace(base.garlands[0], route=(Leg(kind="through", points=tuple(points)),))
    return replace(base, garlands=(garland,), florals=starter("garland-nested-arches").florals)
