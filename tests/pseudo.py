"""A language in which every message of ours stands in brackets: what a page says outside them, nobody can translate.

It takes German's place, so that clients can be given it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from html.parser import HTMLParser
from pathlib import Path
from typing import Final

from babel.messages import Catalog
from babel.messages.mofile import write_mo

from tests import messages

CALENDAR: Final = (
    "Mo", "Di", "Mi", "Do", "Fr", "Sa", "So", "Jan", "Feb", "März", "Apr", "Mai", "Juni", "Juli", "Aug", "Sept",
    "Okt", "Nov", "Dez",
)  # fmt: skip
"""Days and months as the CLDR writes them in German."""
OPEN, CLOSE = "⟦", "⟧"
READ_ALOUD: Final = ("aria-label", "alt", "title", "placeholder", "label")
"""Attributes that somebody reads or hears; so are those in which a script finds its sentences."""
UNSEEN: Final = ("script", "style", "svg", "template")
WORD: Final = re.compile(r"[^\W\d_]{2,}")


def write(folder: Path) -> None:
    """The catalogue of that language, compiled, as a folder for `LOCALE_PATHS`."""
    catalogue = Catalog(locale="de")
    for message in messages.from_source():
        if message.id:
            catalogue.add(message.id, _marked(message.id), context=message.context)
    target = folder / "de" / "LC_MESSAGES"
    target.mkdir(parents=True)
    with (target / "django.mo").open("wb") as file:
        write_mo(file, catalogue)


def unmarked(page: str, data: Iterable[str]) -> list[str]:
    """What of a page is neither in brackets nor one of the words that people typed."""
    reader = _Reader()
    reader.feed(page)
    known = sorted(filter(None, data), key=len, reverse=True)
    # Together, since a message may have markup within it.
    outside = _outside_brackets("\n".join(" ".join(text.split()) for text in reader.texts))
    return [left for text in outside.split("\n") if (left := _without(known, text))]


# Private


def _marked(said: str | tuple[str, ...] | list[str]) -> str | tuple[str, ...]:
    return f"{OPEN}{said}{CLOSE}" if isinstance(said, str) else tuple(f"{OPEN}{one}{CLOSE}" for one in said)


def _outside_brackets(text: str) -> str:
    """A text without what is in brackets, be it within others."""
    inner = re.compile(f"{OPEN}[^{OPEN}{CLOSE}]*{CLOSE}")
    while inner.search(text):
        text = inner.sub(" ", text)
    return text


def _without(known: list[str], text: str) -> str:
    """A text without the known words, if any other word is left."""
    for words in known:
        text = text.replace(words, " ")
    return " ".join(text.split()) if WORD.search(text) else ""


class _Reader(HTMLParser):
    """Gathers the texts of a page and the attributes that are read aloud, or said by its scripts."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.texts: list[str] = []
        self._unseen: list[str] = []
        self._text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in UNSEEN:
            self._unseen.append(tag)
        if self._unseen and tag not in UNSEEN:
            return
        for name, value in attrs:
            if value and (name in READ_ALOUD or name.startswith("data-say")):
                self.texts.append(value)

    def handle_endtag(self, tag: str) -> None:
        if self._unseen and tag == self._unseen[-1]:
            self._unseen.pop()

    def handle_data(self, data: str) -> None:
        if not self._unseen and data.strip():
            self.texts.append(data)
