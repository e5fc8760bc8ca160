"""Kits: written down, changed, taken apart, and how many whole ones lie on the shelf."""

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
from stock.shelf.presenter import Stand, stands_of
from studio.tenancy.access import require
from studio.tenancy.rights import Right

MOST_PARTS: Final = 40


@dataclass(frozen=True, slots=True)
class KitStand:
    """A kit, its parts as they stand now, and how many whole kits lie on the shelf."""

    kit: Kit
    parts: tuple[tuple[KitPart, Stand], ...]

    @property
    def whole(self) -> int:
        """Kits that are complete now."""
        return min((stand.free // part.quantity for part, stand in self.parts), default=0)

    @property
    def scarcest(self) -> Stand | None:
        """The part that there are fewest kits of."""
        if not self.parts:
            return None
        return min(self.parts, key=lambda pair: pair[1].free // pair[0].quantity)[1]


def kits() -> list[KitStand]:
    """All kits by name. Four queries."""
    require(Right.SEE_SHELF)
    return _standing(_with_parts())


def find(kit_id: int) -> KitStand:
    """One kit; 404 for one that this studio hasn't."""
    require(Right.SEE_SHELF)
    found = _standing([kit for kit in _with_parts() if kit.pk == kit_id])
    if not found:
        raise Http404("There is no such kit.")
    return found[0]


def keep(kit: Kit | None, *, name: str, note: str, parts: Mapping[int, int]) -> Kit:
    """Write down a kit, or change it: ``parts`` is how many of each item, by id. Raises ``ValidationError``."""
    require(Right.EDIT_SHELF)
    if not 1 <= len(parts) <= MOST_PARTS:
        raise ValidationError(f"A kit has 1 to {MOST_PARTS} parts.")
    if any(not 1 <= quantity <= MAX_QUANTITY for quantity in parts.values()):
        raise ValidationError("At least one of each part.")
    if len(Item.objects.filter(pk__in=parts)) != len(parts):
        raise ValidationError("One of the parts isn’t on this shelf.")
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


def take_apart(kit: Kit) -> None:
    """Forget the kit; its parts stay what they are, and what holds them stays as it is."""
    require(Right.EDIT_SHELF)
    kit.delete()


# --- Private ---


def _with_parts() -> list[Kit]:
    parts = Prefetch("parts", KitPart.objects.select_related("item__colour"))
    return list(Kit.objects.prefetch_related(parts).order_by("name", "pk"))


def _standing(found: Sequence[Kit]) -> list[KitStand]:
    items = {part.item_id: part.item for kit in found for part in kit.parts.all()}
    stands = {stand.item.pk: stand for stand in stands_of(list(items.values()))}
    return [KitStand(kit, tuple((part, stands[part.item_id]) for part in kit.parts.all())) for kit in found]
