"""Two versions of a quote side by side: what changed in size, counts and price. Reads frozen documents alone."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Final, TypeVar

from quoting.offers.document import QuoteDocument
from studio.money import amounts as money

NOTHING: Final = Decimal(0)
MINUS: Final = "−"
Key = TypeVar("Key")
NUMBER: Final = re.compile(r"\d+")


@dataclass(frozen=True, slots=True)
class Change:
    """One thing in both versions, as written; empty where a version doesn't have it."""

    label: str
    before: str
    after: str
    difference: str
    """With its sign; empty where nothing changed."""

    @property
    def is_same(self) -> bool:
        """Whether both versions say the same."""
        return self.before == self.after


@dataclass(frozen=True, slots=True)
class Comparison:
    """What two versions of a quote differ in, and what both have."""

    price: tuple[Change, ...]
    total: Change
    counts: tuple[Change, ...]
    facts: tuple[Change, ...]
    """Of each set piece: its size, balloons, frames in words."""


def compared(before: QuoteDocument, after: QuoteDocument) -> Comparison:
    """Compare two quote documents, each at the price that it opens with.

    Lines and balloons are matched by what they are called; of two alike the amounts are added up. A line that is only
    in one version goes with one of the other that differs in its numbers alone ("Garland, 290 balloons").
    """
    amounts, amounts_after = (
        _by_label((line.label, line.amount) for line in document.lines) for document in (before, after)
    )
    _match_but_for_numbers(amounts, amounts_after)
    for document, found in ((before, amounts), (after, amounts_after)):
        if not document.inclusive:
            for tax in document.taxes:
                found[tax.name] = found.get(tax.name, NOTHING) + tax.amount
    currency, locale = after.currency, after.locale
    return Comparison(
        price=tuple(
            _amount_change(label, amounts.get(label), amounts_after.get(label), currency, locale)
            for label in _in_order(amounts, amounts_after)
        ),
        total=_amount_change("Total", before.total, after.total, currency, locale),
        counts=_counts(before, after),
        facts=_facts(before, after),
    )


# Private


def _match_but_for_numbers(before: dict[str, Decimal], after: Mapping[str, Decimal]) -> None:
    """Call what is only in the older version as the newer one calls it, where only numbers tell them apart."""
    gone = {NUMBER.sub("#", label): label for label in before if label not in after}
    for label in after:
        known = None if label in before else gone.pop(NUMBER.sub("#", label), None)
        if known is not None:
            before[label] = before.pop(known)


def _match_but_for_order(before: dict[str, Decimal], after: Mapping[str, Decimal]) -> None:
    """Call balloons of the older version as the newer one does: earlier offers wrote "11 in, oat" for "Oat 11 in"."""
    called_now = {_words(label): label for label in after}
    for label in list(before):
        known = called_now.get(_words(label), label)
        if known not in before:
            before[known] = before.pop(label)


def _words(label: str) -> tuple[str, ...]:
    return tuple(sorted(label.replace(",", "").casefold().split()))


def _by_label(pairs: Iterable[tuple[str, Decimal]]) -> dict[str, Decimal]:
    found: dict[str, Decimal] = {}
    for label, amount in pairs:
        found[label] = found.get(label, NOTHING) + amount
    return found


def _in_order(before: Mapping[Key, object], after: Mapping[Key, object]) -> list[Key]:
    """As the newer version has them; what is only in the older one comes last."""
    return [*after, *(label for label in before if label not in after)]


def _amount_change(
    label: str, before: Decimal | None, after: Decimal | None, currency: str, locale: str
) -> Change:
    def written(amount: Decimal | None) -> str:
        return "" if amount is None else money.written(amount, currency, locale)

    more = (after or NOTHING) - (before or NOTHING)
    difference = f"{'+' if more > 0 else MINUS}{money.written(abs(more), currency, locale)}" if more else ""
    return Change(label, written(before), written(after), difference)


def _counts(before: QuoteDocument, after: QuoteDocument) -> tuple[Change, ...]:
    first, second = (
        _by_label((count.label, Decimal(count.count)) for piece in document.pieces for count in piece.counts)
        for document in (before, after)
    )
    _match_but_for_order(first, second)
    rows = []
    for label in _in_order(first, second):
        old, new = int(first.get(label, 0)), int(second.get(label, 0))
        difference = f"{'+' if new > old else MINUS}{abs(new - old)}" if new != old else ""
        rows.append(Change(label, str(old or ""), str(new or ""), difference))
    return tuple(rows)


def _facts(before: QuoteDocument, after: QuoteDocument) -> tuple[Change, ...]:
    first, second = (
        {(place, piece.name): ", ".join(piece.facts) for place, piece in enumerate(document.pieces)}
        for document in (before, after)
    )
    return tuple(
        Change(key[1], first.get(key, ""), second.get(key, ""), "") for key in _in_order(first, second)
    )
