"""The catalogue: find, add, change and retire items and colours."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final, TypeVar

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import QuerySet
from django.utils import timezone
from django.utils.text import slugify

from stock.models import Colour, Item, Kind, Nature
from studio.models import Studio
from studio.tenancy.access import require
from studio.tenancy.rights import Right
from studio.trade.colour import chroma, hue_degrees, lab_of
from studio.trade.latex import round_name, twisting_name

USUAL_SIZES_IN: Final = (5, 11, 17, 24, 36)
"""Nominal diameters of the usual latex rounds, inches."""

USUAL_NATURE: Final[Mapping[Kind, Nature]] = {
    Kind.LATEX: Nature.CONSUMABLE,
    Kind.TWISTING: Nature.CONSUMABLE,
    Kind.FRAME: Nature.REUSABLE,
    Kind.COVER: Nature.REUSABLE,
    Kind.FLORAL: Nature.REUSABLE,
    Kind.SIGN: Nature.REUSABLE,
    Kind.PROP: Nature.REUSABLE,
    Kind.FOIL: Nature.CONSUMABLE,
    Kind.HARDWARE: Nature.REUSABLE,
    Kind.TOOL: Nature.REUSABLE,
}

COSTS: Final = frozenset({"unit_cost", "bag_price", "price_per_use"})
"""Who sets one of these has looked at what the item costs."""

MAX_QUANTITY: Final = 10_000_000
"""More than any studio owns of one item; a larger number is a typing error."""

KIT_PREFIX: Final = "kit-"
"""The prefix of kit codes (:mod:`stock.kits.kits`); no item code may start with it."""

NEUTRAL_CHROMA: Final = 12.0
"""CIELAB chroma under which a colour reads as a shade of white, grey or black. Our choice, no source."""

Row = TypeVar("Row", Colour, Item)


@dataclass(frozen=True, slots=True)
class Material:
    """A quantity of one code: a line of a bill of materials."""

    code: str
    quantity: int


TWISTING_IN: Final = 260
"""The size part in the code of a 260."""


def latex_code(size_in: int, colour_code: str) -> str:
    """The code of a latex round.

    >>> latex_code(11, "oat")
    'latex-11-oat'
    """
    return f"latex-{size_in}-{colour_code}"


def twisting_code(colour_code: str) -> str:
    """The code of a 260.

    >>> twisting_code("oat")
    'latex-260-oat'
    """
    return f"latex-{TWISTING_IN}-{colour_code}"


def size_in_code(code: str) -> int | None:
    """The nominal size that the code of a latex round names; 260 for a 260, none for anything else.

    >>> size_in_code("latex-11-oat"), size_in_code("ring-6ft")
    (11, None)
    """
    kind, _, rest = code.partition("-")
    size = rest.partition("-")[0]
    return int(size) if kind == "latex" and size.isdecimal() and len(size) < 4 else None


def latex_name(item: Item) -> str:
    """What every paper calls latex of this size and colour; empty for anything else."""
    if item.colour and item.kind == Kind.TWISTING:
        return twisting_name(item.colour.name)
    if item.colour and item.kind == Kind.LATEX and item.size_in:
        return round_name(item.size_in, item.colour.name)
    return ""


def sum_by_code(materials: Iterable[Material]) -> dict[str, int]:
    """The quantity of each code, in the order of first mention.

    >>> sum_by_code([Material("ring", 1), Material("cover", 2), Material("ring", 3)])
    {'ring': 4, 'cover': 2}
    """
    total: Counter[str] = Counter()
    for material in materials:
        total[material.code] += material.quantity
    return dict(total)


def find_by_code(codes: Iterable[str]) -> dict[str, Item]:
    """The items under ``codes``, retired ones too; unknown codes are left out. One query."""
    require(Right.SEE_SHELF)
    return {item.code: item for item in Item.objects.select_related("colour").filter(code__in=set(codes))}


def uses_of(item: Item, studio: Studio) -> int:
    """Over how many uses the price of a thing that comes back is spread: its own, or the studio's usual ones."""
    return item.expected_uses or studio.usual_uses


def cost_field(item: Item) -> str:
    """Which field has what an item costs: that of a bag where it is used up and comes in bags, else that of one."""
    return "bag_price" if not item.is_reusable and item.bag_size else "unit_cost"


