"""Suppliers and their prices: add, change, retire."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from stock.models import Item, Supplier, SupplierPrice
from studio.tenancy.access import require
from studio.tenancy.rights import Right


def add_supplier(**facts: object) -> Supplier:
    """Add a supplier; ``facts`` are fields of :class:`~stock.models.Supplier`. Raises ``ValidationError``."""
    require_buying()
    return change_supplier(Supplier(), **facts)


def change_supplier(supplier: Supplier, **facts: object) -> Supplier:
    """Change a supplier. Raises ``ValidationError``."""
    require_buying()
    for field, value in facts.items():
        setattr(supplier, field, value)
    return _save_supplier(supplier)


def retire_supplier(supplier: Supplier) -> None:
    """Stop using a supplier; its orders stay."""
    require_buying()
    Supplier.objects.filter(pk=supplier.pk, retired_at=None).update(retired_at=timezone.now())


def restore_supplier(supplier: Supplier) -> None:
    """Use a supplier again."""
    require_buying()
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
    """Set the supplier's price for a bag of the item, from a number of bags on; it replaces the earlier price.
    Raises ``ValidationError``.
    """
    require_buying()
    found = SupplierPrice.objects.filter(
        supplier=supplier, item=item, bag_size=bag_size, from_bags=from_bags
    ).first() or SupplierPrice(supplier=supplier, item=item, bag_size=bag_size, from_bags=from_bags)
    found.price = price
    found.their_code = their_code or found.their_code
    found.full_clean()
    found.save()
    return found


def add_prices(supplier: Supplier, prices: Iterable[SupplierPrice]) -> None:
    """Add the first prices of a supplier, not saved yet, in one statement. Raises ``ValidationError`` for a figure that
    is no price's; the database refuses a second price of the same."""
    require_buying()
    rows = list(prices)
    for row in rows:
        row.supplier = supplier
        row.clean_fields(exclude=["supplier", "item", "studio"])
    SupplierPrice.objects.bulk_create(rows)


def remove_price(price: SupplierPrice) -> None:
    """Remove a price."""
    require_buying()
    price.delete()


def require_buying() -> None:
    """Refuse whoever may not buy."""
    require(Right.EDIT_SHELF)
    require(Right.SEE_COSTS)


def _save_supplier(supplier: Supplier) -> Supplier:
    supplier.full_clean(validate_constraints=False)
    taken = Supplier.objects.filter(name__iexact=supplier.name).exclude(pk=supplier.pk)
    if taken.exists():
        raise ValidationError({"name": f"There is already a supplier called {supplier.name}."})
    try:
        with transaction.atomic():
            supplier.validate_constraints()
            supplier.save()
    except IntegrityError:
        if taken.exists():
            raise ValidationError({"name": "There is already a supplier of that name."}) from None
        raise
    return supplier
