"""Numbers under bars: GTINs, verified by their check digit (GS1 General Specifications, section 7.9)."""

from __future__ import annotations

from typing import Final

from django.core.exceptions import ValidationError

LENGTHS: Final = (8, 12, 13, 14)
"""Digits of a GTIN-8, GTIN-12, GTIN-13 and GTIN-14."""


def check_digit(digits: str) -> int:
    """The digit that follows ``digits``: from the right they count three times, once, three times …; the sum is
    filled up to a multiple of ten."""
    total = sum(int(digit) * (3 if place % 2 == 0 else 1) for place, digit in enumerate(reversed(digits)))
    return -total % 10


def same(digits: str) -> list[str]:
    """Every way in which scanners send this GTIN: a shorter one is the longer with zeros before it (section 7.9)."""
    bare = digits.lstrip("0")
    return [bare.zfill(length) for length in LENGTHS if len(bare) <= length]


def gtin(text: str) -> str:
    """The GTIN in ``text``, spaces and hyphens left out; "" for none. Raises ``ValidationError``."""
    digits = text.replace(" ", "").replace("-", "")
    if not digits:
        return ""
    if not (digits.isascii() and digits.isdecimal()) or len(digits) not in LENGTHS:
        raise ValidationError("A number under bars has 8, 12, 13 or 14 digits.")
    right = check_digit(digits[:-1])
    if right != int(digits[-1]):
        raise ValidationError(
            f"One digit is wrong: after {digits[:-1]} comes {right}, not {digits[-1]}. Type or scan it again."
        )
    return digits
