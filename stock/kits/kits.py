"""Kits: save and delete them, and how many are complete on the shelf."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import Prefetch
from django.http import Http404
from django.utils.text import slugify

from stock.catalogue.items import KIT_PREFIX, MAX_QUANTITY
from stock.models import Item, Kit, KitPart
from stock.shelf.stock_levels import StockLevel, stock_levels
from studio.tenancy.access import require
from studio.tenancy.rights import Right

MOST_PARTS: Final = 40


@dataclass(frozen=True, slots=True)
class KitLevel:
    """A kit, the stock levels of its parts, and how many kits are complete."""

    kit: Kit
    parts: tuple[tuple[KitPart, StockLevel], ...]

    @property
    def complete(self) -> int:
        """How many complete kits there are now."""
        return min((level.free // part.quantity for part, level in self.parts), default=0)


def list_kits() -> list[KitLevel]:
    """All kits by name. Four queries."""
    require(Right.SEE_SHELF)
    return _kit_levels(_kits_with_parts())


def find_kit(kit_id: int) -> KitLevel:
    """One kit; 404 for one of another studio."""
    require(Right.SEE_SHELF)
    found = _kit_levels([kit for kit in _kits_with_parts() if kit.pk == kit_id])
    if not found:
        raise Http404("There is no such kit.")
    return found[0]


def save_kit(kit: Kit | None, *, name: str, note: str, parts: Mapping[int, int]) -> Kit:
    """Add or change a kit: ``parts`` is the quantity by item id. Raises ``ValidationError``."""
    require(Right.EDIT_SHELF)
    if not 1 <= len(parts) <= MOST_PARTS:
        raise ValidationError(f"A kit has 1 to {MOST_PARTS} parts.")
    if any(not 1 <= quantity <= MAX_QUANTITY for quantity in parts.values()):
        raise ValidationError("Enter at least one of each part.")
    if len(Item.objects.filter(pk__in=parts)) != len(parts):
        raise ValidationError("One of the parts isn’t among your items.")
    kit = kit or Kit(code=f"{KIT_PREFIX}{slugify(name)}"[:80].rstrip("-"))
    kit.name, kit.note = name, note
    kit.full_clean(validate_constraints=False)
    if Kit.objects.filter(code=kit.code).exclude(pk=kit.pk).exists():
        raise ValidationError({"name": f"There is a kit called {kit.name} already."})
    try:
        with transaction.atomic():
            kit.save()
            kit.parts.all().delete()
            for item_id, quantity in parts.items():
                KitPart.objects.create(kit=kit, item_id=item_id, quantity=quantity)
    except IntegrityError:
        raise ValidationError({"name": f"There is a kit called {kit.name} already."}) from None
    return kit


def delete_kit(kit: Kit) -> None:
    """Delete the kit; its parts and their holds stay."""
    require(Right.EDIT_SHELF)
    kit.delete()


# --- Private ---


def _kits_with_parts() -> list[Kit]:
    parts = Prefetch("parts", KitPart.objects.select_related("item__colour"))
    return list(Kit.objects.prefetch_related(parts).order_by("name", "pk"))


def _kit_levels(found: Sequence[Kit]) -> list[KitLevel]:
    items = {part.item_id: part.item for kit in found for part in kit.parts.all()}
    levels = {level.item.pk: level for level in stock_levels(list(items.values()))}
    return [KitLevel(kit, tuple((part, levels[part.item_id]) for part in kit.parts.all())) for kit in found]
