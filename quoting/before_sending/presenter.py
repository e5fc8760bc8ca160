"""Open points in words: each with what it means, for the page and for the offer's history."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from django.utils.text import capfirst, get_text_list

from quoting.before_sending.open_points import Matter, OpenPoint
from studio.models.dates import day_written

HEADS: Final = {
    Matter.COST: "Without a cost",
    Matter.DELIVERY: "Without delivery",
    Matter.HOURS: "Hours that cost nothing",
    Matter.TAX: "No tax",
    Matter.MARGIN: "A thin margin",
    Matter.INSTALMENT: "Instalments that are due already",
}
STANDS: Final = {
    Matter.COST: "Send it without these costs",
    Matter.DELIVERY: "Send it without a price for delivery",
    Matter.HOURS: "Send it with these hours at nothing",
    Matter.TAX: "Send it without tax",
    Matter.MARGIN: "Send it at this margin",
    Matter.INSTALMENT: "Send it with these days",
}
DELIVERY: Final = {
    "unknown": "Nobody has said how far the venue is, so the price has no delivery in it.",
    "beyond": "The venue is farther than your delivery prices reach, so the price has no delivery in it.",
}
HOURS: Final = {"prep": "prep", "install": "install", "strike": "strike", "drive": "driving"}


@dataclass(frozen=True, slots=True)
class Group:
    """The open points of one matter."""

    matter: Matter
    head: str
    words: str
    points: tuple[OpenPoint, ...]

    @property
    def stands(self) -> str:
        """What the owner ticks to send it all the same."""
        return STANDS[self.matter]


def groups(points: Sequence[OpenPoint], *, sees_margin: bool) -> list[Group]:
    """The points by matter, each with one sentence; the margin itself only for who may see it."""
    by_matter: dict[Matter, list[OpenPoint]] = {}
    for point in points:
        by_matter.setdefault(point.matter, []).append(point)
    return [
        Group(matter, HEADS[matter], _words(matter, found, sees_margin=sees_margin), tuple(found))
        for matter, found in by_matter.items()
    ]


def vouched_words(points: Sequence[OpenPoint], reason: str) -> str:
    """What an offer keeps of the owner's word: a line for each matter, then the reason. Empty without points."""
    if not points:
        return ""
    return "\n".join(
        [*(group.words for group in groups(points, sees_margin=True)), f"Reason: {' '.join(reason.split())}"]
    )


# Private


def _words(matter: Matter, points: Sequence[OpenPoint], *, sees_margin: bool) -> str:
    one = len(points) == 1
    if matter == Matter.COST:
        names = ", ".join(point.label for point in points)
        return f"No cost is known for {names}. The price counts {'it' if one else 'them'} as nothing."
    if matter == Matter.DELIVERY:
        return DELIVERY[points[0].code]
    if matter == Matter.HOURS:
        phases = capfirst(get_text_list([HOURS[point.code] for point in points], "and"))
        return f"{phases} {'has' if one else 'have'} no rate. The price counts these hours as nothing."
    if matter == Matter.TAX:
        return "No tax is set up, so the price has none."
    if matter == Matter.MARGIN:
        return _margin_words(points[0]) if sees_margin else "The margin is below the studio's smallest."
    days = get_text_list([day_written(point.due_on) for point in points if point.due_on], "and")
    return f"{'An instalment is' if one else 'Instalments are'} due on {days}. That day has come already."


def _margin_words(point: OpenPoint) -> str:
    if point.percent is not None and point.percent < 0:
        return f"The price is below your costs: the margin is {point.percent:.1f} %."
    return f"The margin can come to {point.percent:.1f} %. The smallest that you want is {point.floor:.0f} %."
