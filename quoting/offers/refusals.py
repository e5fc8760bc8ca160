"""Why a quote can't be offered as it stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from django.core.exceptions import ValidationError

from quoting.letters.texts import refuse_markup
from quoting.models import Quote, QuoteState
from quoting.offers.document import QuoteDocument, QuotePrice, every_variant
from quoting.pricing.frozen import paragraphs
from quoting.quotes.sheet import Sheet
from quoting.supplies.supplies import find_unplanned
from quoting.variants.variants import beside_words

MOST_NAMED: Final = 3
LONGEST_WORDS: Final = 400


class CannotOffer(ValidationError):
    """A quote that can't be offered as it stands, and why."""


class UnfitWords(CannotOffer):
    """The studio's own words to the client are too long, or have HTML in them."""


class NotSupplied(CannotOffer):
    """The bill has lines that are neither in the stock list nor to be bought, hired or made.

    ``quote_id`` is the version whose bill that is.
    """

    def __init__(self, said: str, quote_id: int) -> None:
        super().__init__(said)
        self.quote_id = quote_id


@dataclass(frozen=True)
class UnheldVariant:
    """A version that can't be held as a whole, and what is short for it, a sentence each."""

    quote_id: int
    name: str
    reasons: tuple[str, ...]


class CannotHoldAll(CannotOffer):
    """Not every version can be held; nothing was made. ``unheld`` are those that can't."""

    def __init__(self, unheld: tuple[UnheldVariant, ...]) -> None:
        super().__init__([f"{one.name} can't be put on hold. {' '.join(one.reasons)}" for one in unheld])
        self.unheld = unheld


def checked_words(words: str) -> str:
    """The words as they are sent. Raises :class:`UnfitWords`."""
    kept = "\n".join(paragraphs(words))
    if len(kept) > LONGEST_WORDS:
        raise UnfitWords(f"Two sentences are enough: at most {LONGEST_WORDS} characters.")
    try:
        refuse_markup(kept)
    except ValidationError as refusal:
        raise UnfitWords(refusal.messages) from None
    return kept


def refuse_unseen(
    rows: Sequence[Quote], quote_id: int, seen_sketch: int | None, seen_beside: str | None
) -> None:
    """Nobody sends a client what they haven't seen themselves."""
    quote = next((each for each in rows if each.pk == quote_id), rows[0])
    if seen_beside is not None and seen_beside != beside_words(rows, quote_id):
        raise CannotOffer(
            "One of the versions was changed in the meantime. Nothing was sent. Check them as they are now, then "
            "send them."
        )
    if seen_sketch is not None and seen_sketch != quote.version:
        raise CannotOffer(
            f"This quote is at version {quote.version}, you saw version {seen_sketch}. "
            "Nothing was sent. Check the quote as it is now, then send it."
        )


def refuse_what_cannot_be(quote: Quote, copy: QuoteDocument, now: datetime) -> None:
    """The event is off or over, or the price of a version is none."""
    if quote.state == QuoteState.AGREED:
        raise CannotOffer("This quote was agreed. Copy it to a new one to offer something else.")
    if quote.event.is_off:
        raise CannotOffer("This event was called off. Restore it first.")
    if quote.event.access_from <= now:
        raise CannotOffer("This event has already begun; it is too late for an offer.")
    for one in every_variant(copy):
        try:
            _refuse_price(one)
        except CannotOffer as fault:
            named = f"{one.variant}: " if copy.others else ""
            raise CannotOffer([f"{named}{said}" for said in fault.messages]) from None
    _refuse_twins(every_variant(copy))


def refuse_unplanned(reads: Sequence[Sheet], copy: QuoteDocument) -> None:
    """``reads`` are the sheets that the versions of ``copy`` were copied from."""
    bills = {one.source or reads[0].quote.pk: one.bill for one in every_variant(copy)}
    for read in reads:
        labels = find_unplanned(read.quote, {line.code: line.label for line in bills[read.quote.pk]})
        if labels:
            named = ", ".join(labels[:MOST_NAMED]) + (
                f" and {len(labels) - MOST_NAMED} more" if len(labels) > MOST_NAMED else ""
            )
            said = f"Not in the stock list: {named}. Say how you get them, then offer it."
            raise NotSupplied(said, read.quote.pk)


# Private


def _refuse_price(copy: QuoteDocument) -> None:
    """What is wrong with one version's price."""
    if not copy.lines:
        raise CannotOffer("There is nothing to offer yet: add a set piece or a line.")
    if copy.total < 0:
        raise CannotOffer("The discount is larger than the price.")
    if copy.prices and "".join(option.key for option in copy.options if option.on) not in copy.prices:
        raise CannotOffer(
            "Every option is off by default and nothing else is on the quote. Include at least one option."
        )
    if any(price.total < 0 or price.net < 0 for price in copy.prices.values()):
        raise CannotOffer(
            "With some of the options switched off, the discount is larger than the price. Make it smaller, or the "
            "discount an option too."
        )
    for price in (copy, *copy.prices.values()):
        _refuse_negative_tax(price)


def _refuse_twins(every: Sequence[QuoteDocument]) -> None:
    """Two versions between which a client would find nothing to choose."""
    seen: dict[object, str] = {}
    for one in every:
        pictures = tuple((piece.svg, piece.facts, piece.counts) for piece in one.pieces)
        labels = tuple((line.label, line.detail, line.amount) for line in one.lines)
        what = (pictures, labels, one.total, tuple(option.label for option in one.options))
        if what in seen:
            raise CannotOffer(f"{seen[what]} and {one.variant} are the same. Change one, or leave it out.")
        seen[what] = one.variant


def _refuse_negative_tax(price: QuotePrice) -> None:
    """A price whose tax is below zero can't be invoiced in parts."""
    if sum(tax.amount for tax in price.taxes) < 0:
        below = ", ".join(tax.name for tax in price.taxes if tax.amount < 0)
        raise CannotOffer(
            f"More is taken off under {below} than there is under it, so the tax falls below zero. Give the discount "
            "the same tax as what it reduces."
        )
