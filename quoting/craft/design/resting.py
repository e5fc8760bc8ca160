"""What a single thing stands or hangs on, and its place when that is moved or made larger."""

from __future__ import annotations

import re
from typing import Final, TypeVar

import numpy as np

from quoting.craft.design.boxes import box_around
from quoting.craft.design.frames import face, is_inside
from quoting.craft.design.records import Design, Frame, Sign
from quoting.craft.design.schema import held
from quoting.craft.design.things import Foil, Lettering, Prop, Round, Spray

HIGHEST_TABLE_M: Final = 1.2  # a panel so named that is higher is none; common practice, no source
Hanging = TypeVar("Hanging", bound=Sign | Lettering | Round)
RESTING_M: Final = 0.03
"""Nearer than this above or below the floor or the top of a prop, a thing stands on it (setting)."""


def rests(design: Design, thing: Round | Foil | Prop | Spray | Sign) -> bool:
    """Tell whether a thing stands on the floor, on a prop or on a table.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> ball = Round(id="r", size_in=24, sized_m=0.5, colour="oat", x_m=-3, y_m=0.25)
    >>> rests(design, ball), rests(design, held(ball, y_m=1.0))
    (True, False)
    """
    if abs(box_around(thing).bottom) <= RESTING_M or prop_under(design, thing) is not None:
        return True
    box = box_around(thing)
    table = table_under(design, box.x_m)
    return table is not None and abs(box.bottom - table.base_m - table.height_m) <= RESTING_M


def prop_under(design: Design, thing: Round | Foil | Prop | Spray | Sign) -> Prop | None:
    """The prop on whose top a thing stands by the middle of its underside; the foremost of several."""
    box = box_around(thing)
    found = (
        prop
        for prop in design.props
        if prop.base_m < box.bottom  # so that no two stand on each other
        and abs(prop.x_m - box.x_m) <= prop.width_m / 2
        and abs(box.bottom - prop.base_m - prop.height_m) <= RESTING_M
    )
    return max(found, key=lambda prop: prop.z_m, default=None)


def is_table(frame: Frame) -> bool:
    """Tell whether a panel is a table with its cloth, by its name and its height.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> is_table(load_design(STARTERS / "table-garland.json").frames[0])
    True
    """
    named = re.search(r"table|tisch", f"{frame.item} {frame.label}".lower()) is not None
    return frame.shape == "panel" and frame.cover is not None and named and frame.height_m <= HIGHEST_TABLE_M


def table_under(design: Design, x_m: float) -> Prop | Frame | None:
    """The table that stands at a place across [m], the foremost of several; None where there is none.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "table-garland.json")
    >>> table_under(design, 0.2).label, table_under(design, 1.4)
    ('Table 6 ft', None)
    """
    tables: list[Prop | Frame] = [prop for prop in design.props if prop.look == "table"]
    tables += [frame for frame in design.frames if is_table(frame)]
    found = (one for one in tables if abs(one.x_m - x_m) <= one.width_m / 2)
    return max(found, key=lambda one: one.z_m, default=None)


def frame_behind(design: Design, x_m: float, y_m: float) -> Frame | None:
    """The foremost frame, but for poles, whose face has a place [m] in it.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> frame_behind(load_design(STARTERS / "garland-nested-arches.json"), -0.4, 1.0).id
    'low'
    """
    place = np.array([(x_m, y_m)])
    found = [
        frame for frame in design.frames if frame.shape != "column" and is_inside(place, face(frame)).all()
    ]
    return max(found, key=lambda frame: frame.z_m, default=None)


def placed_alike(thing: Hanging, old: Frame, new: Frame) -> Hanging:
    """A thing at the same place of its frame as before, in shares of its width and height [m].

    >>> low = Frame(id="low", shape="panel", item="panel", label="Panel", width_m=1.0, height_m=2.0)
    >>> high = Frame(id="low", shape="panel", item="panel", label="Panel", width_m=1.0, height_m=4.0, x_m=3.0)
    >>> words = Lettering(id="words", text="six!", height_m=0.2, x_m=0.1, y_m=1.5, frame="low")
    >>> placed = placed_alike(words, low, high)
    >>> placed.x_m, placed.y_m
    (3.1, 3.0)
    """
    placed = held(
        thing,
        x_m=new.x_m + (thing.x_m - old.x_m) * new.width_m / old.width_m,
        y_m=new.base_m + (thing.y_m - old.base_m) * new.height_m / old.height_m,
    )
    return held(placed, z_m=thing.z_m + new.z_m - old.z_m) if isinstance(thing, Round) else placed
