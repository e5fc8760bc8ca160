"""The versions of a quote as its page shows them: each with its price and what it differs in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from quoting.models import FreeLine, Quote, SetPiece
from quoting.quotes.options import at_first, chosen_of, options_of
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


@dataclass(frozen=True, slots=True)
class _Quoted:
    pieces: Sequence[SetPiece]
    free_lines: Sequence[FreeLine] = ()


def strip_of(read: Sheet, *, may_edit: bool) -> Strip:
    """The versions of a quote. Two queries where it has any, else none."""
    quote = read.quote
    if quote.variant_of_id is None and not read.beside.has_variants:
        return Strip(may_add=may_edit and bool(read.pieces))
    rows = variants.find_set(variants.lead_id(quote))
    offered = sorted(variants.offered_of(rows), key=lambda each: (each.priced_total or 0, each.pk))
    tallies = _tallies(offered)
    return Strip(
        rows=tuple(
            _row(each, read, tallies[each.pk], tallies[offered[place - 1].pk] if place else None)
            for place, each in enumerate(offered)
        ),
        left_out=tuple((each.pk, each.variant_name) for each in rows if each.is_left_out),
        beside=variants.beside_words(variants.offered_of(rows), quote.pk),
        may_add=may_edit and len(offered) < variants.MOST,
    )


# Private


def _row(quote: Quote, read: Sheet, tally: Tally, before: Tally | None) -> StripRow:
    words = has_words(tally) if before is None else difference_words(before, tally)
    total = read.quote.priced_total if quote.pk == read.quote.pk else quote.priced_total
    return StripRow(
        quote_id=quote.pk,
        name=quote.variant_name,
        total=total_words(total, read.studio),
        differs=joined(words) or "Nothing counted differs yet",
        is_shown=quote.pk == read.quote.pk,
    )


def _tallies(quotes: Sequence[Quote]) -> dict[int, Tally]:
    """What each has, as it opens. One query."""
    pieces: dict[int, list[SetPiece]] = {quote.pk: [] for quote in quotes}
    for piece in SetPiece.objects.filter(quote__in=pieces).defer("picture").order_by("position"):
        pieces[piece.quote_id].append(piece)
    return {key: _tally(_Quoted(found)) for key, found in pieces.items()}


def _tally(quoted: _Quoted) -> Tally:
    options = options_of(quoted)
    there, _ = chosen_of(quoted, options, at_first(options))
    return tally_of(piece.takeoff for piece in there)
