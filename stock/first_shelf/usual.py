"""What decor studios usually own, under plain names, with usual costs.

Common practice, no source: each figure is a place to start from and is shown as one to be checked. Costs are for
currencies with cents; where there are none they are a hundred times as high.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Final

from stock.catalogue import frame_outlines
from stock.models import Kind
from studio.measures import lengths
from studio.models import Studio
from studio.models.spelling import spelled
from studio.money import amounts

TABLE: Final = Path(__file__).with_name("usual_things.csv")
WITHOUT_MINOR_UNIT: Final = 100
COVER_USES: Final = 30
COVER_HOURS: Final = 24
"""How often a cover goes out, and how long it is washed and dried. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class UsualColour:
    """A colour under a plain name."""

    code: str
    name: str
    hex: str
    finish: str = "matt"


COLOURS: Final = (
    UsualColour("pearl", "Pearl", "#F6F1EA"),
    UsualColour("harbour", "Harbour", "#9FB2C2"),
    UsualColour("sea", "Sea", "#5E8C93"),
    UsualColour("sun", "Sun", "#E8B23F"),
    UsualColour("ink", "Ink", "#2E4454"),
    UsualColour("pale-grey", "Pale grey", "#C9CCCB"),
    UsualColour("brick", "Brick", "#A4553F"),
    UsualColour("oat", "Oat", "#EFE6D6"),
    UsualColour("copper", "Copper", "#B97A56"),
    UsualColour("moss", "Moss", "#6F7F57"),
    UsualColour("sage", "Sage", "#A9B79B"),
    UsualColour("straw", "Straw", "#E3C588"),
    UsualColour("plum", "Plum", "#6B4257"),
    UsualColour("dull-pink", "Dull pink", "#CFA29B"),
    UsualColour("apricot", "Apricot", "#EBB88F"),
    UsualColour("fern", "Fern", "#4F6B52"),
    UsualColour("white", "White", "#FAFAF7"),
    UsualColour("blush", "Blush", "#EBCFC6"),
    UsualColour("rose", "Rose", "#D99AA0"),
    UsualColour("red", "Red", "#B3262E"),
    UsualColour("lavender", "Lavender", "#B7A8D1"),
    UsualColour("navy", "Navy", "#22304F"),
    UsualColour("sky", "Sky", "#A9C6DD"),
    UsualColour("teal", "Teal", "#2F7C80"),
    UsualColour("forest", "Forest", "#2F4F3A"),
    UsualColour("orange", "Orange", "#E07B33"),
    UsualColour("grey", "Grey", "#9A9A98"),
    UsualColour("black", "Black", "#232323"),
    UsualColour("gold", "Gold", "#C4A15A", "metallic"),
    UsualColour("silver", "Silver", "#B9BCC0", "metallic"),
)
"""Those of the starter designs first, so that a first quote finds its latex on the shelf; then the usual others."""


@dataclass(frozen=True, slots=True)
class UsualSize:
    """Latex of one nominal size [in]: pieces in a bag and the bag's price. ``size_in`` 260 is twisting latex."""

    size_in: int
    bag: int
    price: Decimal


SIZES: Final = (
    UsualSize(5, 100, Decimal(9)),
    UsualSize(11, 100, Decimal(14)),
    UsualSize(17, 50, Decimal(22)),
    UsualSize(24, 10, Decimal(18)),
    UsualSize(36, 2, Decimal(12)),
)
TWISTING_BAG: Final = UsualSize(260, 100, Decimal(12))
"""260s serve as string, in the colors of the rounds that they hold."""

SMALL_STUDIO: Final = {
    "sizes": [5, 11, 17, 24, 36],
    "colours": [colour.code for colour in COLOURS[:16]],
    "bags": 1,
    "cover_colours": ["pearl", "oat", "sage"],
}
"""What a studio of two people starts with besides. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class UsualThing:
    """Anything but latex and covers. Weight in kilograms, cost of one or of a bag."""

    kind: Kind
    code: str
    name: str
    length_m: Decimal | None
    """The length that its name says [m]."""
    cost: Decimal
    uses: int | None
    weight_kg: Decimal | None
    bag: int | None
    outline: dict[str, str | float] | None
    cover_cost: Decimal | None
    small: int | None
    """How many a studio of two people starts with, if it has any."""

    def named(self, units: str) -> str:
        """Its name with its length as the studio writes it."""
        name = self.name.replace("meter", spelled("meter")).replace("liter", spelled("liter"))
        return f"{name} {lengths.written(self.length_m, units)}" if self.length_m else name


@cache
def things() -> tuple[UsualThing, ...]:
    """Every usual thing, in the order of the table."""
    with TABLE.open(encoding="utf-8", newline="") as table:
        return tuple(_read_row(row) for row in csv.DictReader(table))


def in_currency(cost: Decimal, studio: Studio) -> Decimal:
    """A usual cost in the studio's currency."""
    return cost if amounts.minor_digits(studio.currency) else cost * WITHOUT_MINOR_UNIT


# Private


def _read_row(row: dict[str, str]) -> UsualThing:
    kind = Kind(row["kind"])
    return UsualThing(
        kind=kind,
        code=row["code"],
        name=row["name"],
        length_m=_decimal(row["length_m"]),
        cost=Decimal(row["cost"]),
        uses=int(row["uses"]) if row["uses"] else None,
        weight_kg=_decimal(row["weight_kg"]),
        bag=int(row["bag"]) if row["bag"] else None,
        outline=_outline(kind, row["outline"]),
        cover_cost=_decimal(row["cover_cost"]),
        small=int(row["small"]) if row["small"] else None,
    )


def _decimal(cell: str) -> Decimal | None:
    return Decimal(cell) if cell else None


def _outline(kind: Kind, cell: str) -> dict[str, str | float] | None:
    if not cell:
        return None
    shape, *sides = cell.split()
    _, *names = frame_outlines.fields_of(kind)
    return {"shape": shape} | dict(zip(names, map(float, sides), strict=False))
