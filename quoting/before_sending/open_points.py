"""What is still open about a quote's price when it is to be offered.

A line without a cost, hours that cost nothing, no tax, a margin below the studio's floor, an instalment whose day has
come: an offer with any of these goes out only once it is settled, or on the owner's word.
"""

from __future__ import annotations

import enum
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.utils import timezone

from quoting.pricing import instalments
from quoting.pricing.tape import Inside
from quoting.quotes import options
from quoting.quotes.sheet import Sheet
from studio.tenancy.access import require
from studio.tenancy.rights import Right


class Matter(enum.StrEnum):
    """What an open point is about."""

    COST = "cost"
    DELIVERY = "delivery"
    HOURS = "hours"
    TAX = "tax"
    MARGIN = "margin"
    INSTALMENT = "instalment"


RATE_OF = {"prep": "prep_hour", "install": "install_hour", "strike": "strike_hour", "drive": "drive_hour"}
"""Which rate of the studio pays for which hours."""


@dataclass(frozen=True, slots=True)
class OpenPoint:
    """One thing that is open. ``code`` names it among its kind: an item, a phase of the work, a day."""

    matter: Matter
    code: str = ""
    label: str = ""
    """What the bill calls the item."""
    percent: Decimal | None = None
    """The margin as it is."""
    floor: Decimal | None = None
    """The smallest margin that the studio wants."""
    due_on: date | None = None

    @property
    def key(self) -> str:
        """Names the point, with the figure that somebody gives their word for."""
        figure = "" if self.percent is None else f"{self.percent:.2f}"
        return f"{self.matter}:{self.code}{figure}"


@dataclass(frozen=True, slots=True)
class Word:
    """The owner's word that an offer goes out although these points are open, and why."""

    keys: frozenset[str] = frozenset()
    reason: str = ""


NO_WORD = Word()


class NotSettled(ValidationError):
    """The offer has open points that nobody has answered for; ``points`` are they."""

    def __init__(self, points: tuple[OpenPoint, ...]) -> None:
        count = "One point is" if len(points) == 1 else f"{len(points)} points are"
        super().__init__(f"Not sent yet: {count} open.")
        self.points = points


class WordWithoutReason(ValidationError):
    """The owner's word lacks its reason."""


def find_open_points(read: Sheet) -> tuple[OpenPoint, ...]:
    """What is open about the price of a quote, in the order in which it is best settled. No query of its own."""
    return (
        *_without_cost(read),
        *_without_delivery(read),
        *_unpaid_hours(read),
        *_without_tax(read),
        *_thin_margin(read),
        *_due_instalments(read),
    )


def find_points_of_all(reads: Sequence[Sheet]) -> tuple[OpenPoint, ...]:
    """The open points of all versions of a quote, each thing once; of the margins the smallest."""
    found: dict[tuple[Matter, str], OpenPoint] = {}
    for read in reads:
        for point in find_open_points(read):
            known = found.setdefault((point.matter, point.code), point)
            if (point.percent or 0) < (known.percent or 0):
                found[point.matter, point.code] = point
    order = list(Matter)
    return tuple(sorted(found.values(), key=lambda point: order.index(point.matter)))


def answer_for(reads: Sequence[Sheet], word: Word) -> tuple[OpenPoint, ...]:
    """The open points of all versions that the owner's word covers; raises :class:`NotSettled` where any isn't covered.

    Raises :class:`WordWithoutReason` too.
    """
    found = find_points_of_all(reads)
    left = tuple(point for point in found if point.key not in word.keys)
    if left:
        raise NotSettled(left)
    if found:
        require(Right.VOUCH)
        if not word.reason.strip():
            raise WordWithoutReason("Enter why it goes out like this.")
    return found


# Private


def _without_cost(read: Sheet) -> Iterator[OpenPoint]:
    by_hand = {(line.piece, line.part) for line in read.whole_tape.lines if line.built is not None}
    charged = {quoted.line.code for quoted in read.bill if (quoted.place, quoted.line.part) not in by_hand}
    for code in read.unpriced_codes:
        if code in charged:
            yield OpenPoint(Matter.COST, code, read.labels[code])


def _without_delivery(read: Sheet) -> Iterator[OpenPoint]:
    """Nobody said how far the venue is, or the studio's delivery prices don't reach as far."""
    if read.lacks_delivery:
        yield OpenPoint(Matter.DELIVERY, "beyond" if read.quote.distance_m else "unknown")


def _unpaid_hours(read: Sheet) -> Iterator[OpenPoint]:
    """Phases of the work, and the drive, that take time and cost nothing."""
    hands = {line.part for line in read.whole_tape.lines if line.built is not None}
    phases = [(phase, "hands") for phase in ("prep", "install", "strike") if getattr(read.work, phase)]
    if read.pieces and read.quote.drive_minutes and read.quote.trips:
        phases.append(("drive", "van"))
    for phase, part in phases:
        if part not in hands and not getattr(read.rates, RATE_OF[phase]):
            yield OpenPoint(Matter.HOURS, phase)


def _without_tax(read: Sheet) -> Iterator[OpenPoint]:
    if not any(tax.is_default for tax in read.taxes):
        yield OpenPoint(Matter.TAX)


def _thin_margin(read: Sheet) -> Iterator[OpenPoint]:
    """The smallest margin of all that the client can choose, where it is below the floor."""
    margins = [inside.margin_percent for inside in _insides(read)]
    floor = read.rates.margin_floor_percent
    if margins and min(margins) < floor:
        yield OpenPoint(Matter.MARGIN, percent=min(margins), floor=floor)


def _insides(read: Sheet) -> Iterator[Inside]:
    for chosen in options.every_choice(read.options) if read.options else [frozenset()]:
        if options.is_empty(read.with_choice(chosen)):
            continue
        inside = read.tape_with(chosen).inside
        if inside is not None:
            yield inside


def _due_instalments(read: Sheet) -> Iterator[OpenPoint]:
    today = timezone.now().astimezone(read.studio.tz).date()
    for one in instalments.read(read.quote.instalments):
        if one.due_on <= today:
            yield OpenPoint(Matter.INSTALMENT, one.due_on.isoformat(), due_on=one.due_on)
