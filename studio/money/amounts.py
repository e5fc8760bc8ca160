"""Money: decimal amounts in a studio's one currency, rounded to ISO 4217 minor units, half up."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from copy import copy
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from fractions import Fraction
from functools import cache
from typing import Final

from babel import Locale
from babel.core import get_global
from babel.numbers import NumberPattern, get_currency_symbol

# ISO 4217 list one, published 2026-01-01: every listed currency has two minor digits but these.
NO_MINOR_UNIT: Final = frozenset(
    [
        "BIF",
        "CLP",
        "DJF",
        "GNF",
        "ISK",
        "JPY",
        "KMF",
        "KRW",
        "PYG",
        "RWF",
        "UGX",
        "UYI",
        "VND",
        "VUV",
        "XAF",
        "XOF",
        "XPF",
    ]
)
THREE_DIGITS: Final = frozenset(["BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"])
FOUR_DIGITS: Final = frozenset(["CLF", "UYW"])

LARGEST: Final = Decimal("99999999.9999")
"""What an amount's column holds; a price above is a slip of the finger."""


class NotMoney(ValueError):
    """Text that says no amount."""


def is_currency(code: str) -> bool:
    """Whether CLDR, and so ISO 4217, knows the three-letter code."""
    return bool(re.fullmatch(r"[A-Z]{3}", code)) and code in get_global("all_currencies")


def minor_digits(currency: str) -> int:
    """Digits after the decimal sign: 2 for EUR, 0 for JPY, 3 for KWD (ISO 4217)."""
    if currency in NO_MINOR_UNIT:
        return 0
    if currency in THREE_DIGITS:
        return 3
    return 4 if currency in FOUR_DIGITS else 2


def rounded(amount: Decimal, currency: str) -> Decimal:
    """``amount`` in whole minor units, half away from zero, as the official EN 16931 examples round."""
    return amount.quantize(Decimal(1).scaleb(-minor_digits(currency)), rounding=ROUND_HALF_UP)


def rounded_exactly(exact: Fraction, currency: str) -> Decimal:
    """``exact`` in whole minor units, half away from zero: rounded once, after everything else was exact.

    >>> rounded_exactly(Fraction(1, 6) * 3, "JPY")
    Decimal('1')
    """
    digits = minor_digits(currency)
    units = math.floor(abs(exact) * 10**digits + Fraction(1, 2))
    return Decimal(units if exact >= 0 else -units).scaleb(-digits)


def split(amount: Decimal, weights: Sequence[Decimal], currency: str) -> list[Decimal]:
    """Split ``amount`` (whole minor units) in proportion to ``weights`` of either sign; the shares add up to it.

    Shares are rounded down, and what is left goes, a unit each, to those who lost most by that (the method of
    largest remainders; the earlier of two equals first). Where the weights add up to zero, all of it goes to the
    first.

    >>> [str(share) for share in split(Decimal("10.00"), [Decimal(3), Decimal(-1)], "EUR")]
    ['15.00', '-5.00']
    """
    whole = sum((Fraction(weight) for weight in weights), Fraction(0))
    if not weights:
        return []
    if not whole:
        return [amount, *(Decimal(0) for _ in weights[1:])]
    digits = minor_digits(currency)
    units = Fraction(abs(amount)) * 10**digits
    exact = [units * Fraction(weight) / whole for weight in weights]
    shares = [math.floor(share) for share in exact]
    neediest = sorted(range(len(weights)), key=lambda place: shares[place] - exact[place])
    for place in neediest[: int(units) - sum(shares)]:
        shares[place] += 1
    sign = -1 if amount < 0 else 1
    return [Decimal(sign * share).scaleb(-digits) for share in shares]


def written(amount: Decimal, currency: str, locale: str = "en_US") -> str:
    """The amount with its currency as the locale writes it: ``$655.78``, ``655,78 €`` (CLDR)."""
    pattern = _pattern(locale, minor_digits(currency))
    text = pattern.apply(rounded(amount, currency), locale, currency, currency_digits=False)
    # CLDR's currency spacing, which Babel leaves out: a letter and a digit never touch.
    return re.sub(r"(?<=[A-Za-z])(?=\d)|(?<=\d)(?=[A-Za-z])", "\u00a0", text)


def parsed(text: str, currency: str, locale: str = "en_US") -> Decimal:
    """The amount that somebody typed: ``1,250.50``, ``1.250,50`` in a German studio, ``$40``, ``40 EUR``.

    Raises :class:`NotMoney` with what would be right.
    """
    symbol = get_currency_symbol(currency, locale)
    bare = text.strip().replace("\u00a0", " ").replace("\u202f", " ")
    for mark in (currency, symbol):
        bare = bare.replace(mark, "")
    bare = bare.strip().replace("\u2212", "-")
    symbols = Locale.parse(locale).number_symbols["latn"]
    group, point = symbols["group"], symbols["decimal"]
    bare = re.sub(r"[ '\u2019]", "", bare) if group not in ",." else bare.replace(" ", "")
    # A lone "12.50" in a comma studio, or "12,50" in a point studio, is meant as decimals, not as thousands.
    if re.fullmatch(r"-?\d+[.,]\d{1,2}", bare):
        bare = bare.replace(",", ".")
    else:
        if group in ",." and not re.fullmatch(
            rf"-?\d{{1,3}}(?:{re.escape(group)}\d{{3}})*(?:{re.escape(point)}\d*)?|-?\d+(?:{re.escape(point)}\d*)?",
            bare,
        ):
            raise NotMoney(
                f"“{text.strip()}” is no amount of money; write it like {_example(currency, locale)}."
            )
        bare = bare.replace(group, "").replace(point, ".")
    try:
        amount = Decimal(bare)
    except InvalidOperation:
        raise NotMoney(
            f"“{text.strip()}” is no amount of money; write it like {_example(currency, locale)}."
        ) from None
    if not amount.is_finite() or abs(amount) > LARGEST:
        raise NotMoney(f"“{text.strip()}” is more than any price here can be.")
    digits = minor_digits(currency)
    if -int(amount.as_tuple().exponent) > digits and amount != rounded(amount, currency):
        raise NotMoney(
            f"{currency} has {digits or 'no'} decimals; write it like {_example(currency, locale)}."
        )
    return rounded(amount, currency)


@cache
def _pattern(locale: str, digits: int) -> NumberPattern:
    """How the locale writes an amount with so many decimals."""
    # Babel's own digits are CLDR's, which drop decimals that ISO 4217 has for some currencies.
    pattern: NumberPattern = copy(Locale.parse(locale).currency_formats["standard"])
    pattern.frac_prec = (digits, digits)
    return pattern


def _example(currency: str, locale: str) -> str:
    return written(Decimal("1250.5"), currency, locale)