def items_in_use(*kinds: Kind) -> QuerySet[Item]:
    """The items that aren't retired, of the given kinds or of all."""
    require(Right.SEE_SHELF)
    items = Item.objects.select_related("colour").filter(retired_at=None)
    return items.filter(kind__in=kinds) if kinds else items


def list_colours() -> list[Colour]:
    """The colours in use in shelf order: neutrals from light to dark, then by hue."""
    require(Right.SEE_SHELF)
    return sorted(Colour.objects.filter(retired_at=None), key=shelf_order)


def shelf_order(colour: Colour) -> tuple[int, float, str]:
    """Sort key: neutrals by falling lightness, then the others by hue angle."""
    if chroma(colour.a, colour.b) < NEUTRAL_CHROMA:
        return 0, -colour.lightness, colour.code
    return 1, hue_degrees(colour.a, colour.b), colour.code


def add_colour(*, name: str, hex: str, finish: str = "matt", code: str = "") -> Colour:  # noqa: A002
    """Add a colour; its L*a*b* value is computed from its sRGB value. Raises ``ValidationError``."""
    require(Right.EDIT_SHELF)
    return _save_row(_set_hex(Colour(code=code or slugify(name), name=name, finish=finish), hex))


def change_colour(colour: Colour, *, name: str, hex: str, finish: str) -> Colour:  # noqa: A002
    """Change a colour; its code stays, because item codes contain it. Raises ``ValidationError``."""
    require(Right.EDIT_SHELF)
    colour.name, colour.finish = name, finish
    return _save_row(_set_hex(colour, hex))


def add_item(*, kind: Kind, **facts: object) -> Item:
    """Add an item. Latex is named and coded after its size and colour, other things after their name.

    ``facts`` are fields of :class:`~stock.models.Item`. Raises ``ValidationError``, naming the fields.
    """
    require(Right.EDIT_SHELF)
    item = Item(kind=kind, nature=USUAL_NATURE[kind])
    for field, value in facts.items():
        setattr(item, field, value)
    _name_latex(item)
    item.code = item.code or slugify(item.name)[:80]
    if item.code.startswith(KIT_PREFIX):
        raise ValidationError(
            {"name": "Codes starting with “kit-” are reserved for kits. Choose another name."}
        )
    return _save_row(item)


def change_item(item: Item, **facts: object) -> Item:
    """Change fields of an item; kind and code stay, since quotes and holds know it by them."""
    require(Right.EDIT_SHELF)
    for field, value in facts.items():
        if field in {"kind", "code", "nature"}:
            raise ValueError(f"{field} of an item never changes: retire it and add another.")
        setattr(item, field, value)
    if COSTS & facts.keys():
        item.cost_is_usual = False
    return _save_row(item)


def retire_item(item: Item) -> None:
    """Take an item out of use; its history stays."""
    require(Right.EDIT_SHELF)
    Item.objects.filter(pk=item.pk, retired_at=None).update(retired_at=timezone.now())


def restore_item(item: Item) -> None:
    """Use a retired item again."""
    require(Right.EDIT_SHELF)
    Item.objects.filter(pk=item.pk).update(retired_at=None)


def _name_latex(item: Item) -> None:
    if item.colour is None:
        return
    if item.kind == Kind.LATEX and item.size_in:
        item.code = latex_code(item.size_in, item.colour.code)
    elif item.kind == Kind.TWISTING:
        item.code = twisting_code(item.colour.code)
    item.name = item.name or latex_name(item)


def _set_hex(colour: Colour, hex_value: str) -> Colour:
    colour.hex = hex_value.upper()
    try:
        colour.lightness, colour.a, colour.b = lab_of(colour.hex)
    except ValueError:
        colour.lightness = colour.a = colour.b = 0.0  # the check of the row names the fault
    return colour


def _save_row(row: Row) -> Row:
    """Save it; the database is asked once, and only where it refuses are its rules asked for one by one, for words."""
    row.full_clean(validate_constraints=False)
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError:
        _refuse_duplicate(row)
        row.validate_constraints()
        raise
    return row


def _refuse_duplicate(row: Colour | Item) -> None:
    if type(row)._default_manager.filter(code=row.code).exclude(pk=row.pk).exists():
        field = "colour" if isinstance(row, Item) and row.kind in {Kind.LATEX, Kind.TWISTING} else "name"
        raise ValidationError({field: f"{row.name} already exists, with the code {row.code}."})
