"""The document that an offer freezes: written once as canonical JSON, read by the page, the PDF and the e-mails.

Everything a client sees of an offer comes from here, so that page and PDF cannot differ. Amounts are decimal strings in
the studio's currency; moments are ISO 8601 with their offset. ``bill``, ``work`` and ``hours`` are the studio's own:
:func:`read` leaves them out, :func:`internal` gives them.
"""

from __future__ import annotations

import hashlib
import json
import re
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any, Final
from zoneinfo import ZoneInfo

from babel.dates import format_date
from babel.numbers import format_decimal, format_percent
from django.utils.safestring import SafeString, mark_safe

from quoting.craft.cautions import DEFER, LADDER, LIFTING
from studio import money, times
from studio.models import Studio

FORMAT: Final = 1
"""Raised when the meaning of a key changes; a document is read by the rules it was written under."""

_IDS: Final = re.compile(r'(\bid="|url\(#|href="#)')
FOR_CREW: Final = (LADDER.text, LIFTING.text)
"""Cautions for whoever builds; a client needs the ones about what stands in their room."""
INTERNAL: Final = ("bill", "work", "hours")


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


@dataclass(frozen=True)
class LineShown:
    """One line of the price, written in the studio's currency."""

    label: str
    detail: str
    amount: str


@dataclass(frozen=True)
class TaxShown:
    """One tax, its rate, what it is charged on and what it comes to."""

    name: str
    percent: str
    base: str
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
    inclusive: bool
    cautions: tuple[str, ...]
    deferring: str
    """That local codes come first: said once below the cautions, not in each."""
    terms: tuple[str, ...]
    language: str

    @property
    def many_pieces(self) -> bool:
        """Whether there is more than one set piece, so that each needs its name."""
        return len(self.pieces) > 1

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
    """Freeze a quote's copy (see :func:`quoting.freezing.frozen_copy`) under its number, version and dates."""
    head = {
        "name": studio.name,
        "address": studio.address,
        "email": studio.email,
        "phone": studio.phone,
        "tax_number": studio.tax_number,
        "zone": studio.zone,
    }
    content = _canonical({"format": FORMAT, "studio": head, "quote": copy})
    text = _canonical(
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


def digest_of(text: str) -> str:
    """SHA-256 of the UTF-8 text, hexadecimal."""
    return hashlib.sha256(text.encode()).hexdigest()


def internal(text: str) -> dict[str, Any]:
    """The studio's own part: ``bill``, ``work`` and ``hours``. Never on a client's page."""
    quote = json.loads(text)["quote"]
    return {key: quote.get(key) for key in INTERNAL}


def read(text: str) -> OfferShown:
    """The document in words: amounts, days and times as the studio writes them."""
    document = json.loads(text)
    quote, studio = document["quote"], document["studio"]
    event = quote["event"]
    locale, currency = quote["locale"], quote["currency"]
    zone = ZoneInfo(event.get("zone") or studio["zone"])
    own_zone = ZoneInfo(studio["zone"])

    cautions = [caution.removesuffix(DEFER).strip() for caution in quote["cautions"]]

    def amount(value: str) -> str:
        return money.written(Decimal(value), currency, locale)

    return OfferShown(
        reference=_reference(document["number"], document["version"]),
        version=document["version"],
        title=quote["title"],
        client=quote["client"],
        studio=StudioShown(
            studio["name"],
            _paragraphs(studio["address"]),
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
        pieces=tuple(_piece(piece, place, locale) for place, piece in enumerate(quote["pieces"], start=1)),
        lines=tuple(
            LineShown(line["label"], line.get("detail") or "", amount(line["amount"]))
            for line in quote["lines"]
        ),
        net=amount(quote["net"]),
        taxes=tuple(
            TaxShown(
                tax["name"], _percent(tax["percent"], locale), amount(tax["base"]), amount(tax["amount"])
            )
            for tax in quote["taxes"]
        ),
        total=amount(quote["total"]),
        deposit=amount(quote["deposit"]),
        deposit_percent=_percent(quote["deposit_percent"], locale),
        has_deposit=Decimal(quote["deposit"]) > 0,
        inclusive=bool(quote["inclusive"]),
        cautions=tuple(caution for caution in cautions if caution not in FOR_CREW),
        deferring=DEFER if quote["cautions"] else "",
        terms=_paragraphs(quote["terms"]),
        language=locale.split("_")[0] if locale.startswith("en") else "en",
    )


def _canonical(value: Any) -> str:
    """One text for one document: keys in order, no spaces, characters as they are."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def _reference(number: int, version: int) -> str:
    return str(number) if version == 1 else f"{number}-{version}"


def _piece(piece: dict[str, Any], place: int, locale: str) -> PieceShown:
    return PieceShown(
        name=piece["name"],
        # Two pictures on one page would share the gradients of the first. Drawn by craft.picture, texts escaped.
        svg=mark_safe(_own_ids(piece["svg"], f"piece{place}-")),  # noqa: S308
        alt=piece["alt"],
        width=int(piece["width"]),
        height=int(piece["height"]),
        facts=tuple(str(fact) for fact in piece["facts"]),
        counts=tuple(
            CountShown(count["label"], format_decimal(count["count"], locale=locale))
            for count in piece["counts"]
        ),
    )


def _own_ids(svg: str, prefix: str) -> str:
    return _IDS.sub(rf"\g<1>{prefix}", svg)


def _paragraphs(text: str) -> tuple[str, ...]:
    return tuple(line.strip() for line in (text or "").splitlines() if line.strip())


def _percent(value: str, locale: str) -> str:
    """``6.25 %`` without trailing noughts, as the locale writes per cents."""
    return format_percent(Decimal(value) / 100, locale=locale, decimal_quantization=False)


def _day(moment: str, zone: ZoneInfo) -> str:
    return _spelled(datetime.fromisoformat(moment).astimezone(zone))


def _moment(moment: str | None, zone: ZoneInfo) -> str:
    if not moment:
        return ""
    there = datetime.fromisoformat(moment).astimezone(zone)
    return f"{_spelled(there)}, {times.time_written(there)}"


def _spelled(moment: datetime) -> str:
    """With the year, always: paper is read in another one."""
    return format_date(moment, "EEE d MMM y", locale="en_US")
