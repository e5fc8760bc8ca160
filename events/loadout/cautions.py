"""Cautions for whoever works on an event: the usual ones, by what it has. Local codes come first."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from events.loadout.standard_kit import LADDER_FROM_M
from events.models import Event, Setting

CHOKING: Final = (
    "Uninflated and broken balloons are a choking hazard for children under eight: pick up every piece. "
    "Never release balloons; keep foil away from power lines."
)
LATEX: Final = "Natural latex can cause allergy: ask before you inflate near people."
FABRIC: Final = (
    "Fabric hangs clear of flames, heaters and exits; have the flame-test papers with you. "
    "The fire marshal decides."
)
LADDER: Final = (
    "Ladder: firm level ground, somebody at its foot, three points of contact; never the top step. Two lift what is "
    "long or heavy."
)
WIND: Final = (
    "Outdoors: ballast on every free-standing frame before anything hangs on it, and down it comes when the wind "
    "gets up. Figures here are estimates; the site's rules and a licensed engineer decide."
)
FIRST: Final = "Local codes, the house's rules and licensed practice come before anything on this sheet."


def of(event: Event, bill: Iterable[tuple[str, str]]) -> tuple[str, ...]:
    """The cautions that an event's place, height and bill of (code, group) ask for."""
    groups = {group for _, group in bill}
    codes = [code for code, _ in bill]
    found = []
    if any(code.startswith("latex-") for code in codes):
        found += [CHOKING, LATEX]
    if "covers" in groups or any(code.startswith("cover") for code in codes):
        found.append(FABRIC)
    if event.height_m and event.height_m > LADDER_FROM_M:
        found.append(LADDER)
    if event.venue and event.venue.setting != Setting.INDOOR:
        found.append(WIND)
    return (*found, FIRST)
