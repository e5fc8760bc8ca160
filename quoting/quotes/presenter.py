"""A quote's figures as pages write them."""

from __future__ import annotations

from quoting.models import Quote
from studio.models import Studio
from studio.money import amounts


def total_words(quote: Quote, studio: Studio) -> str:
    """The total as last priced, with its currency; empty while nothing was priced."""
    if quote.priced_total is None:
        return ""
    return amounts.written(quote.priced_total, studio.currency, studio.locale)
