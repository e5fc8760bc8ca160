"""A studio's own rules of the shelf, or the defaults."""

from __future__ import annotations

from typing import Any

from stock.models import ShelfRules
from studio.tenancy.access import require
from studio.tenancy.rights import Right


def rules() -> ShelfRules:
    """The studio's rules; what it never changed is as usual. One query."""
    return ShelfRules.objects.first() or ShelfRules()


def change_rules(**facts: Any) -> ShelfRules:
    """Other rules. Raises ``ValidationError``, naming the fields."""
    require(Right.EDIT_STUDIO)
    found = rules()
    for field, value in facts.items():
        setattr(found, field, value)
    found.full_clean()
    found.save()
    return found
