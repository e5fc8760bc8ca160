"""Which planted change is on. Planted code asks here; what it asks for can be written down."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

TENTH_MORE = 1.1


class Switch:
    """At most one change is on; 0: none."""

    on: int = 0
    asked: set[int] | None = None


def is_changed(number: int) -> bool:
    """Tell planted code whether this change is on."""
    if Switch.asked is not None:
        Switch.asked.add(number)
    return Switch.on == number


def scaled(number: int, value: Any) -> Any:
    """A named figure, a tenth larger or a whole one more where its change is on."""
    if not is_changed(number):
        return value
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal | timedelta):
        return value
    if isinstance(value, Decimal):
        return value * Decimal("1.1")
    return value + 1 if isinstance(value, int) else value * TENTH_MORE
