"""Sentences that name lengths: a length stays a number until the reader's units are known."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

Sentence: TypeAlias = tuple[str | float, ...]
"""Words, and between them lengths [m]."""


def to_translate(words: str) -> str:
    """Mark words for the catalogues of other languages. They are translated where they are shown, not here.

    >>> to_translate("Release the hold")
    'Release the hold'
    """
    return words


def in_metres(length_m: float) -> str:
    """Write a length in metres.

    >>> in_metres(2.5)
    '2.50 m'
    """
    return f"{length_m:.2f} m"


def written_out(sentence: Sentence, length: Callable[[float], str] = in_metres) -> str:
    """Write a sentence out, each of its lengths by ``length``.

    >>> written_out(("comes out ", 2.5, " wide"), lambda length_m: f"{length_m / 0.3048:.1f} ft")
    'comes out 8.2 ft wide'
    """
    return "".join(part if isinstance(part, str) else length(part) for part in sentence)
