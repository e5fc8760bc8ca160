"""Our own words as the entered studio spells them: American in our source, British where its locale writes so.

Only sentences of ours pass through here, never what somebody typed. They are translated first: another language than
English stays as its catalogue says it.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from babel import Locale
from django.utils.functional import lazy

from studio.measures.languages import Language, spoken
from studio.models.studio import written_locale

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

AMERICAN: Final = frozenset({"US", "PR", "GU", "VI", "AS", "MP", "UM", "PH", "LR"})
"""Territories that write American English: those of the United States, the Philippines and Liberia."""

BRITISH: Final = {
    "canceled": "cancelled",
    "catalog": "catalogue",
    "center": "centre",
    "centimeter": "centimetre",
    "color": "colour",
    "kilometer": "kilometre",
    "labor": "labour",
    "liter": "litre",
    "meter": "metre",
    "neighbor": "neighbour",
}
"""Each American word that we say, with its British spelling."""


def spelled(words: StrOrPromise, locale: str | None = None) -> str:
    """Our American ``words`` as that locale spells them: the entered studio's where none is given.

    >>> spelled("Colors and labor", "en_GB"), spelled("Colors and labor", "en_US")
    ('Colours and labour', 'Colors and labor')
    """
    if spoken() not in (None, Language.ENGLISH) or writes_american(locale or written_locale()):
        return str(words)
    return _WORD.sub(lambda found: _british(found[0]), str(words))


def writes_american(locale: str) -> bool:
    """Whether that locale is of a territory that writes American English."""
    return Locale.parse(locale).territory in AMERICAN


def cheque(locale: str | None = None) -> str:
    """An order to a bank on paper: a word of its own, since "check" says other things as well.

    >>> cheque("en_US"), cheque("en_GB")
    ('check', 'cheque')
    """
    return "check" if writes_american(locale or written_locale()) else "cheque"


spelled_lazy = lazy(spelled, str)
"""For labels that are written down before any studio is entered."""


# --- Private ---

_WORD: Final = re.compile(rf"\b({'|'.join(sorted(BRITISH, key=len, reverse=True))})(?=s?\b)", re.IGNORECASE)


def _british(american: str) -> str:
    british = BRITISH[american.lower()]
    return british.capitalize() if american[0].isupper() else british
