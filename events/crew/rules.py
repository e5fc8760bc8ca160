"""The studio's rules for work and rest: read, and changed by the owner."""

from __future__ import annotations

from typing import Any

from events.models import WorkRules
from studio.tenancy.access import require
from studio.tenancy.rights import Right


def studio_rules() -> WorkRules:
    """The studio's rules, or the usual ones where it has set none."""
    return WorkRules.objects.first() or WorkRules()


# Columns by name: the row is checked as a whole before it is saved.
def change_rules(**facts: Any) -> WorkRules:
    """Set the rules. Raises ``ValidationError``, naming the fields."""
    require(Right.EDIT_STUDIO)
    rules = WorkRules.objects.select_for_update().first() or WorkRules()
    for field, value in facts.items():
        setattr(rules, field, value)
    rules.full_clean()
    rules.save()
    return rules
