"""Setting up the shelf: what was ticked is added in one transaction, and what is there already stays as it is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final

from django.core.exceptions import ValidationError
from django.db import transaction

from stock.catalogue import items as catalogue
from stock.catalogue.items import Material
from stock.first_shelf import usual
from stock.first_shelf.usual import UsualColour, UsualSize, UsualThing
from stock.ledger import movements
from stock.models import Colour, Item, Kind, Nature
from studio.models import Studio, entered_studio
from studio.tenancy.access import require
from studio.tenancy.rights import Right


@dataclass(frozen=True)
class Owned:
    """What a studio says that it has. Counts by code; colours and sizes as the usual lists name them."""

    things: Mapping[str, int] = field(default_factory=dict)
    colours: tuple[str, ...] = ()
    sizes: tuple[int, ...] = ()
    bags: int = 0
    """Bags of each colour and size that are there."""
    cover_colours: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SetUp:
    """What came of it."""

    added: int
    known: int


def set_up(owned: Owned) -> SetUp:
    """Add what was ticked, with usual costs that are marked as such. Twice adds nothing a second time.

    Raises ``ValidationError`` where nothing was ticked.
    """
    require(Right.EDIT_SHELF)
    with transaction.atomic():
        studio = entered_studio()
        known = set(Item.objects.values_list("code", flat=True))
        wanted = [*_things(owned, studio), *_covers(owned, studio), *_latex(owned, studio)]
        if not wanted:
            raise ValidationError("Tick what you have, then add it.")
        new = [each for each in wanted if each.item.code not in known]
        for each in new:
            catalogue.add_item(kind=Kind(each.item.kind), cost_is_usual=True, **_facts(each))
        movements.open_with([Material(each.item.code, each.there) for each in new if each.there])
    return SetUp(len(new), len(wanted) - len(new))


def unchecked_costs() -> list[Item]:
    """Items in use whose cost is a usual one that nobody has checked. One query."""
    require(Right.SEE_COSTS)
    items = Item.objects.filter(retired_at=None, cost_is_usual=True).select_related("colour")
    return list(items.order_by("kind", "name"))


def check_costs(costs: Mapping[int, Decimal]) -> int:
    """Keep the costs of these items, by id, as checked; returns how many there were."""
    require(Right.SEE_COSTS)
    with transaction.atomic():
        usual_ones = Item.objects.select_for_update().filter(pk__in=costs, cost_is_usual=True)
        found = list(usual_ones.order_by("pk"))
        for item in found:
            catalogue.change_item(item, **{catalogue.cost_field(item): costs[item.pk]})
    return len(found)


# Private


@dataclass(frozen=True, slots=True)
class _Wanted:
    item: Item
    there: int
    frame: str = ""
    """Code of the frame that a cover fits."""


FACTS: Final = (
    "code", "name", "nature", "colour", "size_in", "bag_size", "bag_price", "unit_cost", "expected_uses",
    "turnaround_hours", "outline", "weight_kg",
)  # fmt: skip


def _facts(wanted: _Wanted) -> dict[str, object]:
    fits = Item.objects.get(code=wanted.frame) if wanted.frame else None
    return {"fits_frame": fits, **{name: getattr(wanted.item, name) for name in FACTS}}


def _things(owned: Owned, studio: Studio) -> list[_Wanted]:
    return [
        _Wanted(_thing(thing, studio), owned.things[thing.code])
        for thing in usual.things()
        if thing.code in owned.things
    ]


def _thing(thing: UsualThing, studio: Studio) -> Item:
    cost = usual.in_currency(thing.cost, studio)
    return Item(
        kind=thing.kind,
        nature=Nature.CONSUMABLE if thing.bag else Nature.REUSABLE,
        code=thing.code,
        name=thing.named(studio.units),
        unit_cost=None if thing.bag else cost,
        bag_size=thing.bag,
        bag_price=cost if thing.bag else None,
        expected_uses=thing.uses,
        outline=thing.outline,
        weight_kg=thing.weight_kg,
    )


def _covers(owned: Owned, studio: Studio) -> list[_Wanted]:
    """A cover in each of these colours for each frame that takes one; none is there yet where the frame isn't."""
    frames = [each for each in usual.things() if each.code in owned.things and each.cover_cost is not None]
    colours = [_colour(code) for code in owned.cover_colours] if frames else []
    return [
        _Wanted(_cover(frame, colour, studio), min(1, owned.things[frame.code]), frame.code)
        for frame in frames
        for colour in colours
    ]


def _cover(frame: UsualThing, colour: Colour, studio: Studio) -> Item:
    assert frame.cover_cost is not None
    name, word = frame.named(studio.units), "Cloth" if frame.code.startswith("table") else "Cover"
    return Item(
        kind=Kind.COVER, nature=Nature.REUSABLE, colour=colour,
        code=f"{word.lower()}-{frame.code.removeprefix('frame-')}-{colour.code}",
        name=f"{word} for {name[:1].lower()}{name[1:]}, {colour.name}",
        unit_cost=usual.in_currency(frame.cover_cost, studio),
        expected_uses=usual.COVER_USES, turnaround_hours=usual.COVER_HOURS,
    )  # fmt: skip


def _latex(owned: Owned, studio: Studio) -> list[_Wanted]:
    """Rounds of each size in each colour; and 260s, which serve as string."""
    sizes = [size for size in usual.SIZES if size.size_in in owned.sizes]
    if not sizes:
        return []
    colours = [_colour(code) for code in owned.colours]
    rounds = [_round(size, colour, owned.bags, studio) for colour in colours for size in sizes]
    return rounds + [_string(colour, owned.bags, studio) for colour in colours]


def _round(size: UsualSize, colour: Colour, bags: int, studio: Studio) -> _Wanted:
    price = usual.in_currency(size.price, studio)
    item = Item(
        kind=Kind.LATEX, nature=Nature.CONSUMABLE, colour=colour, size_in=size.size_in, bag_size=size.bag,
        bag_price=price, code=catalogue.latex_code(size.size_in, colour.code),
    )  # fmt: skip
    return _Wanted(item, bags * size.bag)


def _string(colour: Colour, bags: int, studio: Studio) -> _Wanted:
    bag = usual.TWISTING_BAG
    item = Item(
        kind=Kind.TWISTING, nature=Nature.CONSUMABLE, colour=colour, bag_size=bag.bag,
        bag_price=usual.in_currency(bag.price, studio), code=catalogue.twisting_code(colour.code),
    )  # fmt: skip
    return _Wanted(item, bags * bag.bag)


def _colour(code: str) -> Colour:
    """The colour of this code, added if it is new."""
    usual_colour: UsualColour = next(each for each in usual.COLOURS if each.code == code)
    known = Colour.objects.filter(code=code).first()
    return known or catalogue.add_colour(
        code=code, name=usual_colour.name, hex=usual_colour.hex, finish=usual_colour.finish
    )
