"""An offer's document in words: amounts, days and times as the studio writes them. Page, PDF and e-mails read this."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from functools import cache
from typing import Final
from zoneinfo import ZoneInfo

from babel.numbers import format_decimal
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from quoting.craft.design.design_file import read_design
from quoting.offers.document import (
    ChosenPrice,
    FrozenOption,
    FrozenPiece,
    OfferDocument,
    QuoteDocument,
    as_opened,
    choose,
    client_lines,
    includes_travel,
    price_choice,
    read_offer,
    variants_of,
)
from quoting.pricing import instalments
from quoting.pricing.frozen import (
    LineShown,
    TaxShown,
    Writer,
    day,
    language_of,
    lines_shown,
    moment_words,
    paragraphs,
    percent,
    taxes_shown,
    writer,
)
from quoting.set_pieces.size_bench import own_ids
from quoting.variants.words import difference_words, has_words, joined
from studio.measures.languages import Language, in_language, speaking
from studio.trade.cautions import DEFER, LADDER, LIFTING

FOR_CREW: Final = (LADDER, LIFTING)
"""Cautions for whoever builds; a client needs the ones about what stands in their room."""


@dataclass(frozen=True)
class CountShown:
    """So many of one thing, in plain words."""

    label: str
    count: str


@dataclass(frozen=True)
class PieceShown:
    """One set piece."""

    name: str
    svg: SafeString
    alt: str
    width: int
    height: int
    """Of the picture, in drawing units: its shape is known before it is drawn."""
    facts: tuple[str, ...]
    counts: tuple[CountShown, ...]
    palette: tuple[tuple[str, str], ...] = ()
    """Its colours, a name and an sRGB code each; older offers don't say them."""
    has_model: bool = False
    """Whether it can be turned."""
    still: str = ""
    """Key of its lifelike picture, whether that is there yet or not."""
    chosen: bool = True
    """False where the piece is an option that is switched off."""
    without: tuple[str, ...] = ()
    """Parts of the picture that are options switched off: florals, sign."""

    place: int = 1
    """Among the pieces of all versions, from 1: pictures have their addresses by it."""
    options: tuple[tuple[str, str], ...] = ()
    """Keys of the options that this piece hangs on, and the part of it: nothing for the whole."""

    @property
    def picture_class(self) -> str:
        """Classes by which the page fades what isn't chosen out of the picture, as the client switches."""
        switched = [f"by-{key}{'-' if part else ''}{part}" for key, part in self.options]
        return " ".join(["show", *switched])

    @property
    def chosen_class(self) -> str:
        """The same where nothing can be switched any more."""
        out = [] if self.chosen else ["show-out"]
        return " ".join(["show", *out, *(f"without-{part}" for part in self.without)])


@dataclass(frozen=True)
class OptionShown:
    """Something that the client may switch on or off."""

    key: str
    label: str
    detail: str
    on: bool
    amount: str
    """What it makes of the total, tax and all, beside whatever else is chosen."""
    takes_off: bool
    """Whether it makes the total smaller, as a discount does."""
    needs: str = ""
    """Name of the piece that it is a part of, where that one is switched off."""


@dataclass(frozen=True)
class VariantShown:
    """One of the versions that the client picks from, at the price that it opens with."""

    key: str
    name: str
    total: str
    deposit: str
    pieces: tuple[PieceShown, ...]
    """Its set pieces, without those that start switched off."""
    differs: str
    """What it has more or fewer of than the version before it; of the first, what it has."""
    than: str
    """Name of the version before it."""
    picked: bool


@dataclass(frozen=True)
class InstalmentShown:
    """One instalment after the deposit."""

    percent: str
    due_on: str
    amount: str


@dataclass(frozen=True)
class StudioShown:
    """The studio's head on the page, as it was when the offer was sent."""

    name: str
    address: tuple[str, ...]
    email: str
    phone: str
    tax_number: str


