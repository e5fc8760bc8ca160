"""A set piece as pages show it: its frames, its bill, how evenly its colors lie."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from quoting.craft.air.wind import wind_plan
from quoting.craft.sheets.stored import StoredEvenness, StoredTakeoff
from quoting.set_pieces.worked import in_units
from studio.measures import air
from studio.measures.languages import inside
from studio.models.spelling import spelled


@dataclass(frozen=True, slots=True)
class CountRow:
    """One line of the bill with the sentence that says how it came about."""

    code: str
    label: str
    quantity: int
    why: str
    hex: str = ""


CountGroup = tuple[str, int, list[CountRow]]
"""A part of the piece: its name, how many things it takes, and the lines."""


def frame_words(labels: Sequence[str]) -> str:
    """Frames by name, those of one kind counted: ``arch frame 6 ft × 2``."""
    counted = Counter(inside(label) for label in labels)
    return _(" and ").join(name if count == 1 else f"{name} × {count}" for name, count in counted.items())


def count_groups(takeoff: StoredTakeoff, units: str) -> list[CountGroup]:
    """The bill by part."""
    hexes = {f"latex-{count.size_in}-{count.colour}": count.hex for count in takeoff.counts}
    groups: defaultdict[str, list[CountRow]] = defaultdict(list)
    for line in takeoff.bill:
        why, color = in_units(line.why, units), hexes.get(line.code, "")
        groups[line.part].append(CountRow(line.code, line.label, line.quantity, why, color))
    return [(part.capitalize(), sum(row.quantity for row in rows), rows) for part, rows in groups.items()]


def evenness_words(found: StoredEvenness | None) -> str:
    """How many recipes there are, and how often neighboring balloons are of one color; empty without a choice."""
    if found is None or not found.contacts:
        return ""
    recipes = "1 recipe" if found.recipes == 1 else f"{found.recipes} recipes"
    return f"{recipes}; {_matching_words(found.same_colour, found.contacts)}."


def limit_words(gust_m_s: float, units: str, what: str = "it") -> str:
    """At which gusts somebody watches the wind and takes down what is held for ``gust_m_s``."""
    plan = wind_plan(gust_m_s)
    watched, down = (air.speed_limit(gust, units) for gust in (plan.watch_at, plan.take_down_at))
    return f"Watch the wind from a gust of {watched}. Take {what} down at {down}."


# Private


def _matching_words(matching: int, pairs: int) -> str:
    if not matching:
        return spelled("no neighbors match")
    share = round(pairs / matching)
    return spelled("most neighbors match" if share < 2 else f"neighbors match about 1 in {share}")
