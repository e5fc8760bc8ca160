"""The taxes of a studio: kept, made the default, retired. A rate that was used is never changed in place."""

from __future__ import annotations

from decimal import Decimal

from django.db import transaction
from django.http import Http404
from django.utils import timezone

from studio.models import TaxRate
from studio.tenancy.access import require
from studio.tenancy.rights import Right


def add_tax(*, name: str, percent: Decimal, is_default: bool) -> TaxRate:
    """A new tax; if it is the default, the one before no longer is. The first one always is."""
    require(Right.EDIT_STUDIO)
    with transaction.atomic():
        standing = TaxRate.objects.select_for_update().filter(retired_at=None)
        first = not standing.exists()
        if is_default or first:
            standing.filter(is_default=True).update(is_default=False)
        return TaxRate.objects.create(name=name, percent=percent, is_default=is_default or first)


def retire_tax(tax_id: int) -> None:
    """Take a tax out of use; what was offered with it keeps it. Raises ``Http404`` for an unknown one."""
    require(Right.EDIT_STUDIO)
    if not TaxRate.objects.filter(pk=tax_id).update(retired_at=timezone.now(), is_default=False):
        raise Http404


def taxes() -> list[TaxRate]:
    """The taxes in use, the default first."""
    return list(TaxRate.objects.filter(retired_at=None))
