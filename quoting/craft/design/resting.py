"""What a single thing stands or hangs on, and its place when that is moved or made larger."""

from __future__ import annotations

from typing import Final, TypeVar

import numpy as np

from quoting.craft.design.boxes import box_around
from quoting.craft.design.frames import face, is_inside
from quoting.craft.design.records import Design, Frame, Sign
from quoting.craft.design.schema import held
from quoting.craft.design.things import Foil, Lettering, Prop, Round, Spray

Hanging = TypeVar("Hanging", bound=Sign | Lettering | Round)
RESTING_M: Final = 0.03
"""Nearer than this above or below the floor or the top of a prop, a thing stands on it (setting)."""


def rests(design: Design, thing: Round | Foil | Prop | Spray | Sign) -> bool:
    """Tell whether a thing stands on the floor or on a prop.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> ball = Round(id="r", size_in=24, sized_m=0.5, colour="oat", x_m=-3, y_m=0.25)
    >>> rests(design, ball), rests(design, held(ball, y_m=1.0))
    (True, False)
    """
    return abs(box_around(thing).bottom) <= RESTING_M or prop_under(design, thing) is not None


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
