"""Suppliers, and what they ask: added, changed, retired."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import QuerySet
from django.utils import timezone

from stock.models import Item, Supplier, SupplierPrice
from studio.tenancy.access import require
from studio.tenancy.rights import Right


def in_use() -> QuerySet[Supplier]:
    """The suppliers that the studio buys from."""
    require(Right.SEE_COSTS)
    return Supplier.objects.filter(retired_at=None)


def add_supplier(**facts: Any) -> Supplier:
    """A new supplier; ``facts`` are fields of :class:`~stock.models.Supplier`. Raises ``ValidationError``."""
    _may_buy()
    return _kept(Supplier(**facts))


def change_supplier(supplier: Supplier, **facts: Any) -> Supplier:
    """Other facts about a supplier. Raises ``ValidationError``."""
    _may_buy()
    for field, value in facts.items():
        setattr(supplier, field, value)
    return _kept(supplier)


def retire(supplier: Supplier) -> None:
    """Buy there no more; what was bought stays written."""
    _may_buy()
    Supplier.objects.filter(pk=supplier.pk, retired_at=None).update(retired_at=timezone.now())


def bring_back(supplier: Supplier) -> None:
    """Buy there again."""
    _may_buy()
    Supplier.objects.filter(pk=supplier.pk).update(retired_at=None)


def set_price(
    supplier: Supplier,
    item: Item,
    *,
    bag_size: int,
    price: Decimal,
    from_bags: int = 1,
    their_code: str = "",
) -> SupplierPrice:
    """What the supplier asks for a bag of the item, from so many bags on; another price for the same takes
    its place. Raises ``ValidationError``."""
    _may_buy()
    found = SupplierPrice.objects.filter(
        supplier=supplier, item=item, bag_size=bag_size, from_bags=from_bags
    ).first() or SupplierPrice(supplier=supplier, item=item, bag_size=bag_size, from_bags=from_bags)
    found.price = price
    found.their_code = their_code or found.their_code
    found.full_clean()
    found.save()
    return found


def remove_price(price: SupplierPrice) -> None:
    """The supplier no longer has it."""
    _may_buy()
    price.delete()


def _may_buy() -> None:
    require(Right.EDIT_SHELF)
    require(Right.SEE_COSTS)


def _kept(supplier: Supplier) -> Supplier:
    supplier.full_clean(validate_constraints=False)
    taken = Supplier.objects.filter(name__iexact=supplier.name).exclude(pk=supplier.pk)
    if taken.exists():
        raise ValidationError({"name": f"There is a supplier called {supplier.name} already."})
    try:
        with transaction.atomic():
            supplier.validate_constraints()
            supplier.save()
    except IntegrityError:
        if taken.exists():
            raise ValidationError({"name": "There is a supplier of that name already."}) from None
        raise
    return supplier
