"""Address cards that people bring: vCard 3.0 and 4.0 (RFC 2426, RFC 6350), and 2.1 as older phones write it."""

from __future__ import annotations

import quopri
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Final

from icalendar.parser import Contentlines

from studio.paper.csv_table import CsvTable, UnreadableFile, file_text

COLUMNS: Final = ("name", "e-mail", "telephone", "address", "notes")
QUOTED: Final = re.compile(r"^[^:]*ENCODING=QUOTED-PRINTABLE[^:]*:.*=$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Card:
    """One person or business: the preferred number and address first, then the others as they stand."""

    name: str = ""
    emails: tuple[str, ...] = ()
    phones: tuple[str, ...] = ()
    address: str = ""
    """With a line for each part that is filled."""
    notes: str = ""


@dataclass(slots=True)
class _Said:
    """What a card said so far; each number with how gladly it is used, the smallest first."""

    full_name: str = ""
    parts: str = ""
    business: str = ""
    emails: list[tuple[int, str]] = field(default_factory=list)
    phones: list[tuple[int, str]] = field(default_factory=list)
    address: str = ""
    notes: str = ""


def is_vcard(content: bytes) -> bool:
    """Whether a file begins as vCards do.

    >>> is_vcard(b"begin:vcard")
    True
    """
    return content.removeprefix(b"\xef\xbb\xbf").lstrip()[:11].upper() == b"BEGIN:VCARD"


def read_cards(text: str) -> list[Card]:
    """The cards of a file, in its order. What we have no place for (photos, birthdays) is left out.

    Raises :class:`~studio.paper.csv_table.UnreadableFile`.

    >>> read_cards("BEGIN:VCARD\\nVERSION:4.0\\nFN:Ada Reed\\nTEL:tel:+1-617-555-0123\\nEND:VCARD\\n")
    [Card(name='Ada Reed', emails=(), phones=('+1-617-555-0123',), address='', notes='')]
    """
    cards: list[Card] = []
    said: _Said | None = None
    for name, kinds, value in _lines(text):
        if name == "BEGIN":
            said = _Said()
        elif name == "END" and said:
            cards.append(_card(said))
            said = None
        elif said:
            _note(said, name, kinds, value)
    if said:
        raise UnreadableFile("The last card has no end. Export the file again.")
    return cards


def cards_table(content: bytes, *, most_cards: int, most_bytes: int) -> CsvTable:
    """The cards of a file as a table with :data:`COLUMNS`. Further numbers and addresses stand among the notes.

    Raises :class:`~studio.paper.csv_table.UnreadableFile`.
    """
    cards = read_cards(file_text(content, most_bytes=most_bytes))
    if len(cards) > most_cards:
        raise UnreadableFile(f"{len(cards):,} cards are too many. Import at most {most_cards:,} at once.")
    return CsvTable(COLUMNS, tuple(_row(card) for card in cards), first=1)


# --- Private ---


def _lines(text: str) -> Iterator[tuple[str, Mapping[str, str], str]]:
    """Name without its group, parameters and value of each line."""
    try:
        lines = Contentlines.from_ical(_joined(text))  # type: ignore[no-untyped-call]
        for line in lines:
            if line:
                name, parameters, value = line.parts()
                kinds = {key.upper(): _flat(said) for key, said in parameters.items()}
                yield name.rpartition(".")[2].upper(), kinds, _decoded(value, kinds)
    except ValueError:
        raise UnreadableFile("This is not a vCard file that can be read. Export it as vCard 3.0.") from None


def _joined(text: str) -> str:
    """Lines of quoted-printable text that go on after a soft break (RFC 2045, 6.7) are one line."""
    whole: list[str] = []
    for line in text.replace("\r\n", "\n").split("\n"):
        if whole and QUOTED.match(whole[-1]):
            whole[-1] = whole[-1][:-1] + line
        else:
            whole.append(_with_type(line))
    return "\n".join(whole)


def _with_type(line: str) -> str:
    """``TEL;CELL;PREF:…`` of vCard 2.1 as ``TEL;TYPE=CELL;TYPE=PREF:…``."""
    head, colon, value = line.partition(":")
    if line[:1].isspace() or ";" not in head or '"' in head:
        return line
    name, *kinds = head.split(";")
    return ";".join((name, *(kind if "=" in kind else f"TYPE={kind}" for kind in kinds))) + colon + value


def _flat(said: object) -> str:
    return ",".join(map(str, said)) if isinstance(said, list | tuple) else str(said)


def _decoded(value: str, kinds: Mapping[str, str]) -> str:
    if kinds.get("ENCODING", "").upper() != "QUOTED-PRINTABLE":
        return value
    try:
        return quopri.decodestring(value.encode()).decode(kinds.get("CHARSET", "utf-8"))
    except (LookupError, UnicodeDecodeError):
        return value


def _note(said: _Said, name: str, kinds: Mapping[str, str], value: str) -> None:
    """What a line says, where we have a place for it; the first name, address and note count."""
    value = value.strip()
    match name:
        case "FN":
            said.full_name = said.full_name or value
        case "N":
            said.parts = said.parts or _name_of(value)
        case "ORG":
            said.business = said.business or value.partition(";")[0].strip()
        case "EMAIL":
            said.emails.append((_rank(kinds), value.removeprefix("mailto:")))
        case "TEL":
            said.phones.append((_rank(kinds), value.removeprefix("tel:")))
        case "ADR":
            said.address = said.address or "\n".join(
                part.strip() for part in value.split(";") if part.strip()
            )
        case "NOTE":
            said.notes = said.notes or value


def _name_of(value: str) -> str:
    """``Perreault;Simon;;;`` in the order in which it is spoken: prefix, given, further, family."""
    family, given, further, prefix = [*(part.strip() for part in value.split(";")), "", "", "", ""][:4]
    return " ".join(part for part in (prefix, given, further, family) if part)


def _rank(kinds: Mapping[str, str]) -> int:
    """RFC 6350 (5.3): PREF from 1, the most preferred, to 100; RFC 2426: TYPE=pref."""
    if kinds.get("PREF", "").isdecimal():
        return int(kinds["PREF"])
    said = kinds.get("TYPE", "").lower().split(",")
    return 1 if "pref" in said else 101 if "cell" in said else 102


def _card(said: _Said) -> Card:
    name = said.full_name or said.parts or said.business
    card = Card(name, _in_order(said.emails), _in_order(said.phones), said.address, said.notes)
    if said.business and said.business != name:
        return replace(card, notes="\n".join(part for part in (said.business, said.notes) if part))
    return card


def _in_order(ranked: list[tuple[int, str]]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(value for _, value in sorted(ranked, key=lambda pair: pair[0]) if value))


def _row(card: Card) -> tuple[str, ...]:
    further = [*card.phones[1:], *card.emails[1:]]
    notes = "\n".join(part for part in (card.notes, ", ".join(further)) if part)
    email, phone = (values[0] if values else "" for values in (card.emails, card.phones))
    return card.name, email, phone, card.address, notes
