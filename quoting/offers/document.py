"""The document that an offer freezes: written once as canonical JSON, read by the page, the PDF and the e-mails.

Everything a client sees of an offer comes from here, so that page and PDF cannot differ. Amounts are decimal strings in
the studio's currency; moments are ISO 8601 with their offset. ``bill``, ``work`` and ``hours`` are the studio's own:
:func:`read` leaves them out, :func:`internal` gives them.

Where the offer has options, everything is read for a *choice*: the keys of the options that are switched on. None
means the choice that the offer opens with.
"""

from __future__ import annotations

import json
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any, Final
from zoneinfo import ZoneInfo

from babel.numbers import format_decimal
from django.utils.safestring import SafeString, mark_safe

from quoting.pricing import instalments
from quoting.pricing.frozen import (
    LineShown,
    TaxShown,
    Writer,
    canonical,
    day,
    digest_of,
    language_of,
    lines_shown,
    paragraphs,
    percent,
    taxes_shown,
    writer,
)
from quoting.set_pieces.size_bench import own_ids
from studio.models import Studio, dates
from studio.trade.cautions import DEFER, LADDER, LIFTING

FORMAT: Final = 1
"""Raised when the meaning of a key changes; a document is read by the rules it was written under."""

FOR_CREW: Final = (LADDER.text, LIFTING.text)
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
    chosen: bool = True
    """False where the piece is an option that is switched off."""
    without: tuple[str, ...] = ()
    """Parts of the picture that are options switched off: florals, sign."""

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
    deposit: str
    deposit_percent: str
    has_deposit: bool
    instalments: tuple[InstalmentShown, ...]
    rest: str
    """What is left after deposit and instalments; empty where there are no instalments."""
    inclusive: bool
    cautions: tuple[str, ...]
    options: tuple[OptionShown, ...]
    choice: str
    """Keys of what is chosen, as one word."""
    deferring: str
    """That local codes come first: said once below the cautions, not in each."""
    terms: tuple[str, ...]
    language: str

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
    def many_taxes(self) -> bool:
        """Whether there is more than one tax, so that each needs what it is charged on."""
        return len(self.taxes) > 1


@dataclass(frozen=True)
class Frozen:
    """A document as text, its digest, and the digest of what is offered without number, version and dates."""

    text: str
    digest: str
    content_digest: str


def freeze(
    copy: dict[str, Any],
    *,
    studio: Studio,
    number: int,
    version: int,
    offered_at: datetime,
    expires_at: datetime,
) -> Frozen:
    """Freeze a quote's copy (see :func:`quoting.offers.freezing.frozen_copy`) under its number, version and dates."""
    head = {
        "name": studio.name,
        "address": studio.address,
        "email": studio.email,
        "phone": studio.phone,
        "tax_number": studio.tax_number,
        "zone": studio.zone,
    }
    content = canonical({"format": FORMAT, "studio": head, "quote": copy})
    text = canonical(
        {
            "format": FORMAT,
            "number": number,
            "version": version,
            "offered_at": offered_at.isoformat(),
            "expires_at": expires_at.isoformat(),
            "studio": head,
            "quote": copy,
        }
    )
    return Frozen(text, digest_of(text), digest_of(content))


class NotAChoice(ValueError):
    """The offer has no such combination of options; the sentence says what is wrong with it."""


@dataclass(frozen=True)
class Price:
    """The price of one choice, as numbers."""

    chosen: tuple[str, ...]
    """Keys of the options in it, in their order."""
    total: Decimal
    net: Decimal
    deposit: Decimal
    frozen: dict[str, Any]
    """As the document keeps it: lines, net, taxes, total, deposit, and whatever else belongs to a price."""


def price_of(text: str, chosen: Collection[str] | None = None) -> Price:
    """The price of a choice. Raises :class:`NotAChoice`."""
    return _price(json.loads(text)["quote"], chosen)


def internal(text: str, chosen: Collection[str] | None = None) -> dict[str, Any]:
    """The studio's own part: ``bill``, ``work`` and ``hours``, of what is chosen. Never on a client's page."""
    quote = json.loads(text)["quote"]
    keys = set(_price(quote, chosen).chosen)
    return {
        "bill": [line for line in quote["bill"] if keys.issuperset(line.get("options", ()))],
        "work": [task for task in quote["work"] if keys.issuperset(task.get("options", ()))],
        "hours": quote.get("hours"),
    }


def quote_of(text: str, chosen: Collection[str] | None = None) -> dict[str, Any]:
    """The quote part of the document with the price of a choice in it. Raises :class:`NotAChoice`."""
    quote: dict[str, Any] = json.loads(text)["quote"]
    return {**quote, **_price(quote, chosen).frozen}


def everything(text: str) -> list[str]:
    """Keys of all options: the choice that needs most."""
    return [option["key"] for option in json.loads(text)["quote"].get("options", ())]


