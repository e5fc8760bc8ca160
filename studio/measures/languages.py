"""The language that a client or the crew reads: chosen once, spoken inside a block, and what it does to figures.

Pages of the office are English and write days and amounts as the studio's locale does. Inside :func:`speaking` words
come from Django's catalogue of that language, and days, amounts and lengths are written as its readers write them.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache

from babel import Locale, localedata
from django.conf import settings
from django.db import models
from django.utils import translation


class Language(models.TextChoices):
    """Languages that clients and crew can read (ISO 639-1)."""

    ENGLISH = "en", "English"
    GERMAN = "de", "Deutsch"


_spoken: ContextVar[Language | None] = ContextVar("billowbook_spoken_language", default=None)


def language_of(own: str, locale: str) -> Language:
    """The reader's own language, or else that of the studio's locale, as far as we speak it; English otherwise.

    >>> language_of("", "de_AT"), language_of("en", "de_AT"), language_of("", "fr_FR")
    (Language.GERMAN, Language.ENGLISH, Language.ENGLISH)
    """
    asked = own or locale.split("_", maxsplit=1)[0]
    return Language(asked) if asked in Language.values else Language.ENGLISH


@contextmanager
def speaking(language: Language) -> Iterator[None]:
    """Inside, our words are in that language."""
    with _spoken_as(language, language.value):
        yield


@contextmanager
def in_office() -> Iterator[None]:
    """Inside, our words are for the studio, whatever its client reads meanwhile."""
    with _spoken_as(None, settings.LANGUAGE_CODE):
        yield


def spoken() -> Language | None:
    """The language of whoever reads; None on the office's own pages."""
    return _spoken.get()


def in_language(locale: str) -> str:
    """The locale, in the language of whoever reads: of the same territory where the CLDR knows the two together.

    >>> with speaking(Language.GERMAN):
    ...     in_language("de_AT"), in_language("en_US")
    ('de_AT', 'de')
    """
    language = spoken()
    return locale if language is None else _together(language.value, locale)


def with_decimal_sign(figure: str) -> str:
    """A figure with a point, with the decimal sign of whoever reads.

    >>> with speaking(Language.GERMAN):
    ...     with_decimal_sign("2.30 m")
    '2,30 m'
    """
    language = spoken()
    return figure if language is None else figure.replace(".", _decimal_sign(language.value))


def inside(words: str) -> str:
    """Words that begin a line, as they stand within one: German keeps the capitals of its nouns.

    >>> inside("Frames and covers")
    'frames and covers'
    """
    return words if spoken() == Language.GERMAN else words[:1].lower() + words[1:]


# Private


@contextmanager
def _spoken_as(language: Language | None, code: str) -> Iterator[None]:
    before = _spoken.set(language)
    try:
        with translation.override(code):
            yield
    finally:
        _spoken.reset(before)


@cache
def _together(language: str, locale: str) -> str:
    asked = Locale.parse(locale)
    if asked.language == language:
        return locale
    both = f"{language}_{asked.territory}"
    return both if localedata.exists(both) else language


@cache
def _decimal_sign(language: str) -> str:
    sign: str = Locale.parse(language).number_symbols["latn"]["decimal"]
    return sign