@dataclass(frozen=True)
class OfferShown:
    """The whole document in words and written amounts."""

    reference: str
    version: int
    title: str
    client: str
    studio: StudioShown
    event_title: str
    event_day: str
    event_place: str
    starts: str
    ready_by: str
    offered_on: str
    valid_until: str
    pieces: tuple[PieceShown, ...]
    lines: tuple[LineShown, ...]
    net: str
    taxes: tuple[TaxShown, ...]
    total: str
    words: tuple[str, ...]
    """What the studio adds in its own words, line by line."""
    deposit: str
    deposit_percent: str
    """Empty where the deposit is an amount."""
    has_deposit: bool
    instalments: tuple[InstalmentShown, ...]
    rest: str
    """What is left after deposit and instalments; empty where there are no instalments."""
    inclusive: bool
    includes_travel: bool
    cautions: tuple[str, ...]
    options: tuple[OptionShown, ...]
    choice: str
    """Keys of what is chosen, as one word."""
    deferring: str
    """That local codes come first: said once below the cautions, not in each."""
    terms: tuple[str, ...]
    language: str
    variant: str = ""
    """Name of the version that this is; nothing where there is one alone."""
    variants: tuple[VariantShown, ...] = ()
    """All of them, where there are several."""

    @property
    def many_pieces(self) -> bool:
        """Whether there is more than one set piece, so that each needs its name."""
        return len(self.pieces) > 1

    @property
    def chosen_pieces(self) -> tuple[PieceShown, ...]:
        """The set pieces that are not switched off."""
        return tuple(piece for piece in self.pieces if piece.chosen)

    @property
    def options_in(self) -> tuple[OptionShown, ...]:
        """The options that are switched on and can be brought."""
        return tuple(option for option in self.options if option.on and not option.needs)

    @property
    def options_out(self) -> tuple[OptionShown, ...]:
        """The others."""
        return tuple(option for option in self.options if not option.on or option.needs)

    @property
    def shows_counts(self) -> bool:
        """Whether it says how many balloons there are."""
        return any(piece.counts for piece in self.pieces)

    @property
    def many_taxes(self) -> bool:
        """Whether there is more than one tax, so that each needs what it is charged on."""
        return len(self.taxes) > 1


def present_offer(text: str, chosen: Collection[str] | None = None) -> OfferShown:
    """The document in words. Raises :class:`NotAChoice`."""
    document = read_offer(text)
    price = price_choice(document.quote, chosen)
    shown = _shown(document, choose(document.quote, price.chosen), price)
    if not document.quote.others:
        return shown
    every = variants_of(document.quote)
    return replace(
        shown,
        pieces=_placed(shown.pieces, _pieces_before(every, price.chosen[0])),
        variant=every[price.chosen[0]].variant,
        variants=_variants(document, every, price.chosen[0]),
    )


def present_variants(text: str) -> list[OfferShown]:
    """Each version of an offer in words, as it opens."""
    quote = read_offer(text).quote
    return [present_offer(text, as_opened(quote, key)) for key in variants_of(quote)]


# Private


@cache
def _said_to_crew() -> frozenset[str]:
    """The cautions for whoever builds, in every language: an offer keeps them in the one that it was made in."""
    said: set[str] = set()
    for language in Language:
        with speaking(language):
            said |= {_(caution.text) for caution in FOR_CREW}
    return frozenset(said)


def _shown(document: OfferDocument, quote: QuoteDocument, price: ChosenPrice) -> OfferShown:
    """``quote`` is the document's, at that price."""
    event, studio, locale = quote.event, document.studio, quote.locale
    amount = writer(quote.currency, locale)
    own_zone = ZoneInfo(studio.zone)
    zone = ZoneInfo(event.zone or studio.zone)
    cautions = [caution.removesuffix(DEFER).strip() for caution in quote.cautions]
    parts, rest = _instalments(quote, amount)
    return OfferShown(
        reference=document.reference,
        version=document.version,
        title=quote.title,
        client=quote.client,
        studio=StudioShown(
            studio.name, paragraphs(studio.address), studio.email, studio.phone, studio.tax_number
        ),
        event_title=event.title,
        event_day=_day(event.ready_by, zone, locale),
        event_place=event.place,
        starts=_moment(event.starts, zone, locale),
        ready_by=_moment(event.ready_by, zone, locale),
        offered_on=_day(document.offered_at, own_zone, locale),
        valid_until=_moment(document.expires_at, own_zone, locale),
        pieces=tuple(_piece(quote, place, price.chosen) for place in range(len(quote.pieces))),
        options=tuple(_option(quote, option, price, amount) for option in quote.options),
        choice="".join(price.chosen),
        lines=lines_shown(client_lines(quote), amount),
        net=amount(quote.net),
        taxes=taxes_shown(quote.taxes, amount, locale),
        total=amount(quote.total),
        words=paragraphs(quote.words),
        deposit=amount(quote.deposit),
        deposit_percent=percent(quote.deposit_percent, locale) if quote.deposit_percent else "",
        has_deposit=quote.deposit > 0,
        instalments=parts,
        rest=rest,
        inclusive=quote.inclusive,
        includes_travel=includes_travel(quote),
        cautions=tuple(caution for caution in cautions if caution not in _said_to_crew()),
        deferring=_(DEFER) if quote.cautions else "",
        terms=paragraphs(quote.terms),
        language=language_of(locale),
    )


def _pieces_before(every: Mapping[str, QuoteDocument], key: str) -> int:
    """How many set pieces the versions before this one have."""
    return sum(len(one.pieces) for letter, one in every.items() if letter < key)


