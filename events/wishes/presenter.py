"""A client's wishes as pages show them."""

from __future__ import annotations

from dataclasses import dataclass

from events.models.wishes import Source
from events.wishes.wishes import Wished
from studio.models import Studio
from studio.models.spelling import spelled
from studio.money import amounts


@dataclass(frozen=True, slots=True)
class ShownWish:
    """One wish: what it is of, and what was said."""

    name: str
    said: str


def shown_wishes(wished: Wished, studio: Studio) -> list[ShownWish]:
    """What was said, in the order of a call. Empty where nothing was."""
    budget = (
        amounts.written(wished.budget, studio.currency, studio.locale) if wished.budget is not None else ""
    )
    said = [
        ("Occasion", wished.occasion),
        ("Guests", f"{wished.guests}" if wished.guests else ""),
        (spelled("Colors"), wished.colours),
        ("Budget", budget),
        ("Source", Source(wished.source).label if wished.source else ""),
    ]
    return [ShownWish(name, words) for name, words in said if words]
