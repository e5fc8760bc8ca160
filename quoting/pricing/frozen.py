"""What frozen documents share: one text for one document, its digest, and the words that are read out of it.

Amounts are decimal strings in the studio's currency, days and moments ISO 8601.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

import msgspec
from babel.dates import format_date, format_skeleton
from babel.numbers import format_percent

from studio.measures import times
from studio.measures.languages import Language, in_language, spoken
from studio.models.spelling import writes_american
from studio.money import amounts

Writer = Callable[[Decimal], str]
"""Writes an amount as the studio does."""


class FrozenLine(msgspec.Struct, frozen=True, kw_only=True):
    """One line of a price. Offers of the first months have no details."""

    label: str
    detail: str = ""
    amount: Decimal


class FrozenTax(msgspec.Struct, frozen=True):
    """One tax: its rate in per cent, what it is charged on, and what it comes to."""

    name: str
    percent: Decimal
    base: Decimal
    amount: Decimal


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


def canonical(value: object) -> str:
    """One text for one document: keys in order, no spaces, characters as they are."""
    plain = msgspec.to_builtins(value, builtin_types=(date, datetime))
    return json.dumps(
        plain, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False, default=_iso
    )


def digest_of(text: str) -> str:
    """SHA-256 of the UTF-8 text, hexadecimal."""
    return hashlib.sha256(text.encode()).hexdigest()


def writer(currency: str, locale: str) -> Writer:
    """Writes the document's amounts."""
    read_in = in_language(locale)
    return lambda value: amounts.written(value, currency, read_in)


def lines_shown(lines: Iterable[FrozenLine], amount: Writer) -> tuple[LineShown, ...]:
    """The lines of a document, written."""
    return tuple(LineShown(line.label, line.detail, amount(line.amount)) for line in lines)


def taxes_shown(taxes: Iterable[FrozenTax], amount: Writer, locale: str) -> tuple[TaxShown, ...]:
    """The taxes of a document, written."""
    return tuple(
        TaxShown(tax.name, percent(tax.percent, locale), amount(tax.base), amount(tax.amount))
        for tax in taxes
    )


def paragraphs(text: str) -> tuple[str, ...]:
    """The lines of a text that say something."""
    return tuple(line.strip() for line in text.splitlines() if line.strip())


def plain_percent(percent: Decimal) -> Decimal:
    """The rate as documents keep it: without trailing zeros, never as a power of ten."""
    return Decimal(f"{percent.normalize():f}")


def percent(value: Decimal, locale: str) -> str:
    """``6.25 %`` without trailing zeros, as the locale writes percentages."""
    return format_percent(value / 100, locale=in_language(locale), decimal_quantization=False)


def day(when: date, locale: str) -> str:
    """``Sat, Dec 12, 2026`` where American is written, else ``Sat 12 Dec 2026``.

    With the year, always, since paper is read in another one; to a German reader ``Sa., 12. Dez. 2026``.
    """
    if spoken() not in (None, Language.ENGLISH):
        return format_skeleton("yMMMEd", when, locale=in_language(locale))
    return format_date(when, "EEE, MMM d, y" if writes_american(locale) else "EEE d MMM y", locale="en_US")


def moment_words(moment: datetime, locale: str) -> str:
    """A day and its time, on the moment's own clock: ``Sat, Dec 12, 2026, 4:00 pm``."""
    return f"{day(moment, locale)}, {times.time_written(moment, in_language(locale))}"


def language_of(locale: str) -> str:
    """The language that the document's words are in: its reader's, or else English, the studio's own kind of it."""
    language = spoken()
    if language not in (None, Language.ENGLISH):
        return str(language)
    return locale.split("_", maxsplit=1)[0] if locale.startswith("en") else "en"


# Private


def _iso(value: object) -> str:
    if isinstance(value, (date, datetime)):
        return value.isoformat()
    raise TypeError(f"No text for a {type(value).__name__}")
