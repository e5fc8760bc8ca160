"""Writes a letter: a text with its placeholders filled, as blocks for plain text and HTML, and sends it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, tzinfo
from typing import Final

import msgspec
from babel.dates import format_skeleton, format_time

from quoting.letters.our_texts import WORDS
from quoting.letters.texts import PLACEHOLDER, Text, find_text
from quoting.models import LetterKind
from quoting.pricing.frozen import day
from studio.measures import times
from studio.measures.languages import Language
from studio.models import Studio
from studio.outbox import mail

FIGURES: Final = ("total", "amount")
"""Alone in a paragraph, these stand large."""
Row = tuple[str, str, str]
"""Label, detail, amount."""


class Block(msgspec.Struct, frozen=True):
    """A part of a letter: ``text``, ``figure``, ``link``, ``rows`` or ``lines``."""

    kind: str
    lines: tuple[str, ...] = ()
    rows: tuple[Row, ...] = ()


@dataclass(frozen=True)
class Values:
    """What fills the placeholders: words, and what is more than words."""

    words: Mapping[str, str]
    prices: Sequence[Row] = ()
    payment: Sequence[str] = ()
    link: str = ""
    verb: str = ""
    title: str = ""


@dataclass(frozen=True)
class Letter:
    """A letter as it is sent."""

    subject: str
    blocks: tuple[Block, ...]
    language: Language
    verb: str = ""
    more: dict[str, object] = field(default_factory=dict)

    def context(self, studio: Studio) -> dict[str, object]:
        """What its templates need: plain JSON values."""
        return {
            "subject": self.subject,
            "blocks": [msgspec.to_builtins(block) for block in self.blocks],
            "language": str(self.language),
            "verb": self.verb,
            "copy_words": WORDS[self.language]["copy"],
            "house": studio.name,
            "reach": [each for each in (studio.phone, studio.email) if each],
        }


def day_words(when: date, language: Language, locale: str) -> str:
    """A day as that language writes it (CLDR): ``Sat, Dec 12, 2026``, ``Sa., 12. Dez. 2026``."""
    return (
        day(when, locale)
        if language == Language.ENGLISH
        else format_skeleton("yMMMEd", when, locale=language)
    )


def moment_words(moment: datetime, zone: tzinfo, language: Language, locale: str) -> str:
    """A day and its time, on the clocks of a zone."""
    there = moment.astimezone(zone)
    if language == Language.ENGLISH:
        return f"{day(there, locale)}, {times.time_written(there, locale)}"
    return (
        f"{day_words(there.date(), language, locale)}, {format_time(there.time(), 'short', locale=language)}"
    )


def write_letter(kind: LetterKind, language: Language, values: Values) -> Letter:
    """The letter of a kind with these values. One query, for the studio's own text."""
    return fill(find_text(kind, language), language, values)


def fill(text: Text, language: Language, values: Values) -> Letter:
    """A text with its placeholders filled. What fills a paragraph with nothing leaves it out."""
    blocks = [_block(paragraph, values) for paragraph in _paragraphs(text.body)]
    return Letter(
        " ".join(_filled(text.subject, values).split()),
        tuple(block for block in blocks if block.lines or block.rows),
        language,
        verb=values.verb,
    )


def send(
    letter: Letter,
    *,
    to: str,
    studio: Studio,
    picture: mail.Picture | None = None,
    attachments: Sequence[tuple[str, bytes, str]] = (),
    automatic: bool = True,
) -> None:
    """Hand it to the mail server: in the studio's name, answered to the studio."""
    mail.send(
        template="letter", to=to, reply_to=studio.email, sender=studio.name, context=letter.context(studio),
        picture=picture, attachments=attachments, automatic=automatic,
    )  # fmt: skip


def post(letter: Letter, *, to: str, key: str, studio: Studio) -> None:
    """Have the worker send it, once under ``key``."""
    mail.post(
        "letter", to=to, key=key, context=letter.context(studio), reply_to=studio.email, sender=studio.name
    )


# Private


def _paragraphs(body: str) -> list[str]:
    return [part.strip() for part in body.replace("\r\n", "\n").split("\n\n") if part.strip()]


def _block(paragraph: str, values: Values) -> Block:
    alone = PLACEHOLDER.fullmatch(paragraph)
    name = alone[1] if alone else ""
    if name == "prices":
        return Block("rows", rows=tuple(values.prices))
    if name == "payment":
        return Block("lines", tuple(values.payment))
    if name == "link":
        return Block("link", (values.link,))
    filled = [line.strip() for line in _filled(paragraph, values).split("\n")]
    return Block("figure" if name in FIGURES else "text", tuple(line for line in filled if line))


def _filled(text: str, values: Values) -> str:
    """Filled once: what a client's name or a title has in brackets stays as it is."""
    rows = "\n".join(f"{label}: {amount}" for label, _, amount in values.prices)
    more = {"prices": rows, "payment": "\n".join(values.payment), "link": values.link}
    return PLACEHOLDER.sub(lambda found: {**values.words, **more}.get(found[1], ""), text)
