"""The room that single things take up: rounds, foil balloons, props, placed florals and signs."""

from __future__ import annotations

import math
from dataclasses import dataclass

from quoting.craft.design.foils import balloons_of, foil_size
from quoting.craft.design.records import Design, Sign
from quoting.craft.design.things import Foil, Prop, Round, Spray


@dataclass(frozen=True, slots=True)
class Box:
    """A box around a thing [m]: x of the sides, y of underside and top, z of rear and front."""

    left: float
    right: float
    bottom: float
    top: float
    rear: float
    front: float

    @property
    def width_m(self) -> float:
        return self.right - self.left

    @property
    def height_m(self) -> float:
        return self.top - self.bottom

    @property
    def depth_m(self) -> float:
        return self.front - self.rear

    @property
    def x_m(self) -> float:
        """The middle from side to side."""
        return (self.left + self.right) / 2

    @property
    def y_m(self) -> float:
        """The middle from underside to top."""
        return (self.bottom + self.top) / 2


def thing_boxes(design: Design) -> list[Box]:
    """Give the boxes of everything that is placed by itself: of signs, those that hang from no frame.

    >>> from quoting.craft.design.records import PaletteColour
    >>> oat = PaletteColour(colour="oat", name="Oat", hex="#EFE6D6", share=1)
    >>> plinth = Prop(id="p", item="plinth", label="Plinth", look="plinth", width_m=0.4, height_m=0.9, depth_m=0.4)
    >>> thing_boxes(Design(version=2, name="Bare", palette=(oat,), props=(plinth,)))[0].top
    0.9
    """
    found = [round_box(one) for one in design.rounds]
    found += [foil_box(one) for one in design.foils]
    found += [prop_box(one) for one in design.props]
    found += [spray_box(one) for one in design.sprays]
    return found + [sign_box(one) for one in design.signs if not one.frame]


def box_around(one: Round | Foil | Prop | Spray | Sign) -> Box:
    """The box around a single thing."""
    if isinstance(one, Round):
        return round_box(one)
    if isinstance(one, Foil):
        return foil_box(one)
    if isinstance(one, Sign):
        return sign_box(one)
    return prop_box(one) if isinstance(one, Prop) else spray_box(one)


def round_box(one: Round) -> Box:
    """The box around a round."""
    return _around(one.x_m, one.y_m, one.z_m, (one.sized_m, one.sized_m, one.sized_m))


def foil_box(one: Foil) -> Box:
    """The box around a filled foil balloon or a row of them, turned as it is.

    >>> star = Foil(id="s", item="star", label="Star", shape="star", flat_m=0.45, hex="#D9B45B", x_m=0, y_m=2)
    >>> round(foil_box(star).top, 3)
    2.194
    """
    size = foil_size(one)
    wide, high = turned_size(size.width_m, size.height_m, one.turn_deg)
    return _around(one.x_m, one.y_m, one.z_m, (wide, high, size.depth_m))


def foil_boxes(one: Foil) -> list[Box]:
    """The upright box around each balloon of a row, where it is when the row is turned.

    >>> row = Foil(
    ...     id="n", item="n", label="Number", shape="glyphs", text="11", flat_m=0.86, hex="#D9B45B", x_m=0, y_m=2
    ... )
    >>> [round(box.x_m, 2) for box in foil_boxes(row)]
    [-0.18, 0.18]
    """
    turn = math.radians(-one.turn_deg)
    found = []
    for balloon in balloons_of(one):
        size = balloon.size
        wide, high = turned_size(size.width_m, size.height_m, one.turn_deg)
        x, y = one.x_m + balloon.across_m * math.cos(turn), one.y_m + balloon.across_m * math.sin(turn)
        found.append(_around(x, y, one.z_m, (wide, high, size.depth_m)))
    return found


def prop_box(one: Prop) -> Box:
    """The box around a prop."""
    middle = one.base_m + one.height_m / 2
    return _around(one.x_m, middle, one.z_m, (one.width_m, one.height_m, one.depth_m))


def spray_box(one: Spray) -> Box:
    """The box around a placed floral, half as broad as it is long."""
    wide, high = turned_size(one.size_m / 2, one.size_m, one.turn_deg)
    return _around(one.x_m, one.y_m, one.z_m, (wide, high, one.size_m / 2))


def sign_box(one: Sign) -> Box:
    """The box around a sign, which is flat."""
    return _around(one.x_m, one.y_m, 0.0, (one.width_m, one.height_m, 0.0))


def turned_size(width_m: float, height_m: float, turn_deg: float) -> tuple[float, float]:
    """Width and height [m] of the upright box around a turned one.

    >>> [round(length, 3) for length in turned_size(1.0, 2.0, 90)]
    [2.0, 1.0]
    """
    turn = math.radians(turn_deg)
    across, up = abs(math.cos(turn)), abs(math.sin(turn))
    return width_m * across + height_m * up, width_m * up + height_m * across


# Private


def _around(x: float, y: float, z: float, size: tuple[float, float, float]) -> Box:
    wide, high, deep = (length / 2 for length in size)
    return Box(x - wide, x + wide, y - high, y + high, z - deep, z + deep)
