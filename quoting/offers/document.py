"""The document that an offer freezes: typed records, with a writer and a reader of its canonical JSON.

Everything a client sees of an offer comes from here, so that page and PDF cannot differ. Amounts are in the studio's
currency; moments carry their offset. ``bill``, ``work`` and ``hours`` are the studio's own and stand on no client's
page. Where the offer has options, its price is read for a *choice*: the keys of the options that are switched on. None
means the choice that the offer opens with.

An offer of two or three versions is one document: the first version, which is the cheapest, with the others in it. Each
has its own pieces, options, prices and bill. A choice then names its version too, by a capital letter, and an offer
opens with the first. So whoever reads a document for a choice reads the version that was picked, as if there had never
been another.

Offers outlive versions of the program: a field that came later has a default, so that older documents keep loading.
"""

from __future__ import annotations

from collections.abc import Collection, Set
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Final

import msgspec
from django.utils.translation import gettext as _
from msgspec import structs

from quoting.pricing.frozen import FrozenLine, FrozenTax, canonical, digest_of
from quoting.pricing.instalments import Instalment
from quoting.variants.tally import Tally
from studio.models import Studio

FORMAT: Final = 1
"""Raised when the meaning of a key changes; a document is read by the rules it was written under."""


VARIANT_KEYS: Final = "ABC"
"""Letters that versions are picked by, in their order; options have small ones."""


class PriceLine(FrozenLine, frozen=True, kw_only=True):
    """A line of the price. ``part`` names the part of the picture that it pays for."""

    part: str = ""


class QuotePrice(msgspec.Struct, frozen=True, kw_only=True):
    """The price of one choice."""

    lines: tuple[PriceLine, ...]
    net: Decimal
    taxes: tuple[FrozenTax, ...]
    total: Decimal
    deposit: Decimal
    deposit_percent: Decimal
    """0 where the deposit is an amount."""
    inclusive: bool
    shown: tuple[FrozenLine, ...] | msgspec.UnsetType = msgspec.UNSET
    """What the client reads in place of the lines; older offers show the lines."""


class FrozenEvent(msgspec.Struct, frozen=True, kw_only=True):
    """The event as it stood. Without a ``zone`` of its own it keeps the studio's time."""

    title: str
    starts: datetime
    ready_by: datetime
    when: str
    place: str
    zone: str = ""


class FrozenCount(msgspec.Struct, frozen=True):
    """How many of one kind of balloon stand in the picture."""

    label: str
    count: int


class FrozenPiece(msgspec.Struct, frozen=True, kw_only=True):
    """One set piece: its picture (width and height in drawing units) and what there is to say of it."""

    name: str
    svg: str
    alt: str
    width: int
    height: int
    facts: tuple[str, ...]
    counts: tuple[FrozenCount, ...]
    height_m: float = 0.0
    """How high it stands [m]; 0 in older offers, which don't say it as a number."""
    design: dict[str, object] = {}
    """What was worked out; older offers don't say it, and have no model to turn."""
    still: str = ""
    """Key of its lifelike picture; nothing where none was asked for."""


class FrozenOption(msgspec.Struct, frozen=True, kw_only=True):
    """Something that the client may switch: ``piece`` by its place (None for a free line), ``part`` of it if any."""

    key: str
    label: str
    detail: str
    on: bool
    piece: int | None
    part: str


class FrozenBillLine(msgspec.Struct, frozen=True, kw_only=True):
    """A line of the bill; ``spare`` of its quantity are spare balloons, which older offers don't say.

    What is ``on_site`` stands at the venue: it is neither held nor loaded.
    """

    code: str
    label: str
    quantity: int
    spare: int = 0
    part: str = ""
    group: str = ""
    options: tuple[str, ...] = ()
    on_site: bool = False


class FrozenTask(msgspec.Struct, frozen=True, kw_only=True):
    """Minutes of one person for one task."""

    task: str
    minutes: float
    options: tuple[str, ...] = ()


