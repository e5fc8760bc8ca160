"""A quote's figures as pages write them."""

from __future__ import annotations

from decimal import Decimal

from studio.models import Studio
from studio.money import amounts


def total_words(total: Decimal | None, studio: Studio) -> str:
    """The total as last priced, with its currency; empty while nothing was priced."""
    return "" if total is None else amounts.written(total, studio.currency, studio.locale)
