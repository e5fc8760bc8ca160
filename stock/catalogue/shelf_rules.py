"""The studio's stock rules: shelf life of latex, service level, weeks to look back."""

from __future__ import annotations

from stock.models import ShelfRules
from studio.tenancy.access import require
from studio.tenancy.rights import Right


def find_rules() -> ShelfRules:
    """The studio's rules, or the defaults. One query."""
    return ShelfRules.objects.first() or ShelfRules()


def change_rules(**facts: object) -> ShelfRules:
    """Change the rules. Raises ``ValidationError``, naming the fields."""
    require(Right.EDIT_STUDIO)
    found = find_rules()
    for field, value in facts.items():
        setattr(found, field, value)
    found.full_clean()
    found.save()
    return found
