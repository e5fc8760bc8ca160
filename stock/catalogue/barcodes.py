"""Barcode numbers (GTINs), verified by their check digit (GS1 General Specifications, section 7.9)."""

from __future__ import annotations

from typing import Final

from django.core.exceptions import ValidationError

LENGTHS: Final = (8, 12, 13, 14)
"""Digits of a GTIN-8, GTIN-12, GTIN-13 and GTIN-14."""


def check_digit(digits: str) -> int:
    """The check digit for ``digits``: weights 3, 1, 3 … from the right, filled up to a multiple of ten.

    >>> check_digit("400638133393")
    1
    """
    total = sum(int(digit) * (3 if place % 2 == 0 else 1) for place, digit in enumerate(reversed(digits)))
    return -total % 10


def same_gtins(digits: str) -> list[str]:
    """Every form in which scanners send this GTIN: shorter ones are padded with zeros (section 7.9).

    >>> same_gtins("96385074")
    ['96385074', '000096385074', '0000096385074', '00000096385074']
    """
    bare = digits.lstrip("0")
    return [bare.zfill(length) for length in LENGTHS if len(bare) <= length]


def parse_gtin(text: str) -> str:
    """The GTIN in ``text`` without spaces and hyphens; "" for none. Raises ``ValidationError``.

    >>> parse_gtin("4 006381-333931")
    '4006381333931'
    """
    digits = text.replace(" ", "").replace("-", "")
    if not digits:
        return ""
    if not (digits.isascii() and digits.isdecimal()) or len(digits) not in LENGTHS:
        raise ValidationError("A barcode number has 8, 12, 13 or 14 digits.")
    right = check_digit(digits[:-1])
    if right != int(digits[-1]):
        raise ValidationError(
            f"One digit is wrong: the check digit after {digits[:-1]} is {right}, not {digits[-1]}. Try again."
        )
    return digits
