"""CSV cells that a spreadsheet will open: keep it from running them as formulas."""

from __future__ import annotations

from typing import Final

FORMULA_STARTS: Final = ("=", "+", "-", "@", "\t", "\r")
"""First characters of a cell that a spreadsheet takes for a formula (OWASP, CSV Injection)."""


def escape_cell(value: object) -> str:
    """The value as text, with an apostrophe before anything that could be a formula. Numbers stay as they are.

    >>> escape_cell("=1+1"), escape_cell(-4)
    ("'=1+1", '-4')
    """
    text = str(value)
    if text.startswith(FORMULA_STARTS) and not _is_number(text):
        return f"'{text}"
    return text


def unescape_cell(text: str) -> str:
    """The text as it was before :func:`escape_cell`.

    >>> unescape_cell("'=1+1")
    '=1+1'
    """
    if text.startswith("'") and text[1:].startswith(FORMULA_STARTS):
        return text[1:]
    return text


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return text[0] in "-+0123456789" and text.isascii()
