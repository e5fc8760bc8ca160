"""Cells of a table that another program will open."""

from __future__ import annotations

from typing import Any, Final

FORMULA_STARTS: Final = ("=", "+", "-", "@", "\t", "\r")
"""How a cell begins that a spreadsheet would work out (OWASP, CSV Injection)."""


def safe(value: Any) -> str:
    """The value as text that no spreadsheet takes for a formula: an apostrophe goes before what might be one.

    A plain number below zero stays a number.
    """
    text = str(value)
    if text.startswith(FORMULA_STARTS) and not _is_number(text):
        return f"'{text}"
    return text


def plain(text: str) -> str:
    """What :func:`safe` made, as it was."""
    if text.startswith("'") and text[1:].startswith(FORMULA_STARTS):
        return text[1:]
    return text


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return text[0] in "-+0123456789" and text.isascii()