class FrozenHours(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Hours of one person by phase, over all pieces. Offers of the first version know no washing."""

    prep: float
    install: float
    strike: float
    washing: float = 0.0


class QuoteDocument(QuotePrice, frozen=True, kw_only=True):
    """What an offer keeps of its quote; the price is that of the choice it opens with.

    ``prices`` has the price of every choice under the letters of what is switched on. A choice with nothing in it has
    none.
    """

    title: str
    client: str
    event: FrozenEvent
    currency: str
    locale: str
    units: str
    pieces: tuple[FrozenPiece, ...]
    options: tuple[FrozenOption, ...] = ()
    prices: dict[str, QuotePrice] = {}
    instalments: tuple[Instalment, ...] = ()
    cautions: tuple[str, ...]
    terms: str
    bill: tuple[FrozenBillLine, ...]
    work: tuple[FrozenTask, ...]
    hours: FrozenHours | None = None
    words: str = ""
    """What the studio adds in its own words, for this client."""
    shows_counts: bool = True
    """Whether the client reads how many balloons there are."""
    variant: str = ""
    """What this version is called; nothing where there is no other."""
    source: int = 0
    """Key of the quote that this version was copied from; 0: the offer's own."""
    tally: Tally = Tally()
    """What this version has, as it opens: what it differs from the others in follows from it."""
    others: tuple[QuoteDocument, ...] = ()
    """The further versions; they have none of their own."""


class FrozenStudio(msgspec.Struct, frozen=True, kw_only=True):
    """The studio's head on the page."""

    name: str
    address: str
    email: str
    phone: str
    tax_number: str
    zone: str


class OfferDocument(msgspec.Struct, frozen=True, kw_only=True):
    """The whole document."""

    format: int
    number: int
    version: int
    offered_at: datetime
    expires_at: datetime
    studio: FrozenStudio
    quote: QuoteDocument

    @property
    def reference(self) -> str:
        """As people say it: ``12`` for the first version, ``12-2`` for the second."""
        return str(self.number) if self.version == 1 else f"{self.number}-{self.version}"


@dataclass(frozen=True)
class Frozen:
    """A document as text, its digest, and the digest of what is offered without number, version and dates."""

    text: str
    digest: str
    content_digest: str


@dataclass(frozen=True)
class ChosenPrice:
    """The price of one choice, and the keys of the options in it, in their order."""

    chosen: tuple[str, ...]
    figures: QuotePrice

    @property
    def total(self) -> Decimal:
        """With tax."""
        return self.figures.total

    @property
    def net(self) -> Decimal:
        """Without tax."""
        return self.figures.net

    @property
    def deposit(self) -> Decimal:
        """What is asked for at once."""
        return self.figures.deposit


@dataclass(frozen=True)
class StudioPart:
    """The studio's own part of an offer, of what is chosen. Never on a client's page."""

    bill: tuple[FrozenBillLine, ...]
    work: tuple[FrozenTask, ...]
    hours: FrozenHours | None
    height_m: float
    """Of the highest piece [m]; 0 where the offer doesn't say."""


class NotAChoice(ValueError):
    """The offer has no such combination of options; the sentence says what is wrong with it."""


def freeze_offer(
    quote: QuoteDocument,
    *,
    studio: Studio,
    number: int,
    version: int,
    offered_at: datetime,
    expires_at: datetime,
) -> Frozen:
    """Freeze a quote's copy (see :func:`quoting.offers.freezing.frozen_copy`) under its number, version and dates."""
    head = FrozenStudio(
        name=studio.name, address=studio.address, email=studio.email, phone=studio.phone,
        tax_number=studio.tax_number, zone=studio.zone,
    )  # fmt: skip
    document = OfferDocument(
        format=FORMAT, number=number, version=version, offered_at=offered_at, expires_at=expires_at, studio=head,
        quote=quote,
    )  # fmt: skip
    text = write_offer(document)
    content = canonical({"format": FORMAT, "studio": head, "quote": _written_quote(quote)})
    return Frozen(text, digest_of(text), digest_of(content))


def write_offer(document: OfferDocument) -> str:
    """The document as canonical JSON."""
    return canonical({**structs.asdict(document), "quote": _written_quote(document.quote)})


def read_offer(text: str) -> OfferDocument:
    """The document that :func:`write_offer` wrote, or that a version before it did."""
    return msgspec.json.decode(text, type=OfferDocument)


def variants_of(quote: QuoteDocument) -> dict[str, QuoteDocument]:
    """The versions by their letters, each as if it were alone; nothing where there is one alone."""
    if not quote.others:
        return {}
    first = structs.replace(quote, others=())
    words = {"words": quote.words}
    every = (first, *(structs.replace(other, **words) for other in quote.others))
    return dict(zip(VARIANT_KEYS, every, strict=False))


def every_variant(quote: QuoteDocument) -> tuple[QuoteDocument, ...]:
    """The versions, or the quote itself where it has one alone."""
    return tuple(variants_of(quote).values()) or (quote,)


def every_piece(quote: QuoteDocument) -> tuple[FrozenPiece, ...]:
    """The set pieces of all versions, one version after the other: by their places here pictures have addresses."""
    return tuple(piece for one in every_variant(quote) for piece in one.pieces)


def as_opened(quote: QuoteDocument, letter: str) -> tuple[str, ...]:
    """The choice with which a version opens; the letter alone where the offer has no such version."""
    one = variants_of(quote).get(letter)
    return (letter, *(option.key for option in one.options if option.on)) if one else (letter,)


def picked(quote: QuoteDocument, chosen: Collection[str] | None = None) -> QuoteDocument:
    """The version that a choice names, without the others. Raises :class:`NotAChoice`."""
    return _picked(quote, chosen)[1]


def price_choice(quote: QuoteDocument, chosen: Collection[str] | None = None) -> ChosenPrice:
    """The price of a choice. Raises :class:`NotAChoice`."""
    letter, own, options = _picked(quote, chosen)
    keys = option_keys(own)
    if options is None:
        options = [option.key for option in own.options if option.on]
    if unknown := sorted(set(options) - set(keys)):
        raise NotAChoice(
            _("This offer has no option %(names)s. Choose from the options listed.")
            % {"names": ", ".join(unknown)[:40]}
        )
    inside = tuple(key for key in keys if key in options)
    figures = own.prices.get("".join(inside)) if own.options else own
    if figures is None:
        raise NotAChoice(
            _("With all of that switched off nothing is left. Choose at least one of the options.")
        )
    return ChosenPrice((letter, *inside) if letter else inside, figures)


def choose(quote: QuoteDocument, chosen: Collection[str] | None = None) -> QuoteDocument:
    """The version that a choice names, with the price of the choice in it. Raises :class:`NotAChoice`."""
    price = price_choice(quote, chosen)
    figures = {name: getattr(price.figures, name) for name in QuotePrice.__struct_fields__}
    return structs.replace(picked(quote, price.chosen), **figures)


def studio_part(quote: QuoteDocument, chosen: Collection[str] | None = None) -> StudioPart:
    """Bill, work, hours and height of a choice. Raises :class:`NotAChoice`."""
    keys = set(price_choice(quote, chosen).chosen)
    own = picked(quote, keys)
    return StudioPart(
        bill=tuple(line for line in own.bill if keys.issuperset(line.options)),
        work=tuple(task for task in own.work if keys.issuperset(task.options)),
        hours=own.hours,
        height_m=_highest_m(own, keys),
    )


def whole_bills(quote: QuoteDocument) -> list[tuple[FrozenBillLine, ...]]:
    """The bill of each version with every option: the choices that need most."""
    return [studio_part(one, option_keys(one)).bill for one in every_variant(quote)]


def client_lines(price: QuotePrice) -> tuple[FrozenLine, ...]:
    """The lines of a price as the client reads them: on the page, the PDF, in the e-mail and on the invoice."""
    return price.lines if price.shown is msgspec.UNSET else price.shown


def includes_travel(price: QuotePrice) -> bool:
    """Whether the way to the venue and back is in the price."""
    return any(line.part == "van" for line in price.lines)


def option_keys(quote: QuoteDocument) -> list[str]:
    """Keys of all options of a version: its choice that needs most."""
    return [option.key for option in quote.options]


# Private


def _picked(
    quote: QuoteDocument, chosen: Collection[str] | None
) -> tuple[str, QuoteDocument, list[str] | None]:
    """The letter of the version that a choice names, the version, and what else the choice names."""
    variants = variants_of(quote)
    if not variants:
        return "", quote, None if chosen is None else list(chosen)
    letters = list(variants) if chosen is None else [letter for letter in variants if letter in chosen]
    if chosen is None:
        return letters[0], variants[letters[0]], None
    if len(letters) != 1:
        raise NotAChoice(_("Choose one of the versions of this offer."))
    return letters[0], variants[letters[0]], [key for key in chosen if key != letters[0]]


def _highest_m(quote: QuoteDocument, chosen: Set[str]) -> float:
    left_out = {option.piece for option in quote.options if not option.part and option.key not in chosen}
    return max((piece.height_m for k, piece in enumerate(quote.pieces) if k not in left_out), default=0.0)


def _written_quote(quote: QuoteDocument) -> dict[str, object]:
    """The quote as a document keeps it: without options there is neither their list nor their prices.

    Fields that older offers lack are left out where they say nothing, so that an older offer is written as it was.
    """
    written = structs.asdict(quote)
    if not quote.options:
        del written["options"], written["prices"]
    if quote.shown is msgspec.UNSET:
        del written["shown"]
    if not quote.words:
        del written["words"]
    if quote.shows_counts:
        del written["shows_counts"]
    if not quote.variant:
        del written["variant"], written["tally"]
    if not quote.source:
        del written["source"]
    written["others"] = [_written_quote(other) for other in quote.others]
    if not quote.others:
        del written["others"]
    written["pieces"] = [_if_said(piece, "height_m", "design", "still") for piece in quote.pieces]
    written["bill"] = [_if_said(line, "on_site") for line in quote.bill]
    return written


def _if_said(part: FrozenPiece | FrozenBillLine, *later: str) -> dict[str, object]:
    written = structs.asdict(part)
    return {name: value for name, value in written.items() if value or name not in later}