def read(text: str, chosen: Collection[str] | None = None) -> OfferShown:
    """The document in words: amounts, days and times as the studio writes them. Raises :class:`NotAChoice`."""
    document = json.loads(text)
    quote, studio = document["quote"], document["studio"]
    price = _price(quote, chosen)
    quote = {**quote, **price.frozen}
    event = quote["event"]
    locale = quote["locale"]
    amount = writer(quote["currency"], locale)
    zone = ZoneInfo(event.get("zone") or studio["zone"])
    own_zone = ZoneInfo(studio["zone"])

    cautions = [caution.removesuffix(DEFER).strip() for caution in quote["cautions"]]

    return OfferShown(
        reference=_reference(document["number"], document["version"]),
        version=document["version"],
        title=quote["title"],
        client=quote["client"],
        studio=StudioShown(
            studio["name"],
            paragraphs(studio["address"]),
            studio["email"],
            studio["phone"],
            studio["tax_number"],
        ),
        event_title=event["title"],
        event_day=_day(event["ready_by"], zone),
        event_place=event.get("place") or "",
        starts=_moment(event.get("starts"), zone),
        ready_by=_moment(event["ready_by"], zone),
        offered_on=_day(document["offered_at"], own_zone),
        valid_until=_moment(document["expires_at"], own_zone),
        pieces=tuple(_piece(quote, place, price.chosen) for place in range(len(quote["pieces"]))),
        options=tuple(_option(quote, option, price, amount) for option in quote.get("options", ())),
        choice="".join(price.chosen),
        lines=lines_shown(quote["lines"], amount),
        net=amount(quote["net"]),
        taxes=taxes_shown(quote["taxes"], amount, locale),
        total=amount(quote["total"]),
        deposit=amount(quote["deposit"]),
        deposit_percent=percent(quote["deposit_percent"], locale),
        has_deposit=Decimal(quote["deposit"]) > 0,
        **_instalments(quote, amount),
        inclusive=bool(quote["inclusive"]),
        cautions=tuple(caution for caution in cautions if caution not in FOR_CREW),
        deferring=DEFER if quote["cautions"] else "",
        terms=paragraphs(quote["terms"]),
        language=language_of(locale),
    )


def _instalments(quote: dict[str, Any], amount: Writer) -> dict[str, Any]:
    """Instalments and rest of the price as it stands in the quote, written."""
    total, deposit = Decimal(quote["total"]), Decimal(quote["deposit"])
    found, rest = instalments.parts(
        total, deposit, instalments.read(quote.get("instalments", ())), quote["currency"]
    )
    shown = tuple(
        InstalmentShown(
            percent(str(part.percent), quote["locale"]),
            day(part.due_on),
            amount(str(part.amount)),
        )
        for part in found
    )
    return {"instalments": shown, "rest": amount(str(rest)) if shown and rest else ""}


def _reference(number: int, version: int) -> str:
    return str(number) if version == 1 else f"{number}-{version}"


def _price(quote: dict[str, Any], chosen: Collection[str] | None) -> Price:
    options = quote.get("options", [])
    keys = [option["key"] for option in options]
    if chosen is None:
        chosen = [option["key"] for option in options if option["on"]]
    if unknown := sorted(set(chosen) - set(keys)):
        raise NotAChoice(
            f"This offer has no option {', '.join(unknown)[:40]}. Choose from those that stand here."
        )
    inside = tuple(key for key in keys if key in chosen)
    frozen = quote["prices"].get("".join(inside)) if options else quote
    if frozen is None:
        raise NotAChoice("With all of that switched off nothing is left. Choose at least one of the options.")
    total, net, deposit = (Decimal(frozen[key]) for key in ("total", "net", "deposit"))
    return Price(inside, total, net, deposit, frozen)


def _piece(quote: dict[str, Any], place: int, chosen: Collection[str]) -> PieceShown:
    piece = quote["pieces"][place]
    options = [option for option in quote.get("options", ()) if option["piece"] == place]
    out = [option["part"] for option in options if option["key"] not in chosen]
    return PieceShown(
        name=piece["name"],
        # Two pictures on one page would share the gradients of the first. Drawn by craft.picture, texts escaped.
        svg=mark_safe(own_ids(piece["svg"], f"piece{place + 1}-")),  # noqa: S308
        alt=piece["alt"],
        width=int(piece["width"]),
        height=int(piece["height"]),
        facts=tuple(str(fact) for fact in piece["facts"]),
        counts=tuple(
            CountShown(count["label"], format_decimal(count["count"], locale=quote["locale"]))
            for count in piece["counts"]
        ),
        chosen="" not in out,
        without=tuple(part for part in out if part),
        options=tuple((option["key"], option["part"]) for option in options),
    )


def _option(quote: dict[str, Any], option: dict[str, Any], price: Price, amount: Writer) -> OptionShown:
    """An option with what it makes of the total, given what else is chosen."""
    key, others = option["key"], {each for each in price.chosen if each != option["key"]}
    whole = [
        each
        for each in quote["options"]
        if each["piece"] is not None
        and each["piece"] == option["piece"]
        and not each["part"]
        and option["part"]
    ]
    missing = [each["label"] for each in whole if each["key"] not in price.chosen]
    worth = _worth(quote, {*others, *(each["key"] for each in whole)}, key)
    return OptionShown(
        key=key,
        label=option["label"],
        detail=option["detail"],
        on=key in price.chosen,
        amount=amount(str(abs(worth))),
        takes_off=worth < 0,
        needs=missing[0] if missing else "",
    )


def _worth(quote: dict[str, Any], others: set[str], key: str) -> Decimal:
    def total(keys: set[str]) -> Decimal:
        price = quote["prices"].get("".join(sorted(keys)))
        return Decimal(price["total"]) if price else Decimal(0)

    return total({*others, key}) - total(others)


def _day(moment: str, zone: ZoneInfo) -> str:
    return day(datetime.fromisoformat(moment).astimezone(zone))


def _moment(moment: str | None, zone: ZoneInfo) -> str:
    if not moment:
        return ""
    there = datetime.fromisoformat(moment).astimezone(zone)
    return f"{day(there)}, {dates.time_written(there)}"
