"""The versions of a quote as its page shows them: each with its price and what it differs in."""

from __future__ import annotations

from dataclasses import dataclass

from quoting.quotes.options import at_first
from quoting.quotes.presenter import total_words
from quoting.quotes.sheet import Sheet
from quoting.variants import variants
from quoting.variants.tally import Tally, tally_of
from quoting.variants.words import difference_words, has_words, joined


@dataclass(frozen=True, slots=True)
class StripRow:
    """One version."""

    quote_id: int
    name: str
    total: str
    differs: str
    is_shown: bool


@dataclass(frozen=True, slots=True)
class Strip:
    """The versions that are offered, by their price as the client will see them; those left out; what may be done."""

    rows: tuple[StripRow, ...] = ()
    left_out: tuple[tuple[int, str], ...] = ()
    beside: str = ""
    """The other versions as they stand: what is sent is what was seen."""
    may_add: bool = False


def strip_of(read: Sheet, *, may_edit: bool) -> Strip:
    """The versions of a quote, each priced as it stands. A fixed number of queries where it has any, else none."""
    quote = read.quote
    if quote.variant_of_id is None and not read.beside.has_variants:
        return Strip(may_add=may_edit and bool(read.pieces))
    rows = variants.find_set(variants.lead_id(quote))
    offered = sorted(variants.read_offered(rows, read), key=lambda each: each.whole_tape.total)
    tallies = [_tally(each) for each in offered]
    return Strip(
        rows=tuple(
            _row(each, read, tallies[place], tallies[place - 1] if place else None)
            for place, each in enumerate(offered)
        ),
        left_out=tuple((each.pk, each.variant_name) for each in rows if each.is_left_out),
        beside=variants.beside_words(variants.offered_of(rows), quote.pk),
        may_add=may_edit and len(offered) < variants.MOST,
    )


# Private


def _row(each: Sheet, read: Sheet, tally: Tally, before: Tally | None) -> StripRow:
    words = has_words(tally) if before is None else difference_words(before, tally)
    return StripRow(
        quote_id=each.quote.pk,
        name=each.quote.variant_name,
        total=total_words(each.whole_tape.total, read.studio),
        differs=joined(words) or "Nothing counted differs yet",
        is_shown=each.quote.pk == read.quote.pk,
    )


def _tally(read: Sheet) -> Tally:
    """What a version has, as it opens."""
    return tally_of(piece.takeoff for piece in read.with_choice(at_first(read.options)).pieces)
