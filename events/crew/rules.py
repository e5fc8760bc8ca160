"""The studio's rules for work and rest: read, and changed by the owner."""

from __future__ import annotations

from events.models import WorkRules
from studio.tenancy.access import require
from studio.tenancy.rights import Right


def studio_rules() -> WorkRules:
    """The studio's rules, or the usual ones where it has set none."""
    return WorkRules.objects.first() or WorkRules()


def change_rules(**facts: object) -> WorkRules:
    """Set the rules. Raises ``ValidationError``, naming the fields."""
    require(Right.EDIT_STUDIO)
    rules = WorkRules.objects.select_for_update().first() or WorkRules()
    for field, value in facts.items():
        setattr(rules, field, value)
    rules.full_clean()
    rules.save()
    return rules
