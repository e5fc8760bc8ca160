"""What a client reads of a price: one price per piece, by group, or line by line.

Pure arithmetic. The offer's page, its PDF, its e-mail and the invoice all read the lines that are made here, so that
they can't differ. Lines are put together, never priced anew: their sum is the sum of the lines behind them, to the
smallest coin. Where the studio rounds, each price goes up to the next multiple of its step; what somebody set
themselves (a free line, a price by hand, a delivery band) and a discount stay as they are.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final, Protocol

from django.utils.translation import gettext_lazy

from quoting.models import ClientView
from studio.measures.languages import inside
from studio.models.spelling import spelled_lazy
from studio.money import amounts

OWN: Final = ("free", "discount")
"""Parts that are lines of their own however little the client sees."""
WHOLE: Final = {
    "hands": spelled_lazy(gettext_lazy("Labor")),
    "van": gettext_lazy("Delivery"),
    "rush": gettext_lazy("Rush"),
    "minimum": gettext_lazy("Minimum order"),
    "discount": gettext_lazy("Discount"),
}
"""Parts that belong to the whole quote rather than to a piece, and what a client reads."""
GROUPS: Final = {
    "florals": gettext_lazy("Florals"), "frames": gettext_lazy("Frames and covers"), "props": gettext_lazy("Props"),
}  # fmt: skip
MATERIALS: Final = gettext_lazy("Materials")
COUNTED: Final = {"garland": gettext_lazy("Garland"), "foils": gettext_lazy("Foil balloons")}
"""Parts whose words count balloons, and what is said without counting."""
SHARED: Final = {
    ClientView.PIECE: frozenset({"hands", "rush", "minimum"}),
    ClientView.GROUP: frozenset({"minimum"}),
    ClientView.FULL: frozenset[str](),
}
"""Parts that go into the others, in proportion."""


class PricedLine(Protocol):
    """A line of the tape, as far as it matters here."""

    @property
    def label(self) -> str: ...
    @property
    def detail(self) -> str: ...
    @property
    def amount(self) -> Decimal: ...
    @property
    def part(self) -> str: ...
    @property
    def piece(self) -> int: ...
    @property
    def is_set(self) -> bool: ...


@dataclass(frozen=True, slots=True)
class Shown:
    """How much the client sees, and the names of the set pieces by their place."""

    view: ClientView
    counts: bool = False
    hours: bool = False
    names: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ClientLine:
    """A line as the client reads it. ``is_set``: somebody set its price, so it isn't rounded."""

    label: str
    detail: str
    amount: Decimal
    is_set: bool = False


def client_lines(lines: Sequence[PricedLine], shown: Shown, currency: str) -> tuple[ClientLine, ...]:
    """The lines as the client reads them; they add up to the same sum."""
    shared = [line for line in lines if line.part in SHARED[shown.view]]
    groups: dict[object, list[PricedLine]] = {}
    for place, line in enumerate(lines):
        if line.part not in SHARED[shown.view]:
            groups.setdefault(_group(line, place, shown.view), []).append(line)
    if shared and not any(map(_takes_shares, groups.values())):
        groups |= {("whole", line.part, place): [line] for place, line in enumerate(shared)}
        shared = []
    made = [_together(group, shown) for group in groups.values()]
    return tuple(_with_shares(made, list(groups.values()), shared, currency))


def rounded_up(lines: Sequence[ClientLine], step: Decimal) -> tuple[ClientLine, ...]:
    """Each price brought up to the next multiple of ``step``; nothing becomes less.

    >>> [str(one.amount) for one in rounded_up([ClientLine("Arch", "", Decimal("481.20"))], Decimal(5))]
    ['485.00']
    """
    if step <= 0 or sum(line.amount for line in lines) <= 0:
        return tuple(lines)
    return tuple(
        line
        if line.is_set or line.amount <= 0
        else replace(line, amount=line.amount + missing_to(line.amount, step))
        for line in lines
    )


def missing_to(amount: Decimal, step: Decimal) -> Decimal:
    """What brings an amount up to the next multiple of ``step``; the remainder of a decimal has its sign, so twice.

    >>> str(missing_to(Decimal("61.20"), Decimal(5))), str(missing_to(Decimal(60), Decimal(5)))
    ('3.80', '0')
    """
    return (step - amount % step) % step


# Private


def _group(line: PricedLine, place: int, view: ClientView) -> object:
    """Lines of one key are read as one."""
    if view == ClientView.FULL or line.part == "free":
        return place
    if line.part in WHOLE:
        return line.part
    return line.piece if view == ClientView.PIECE else f"group {GROUPS.get(line.part, MATERIALS)}"


def _takes_shares(group: Sequence[PricedLine]) -> bool:
    """Whether it is of pieces, so that what belongs to the whole goes into it."""
    return all(line.part not in WHOLE and line.part not in OWN for line in group)


def _together(group: Sequence[PricedLine], shown: Shown) -> ClientLine:
    label, detail = _words(group[0], shown)
    amount = sum((line.amount for line in group), Decimal(0))
    return ClientLine(label, detail, amount, all(line.is_set for line in group))


def _words(line: PricedLine, shown: Shown) -> tuple[str, str]:
    if line.part == "free":
        return line.label, line.detail
    if shown.view == ClientView.PIECE and line.part not in WHOLE:
        return shown.names[line.piece], ""
    if shown.view == ClientView.GROUP and line.part not in WHOLE:
        return str(GROUPS.get(line.part, MATERIALS)), ""
    if line.part in WHOLE:
        hides = line.part == "hands" and not shown.hours
        full = shown.view == ClientView.FULL and not hides
        return str(WHOLE[line.part]), line.detail if full or line.part in (
            "discount",
            "rush",
        ) else ""
    return (line.label, line.detail) if shown.counts else _uncounted(line, shown)


def _uncounted(line: PricedLine, shown: Shown) -> tuple[str, str]:
    """Label and detail of a piece's part without the number of its balloons."""
    if line.part not in COUNTED:
        return line.label, line.detail
    said = str(COUNTED[line.part])
    if len(shown.names) > 1:
        said = f"{shown.names[line.piece]}: {inside(said)}"
    return said, ""


def _with_shares(
    made: Sequence[ClientLine],
    groups: Sequence[Sequence[PricedLine]],
    shared: Sequence[PricedLine],
    currency: str,
) -> list[ClientLine]:
    """The lines with what is shared out over those of pieces, in proportion to what they come to."""
    takers = [place for place, group in enumerate(groups) if _takes_shares(group)]
    whole = sum((line.amount for line in shared), Decimal(0))
    if not whole:
        return list(made)
    parts = amounts.split(whole, [made[place].amount for place in takers], currency)
    given = dict(zip(takers, parts, strict=True))
    return [
        replace(line, amount=line.amount + given[place], is_set=False) if place in given else line
        for place, line in enumerate(made)
    ]
