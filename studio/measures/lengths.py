"""Lengths: metres inside; feet and inches or metric on the page; whatever people type on the way in."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from typing import Final

from studio.measures.languages import with_decimal_sign

INCH: Final = Decimal("0.0254")
FOOT: Final = Decimal("0.3048")
LONGEST: Final = Decimal(200)
"""Metres; no room that a studio dresses is longer."""

_UNIT_METRES: Final[dict[str, Decimal]] = {
    **dict.fromkeys(("ft", "foot", "feet", "'", "\u2032", "\u2019"), FOOT),
    **dict.fromkeys(("in", "inch", "inches", '"', "\u2033", "\u201d", "''"), INCH),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), Decimal(1)),
    **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), Decimal("0.01")),
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), Decimal("0.001")),
    **dict.fromkeys(("yd", "yard", "yards"), Decimal("0.9144")),
}
_NUMBER: Final = r"(?:\d+[ -]\d+/\d+|\d+/\d+|\d*[¼½¾]|\d+(?:[.,]\d+)?|[.,]\d+)"
_PART: Final = re.compile(
    rf"\s*({_NUMBER})\s*([a-z]+|''|['\"\u2019\u201d\u2032\u2033])?\.?\s*,?", re.IGNORECASE
)
_VULGAR: Final = {"¼": Fraction(1, 4), "½": Fraction(1, 2), "¾": Fraction(3, 4)}


class NotALength(ValueError):
    """Text that says no length."""


def parsed(text: str, units: str) -> Decimal:
    """Metres out of what somebody typed: ``7'6"``, ``7 ft 6 in``, ``7 1/2 ft``, ``90 in``, ``2.3 m``, ``230 cm``.

    A bare number is feet where ``units`` is ``"feet"`` and metres where it is ``"metric"``; after feet a bare
    number is inches. Exact to 0.1 mm. Raises :class:`NotALength` with what would be right; zero and negative
    lengths are refused here too, since nothing that is measured has one.
    """
    total, position, previous = Fraction(0), 0, Decimal(1000)
    stripped = text.strip()
    if not stripped:
        raise NotALength(f"Write a length, like {_example(units)}.")
    while position < len(stripped):
        match = _PART.match(stripped, position)
        if not match or match.end() == position:
            raise NotALength(f"“{stripped}” is no length; write it like {_example(units)}.")
        metres = _unit(match[2], units, previous, stripped)
        if metres >= previous:
            raise NotALength(f"“{stripped}” mixes units out of order; write it like {_example(units)}.")
        total += _number(match[1]) * Fraction(metres)
        position, previous = match.end(), metres
    if total <= 0:
        raise NotALength(f"A length is more than nothing; write it like {_example(units)}.")
    if total > LONGEST:
        raise NotALength(f"“{stripped}” is longer than {written(LONGEST, units)}, the most that fits here.")
    return (
        Decimal(total.numerator * 10000 // total.denominator).scaleb(-4) if _exact(total) else _rounded(total)
    )


def written(metres: Decimal | float, units: str) -> str:
    """``7 ft 6 in`` to the nearest quarter inch, or ``2.30 m`` to the centimetre."""
    if units == "metric":
        return with_decimal_sign(f"{Decimal(metres).quantize(Decimal('0.01'))} m")
    quarters = int((Decimal(metres) / INCH * 4).to_integral_value())
    feet, rest = divmod(quarters, 48)
    inches, part = divmod(rest, 4)
    spelled = f"{inches}{('', '¼', '½', '¾')[part]}" if inches or not part else ("¼", "½", "¾")[part - 1]
    if not feet:
        return f"{spelled} in"
    return f"{feet} ft" if not rest else f"{feet} ft {spelled} in"


def _unit(name: str | None, units: str, previous: Decimal, text: str) -> Decimal:
    if name is None:
        if previous == FOOT:
            return INCH
        return FOOT if units == "feet" else Decimal(1)
    try:
        return _UNIT_METRES[name.lower()]
    except KeyError:
        raise NotALength(f"“{name}” in “{text}” is no unit known here; use ft, in, m, cm or mm.") from None


def _number(text: str) -> Fraction:
    if text[-1] in _VULGAR:
        return Fraction(text[:-1] or "0") + _VULGAR[text[-1]]
    if "/" in text:
        whole, _, part = text.replace("-", " ").rpartition(" ")
        numerator, denominator = part.split("/")
        if int(denominator) == 0:
            raise NotALength(f"“{text}” divides by nothing.")
        return Fraction(int(whole or 0)) + Fraction(int(numerator), int(denominator))
    return Fraction(text.replace(",", "."))


def _exact(total: Fraction) -> bool:
    return (total * 10000).denominator == 1


def _rounded(total: Fraction) -> Decimal:
    return Decimal(round(total * 10000)).scaleb(-4)


def _example(units: str) -> str:
    return "7 ft 6 in" if units == "feet" else "2.30 m or 230 cm"
