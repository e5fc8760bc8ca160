"""Toppers: big rounds and foil balloons that stand on top of a column's pole or a prop, and go where it goes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final, TypeAlias, TypeVar

from quoting.craft.design.boxes import foil_box, round_box
from quoting.craft.design.faults import Fault, FaultCode
from quoting.craft.design.records import Design, Frame
from quoting.craft.design.things import Foil, Prop, Round

Topper = TypeVar("Topper", Round, Foil)
AnyTopper: TypeAlias = Round | Foil
PLACED_TO_M: Final = 3
"""Digits of a place in metres (setting)."""


@dataclass(frozen=True, slots=True)
class Seat:
    """Where the middle of a topper is [m]."""

    x_m: float
    y_m: float
    z_m: float


def toppers(design: Design) -> tuple[AnyTopper, ...]:
    """List everything that stands on top of something: rounds, then foil balloons.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> toppers(load_design(STARTERS / "classic-columns.json"))
    ()
    """
    both: tuple[AnyTopper, ...] = (*design.rounds, *design.foils)
    return tuple(one for one in both if one.on_top)


def supports_of(design: Design) -> dict[str, Frame | Prop]:
    """Everything that a topper can stand on, by reference: poles of columns and props.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> sorted(supports_of(load_design(STARTERS / "classic-columns.json")))
    ['frame:left', 'frame:right']
    """
    poles = {f"frame:{frame.id}": frame for frame in design.frames if frame.shape == "column"}
    return {**poles, **{f"prop:{prop.id}": prop for prop in design.props}}


def support_label(design: Design, ref: str) -> str:
    """Name a support as lists do: a pole with balloons packed along it by the name of that column.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> support_label(load_design(STARTERS / "classic-columns.json"), "frame:left")
    'Left column'
    """
    support = supports_of(design)[ref]
    packed = [
        garland.label
        for garland in design.garlands
        if isinstance(support, Frame)
        and garland.work == "classic"
        and {leg.frame for leg in garland.route} == {support.id}
    ]
    return packed[0] if packed else support.label


def seat_of(support: Frame | Prop, topper: AnyTopper) -> Seat:
    """Where a topper's middle is [m]: over the middle of its support, its lowest point on the top of it.

    >>> plinth = Prop(id="p", item="p", label="Plinth", look="plinth", width_m=0.4, height_m=0.9, depth_m=0.4, x_m=1)
    >>> ball = Round(id="r", size_in=24, sized_m=0.56, colour="oat", x_m=0, y_m=1)
    >>> seat_of(plinth, ball)
    Seat(x_m=1, y_m=1.18, z_m=0.0)
    """
    box = round_box(topper) if isinstance(topper, Round) else foil_box(topper)
    top = support.base_m + support.height_m
    return Seat(support.x_m, round(top + topper.y_m - box.bottom, PLACED_TO_M), support.z_m)


def seated(design: Design) -> Design:
    """The design with every topper on its support, wherever that stands now and however high it is.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "classic-columns.json")
    >>> seated(design) is design
    True
    """
    if not toppers(design):
        return design
    bearing = supports_of(design)
    return replace(
        design,
        rounds=tuple(_seated(one, bearing.get(one.on_top)) for one in design.rounds),
        foils=tuple(_seated(one, bearing.get(one.on_top)) for one in design.foils),
    )


def on_support(topper: AnyTopper, ref: str, support: Frame | Prop) -> AnyTopper:
    """A topper put on a support, whose reference is ``ref``; it is tied to no frame then."""
    if isinstance(topper, Round):
        return _seated(replace(topper, on_top=ref, frame=""), support)
    return _seated(replace(topper, on_top=ref), support)


def topper_faults(design: Design) -> list[Fault]:
    """List the toppers that name nothing which could bear them."""
    bearing = supports_of(design)
    named = [(f"rounds[{i}].on_top", one.on_top) for i, one in enumerate(design.rounds)]
    named += [(f"foils[{i}].on_top", one.on_top) for i, one in enumerate(design.foils)]
    return [
        Fault(code=FaultCode.UNKNOWN_SUPPORT, field=field, found=repr(name), names=tuple(bearing))
        for field, name in named
        if name and name not in bearing
    ]


# Private


def _seated(topper: Topper, support: Frame | Prop | None) -> Topper:
    if support is None:
        return topper
    seat = seat_of(support, topper)
    return replace(topper, x_m=seat.x_m, y_m=seat.y_m, z_m=seat.z_m)