def _placed(pieces: Iterable[PieceShown], before: int) -> tuple[PieceShown, ...]:
    return tuple(replace(piece, place=before + place) for place, piece in enumerate(pieces, start=1))


def _variants(
    document: OfferDocument, every: Mapping[str, QuoteDocument], picked: str
) -> tuple[VariantShown, ...]:
    amount = writer(document.quote.currency, document.quote.locale)
    shown: list[VariantShown] = []
    before: QuoteDocument | None = None
    for key, one in every.items():
        shown.append(
            _variant(key, one, before, amount, first_place=_pieces_before(every, key), picked=key == picked)
        )
        before = one
    return tuple(shown)


def _variant(
    key: str,
    one: QuoteDocument,
    before: QuoteDocument | None,
    amount: Writer,
    *,
    first_place: int,
    picked: bool,
) -> VariantShown:
    opening = price_choice(one).chosen
    pieces = [_piece(one, place, opening, prefix=f"version{key}-") for place in range(len(one.pieces))]
    there = [piece for piece in _placed(pieces, first_place) if piece.chosen]
    counts = one.shows_counts
    words = (
        difference_words(before.tally, one.tally, counts=counts)
        if before
        else has_words(one.tally, counts=counts)
    )
    return VariantShown(
        key=key,
        name=one.variant,
        total=amount(one.total),
        deposit=amount(one.deposit),
        pieces=tuple(there),
        differs=", ".join(words) if before else joined(words),
        than=before.variant if before else "",
        picked=picked,
    )


def _instalments(quote: QuoteDocument, amount: Writer) -> tuple[tuple[InstalmentShown, ...], str]:
    """Instalments and rest of the price as it stands in the quote, written."""
    found, rest = instalments.parts(quote.total, quote.deposit, quote.instalments, quote.currency)
    shown = tuple(
        InstalmentShown(
            percent(part.percent, quote.locale), day(part.due_on, quote.locale), amount(part.amount)
        )
        for part in found
    )
    return shown, amount(rest) if shown and rest else ""


def _piece(quote: QuoteDocument, place: int, chosen: Collection[str], *, prefix: str = "piece") -> PieceShown:
    piece = quote.pieces[place]
    options = [option for option in quote.options if option.piece == place]
    out = [option.part for option in options if option.key not in chosen]
    return PieceShown(
        name=piece.name,
        # Two pictures on one page would share the gradients of the first. Drawn by craft.picture, texts escaped.
        svg=mark_safe(own_ids(piece.svg, f"{prefix}{place + 1}-")),  # noqa: S308
        alt=piece.alt,
        width=piece.width,
        height=piece.height,
        facts=piece.facts,
        counts=tuple(
            CountShown(count.label, format_decimal(count.count, locale=in_language(quote.locale)))
            for count in (piece.counts if quote.shows_counts else ())
        ),
        palette=_palette(piece),
        has_model=bool(piece.design),
        still=piece.still,
        chosen="" not in out,
        without=tuple(part for part in out if part),
        place=place + 1,
        options=tuple((option.key, option.part) for option in options),
    )


def _palette(piece: FrozenPiece) -> tuple[tuple[str, str], ...]:
    if not piece.design:
        return ()
    return tuple((one.name, one.hex) for one in read_design(piece.design).palette if one.share > 0)


def _option(quote: QuoteDocument, option: FrozenOption, price: ChosenPrice, amount: Writer) -> OptionShown:
    """An option with what it makes of the total, given what else is chosen."""
    whole = _whole_piece(quote, option)
    missing = [each.label for each in whole if each.key not in price.chosen]
    others = {*price.chosen, *(each.key for each in whole)} - {option.key}
    worth = _worth(quote, others, option.key)
    return OptionShown(
        key=option.key,
        label=option.label,
        detail=option.detail,
        on=option.key in price.chosen,
        amount=amount(abs(worth)),
        takes_off=worth < 0,
        needs=missing[0] if missing else "",
    )


def _whole_piece(quote: QuoteDocument, option: FrozenOption) -> list[FrozenOption]:
    """The option of the whole set piece that an option of its florals or its sign hangs on."""
    if option.piece is None or not option.part:
        return []
    return [each for each in quote.options if each.piece == option.piece and not each.part]


def _worth(quote: QuoteDocument, others: set[str], key: str) -> Decimal:
    def total(keys: set[str]) -> Decimal:
        price = quote.prices.get("".join(sorted(keys)))
        return price.total if price else Decimal(0)

    return total({*others, key}) - total(others)


def _day(moment: datetime, zone: ZoneInfo, locale: str) -> str:
    return day(moment.astimezone(zone), locale)


def _moment(moment: datetime, zone: ZoneInfo, locale: str) -> str:
    return moment_words(moment.astimezone(zone), locale)
