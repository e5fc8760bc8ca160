"""Tables that people bring: CSV files (RFC 4180), UTF-8 with or without a mark, comma or semicolon."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass

from django.core.exceptions import ValidationError

from studio.paper.csv_safety import unescape_cell


class UnreadableFile(ValidationError):
    """The file can't be read as a table at all."""


@dataclass(frozen=True, slots=True)
class CsvTable:
    """The header's names and the rows below it, without empty ones; cells are text without outer blanks.

    A row may be shorter or longer than the header.
    """

    names: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    first: int = 2
    """The number of the first row in its file: below the header's line, which is 1."""


def read_table(content: bytes, *, most_rows: int, most_bytes: int) -> CsvTable:
    """The table in a file. Raises :class:`UnreadableFile`.

    >>> read_table(b"name;place\\nEasel;bay 3\\n", most_rows=9, most_bytes=99)
    CsvTable(names=('name', 'place'), rows=(('Easel', 'bay 3'),), first=2)
    """
    rows = _rows(file_text(content, most_bytes=most_bytes))
    if not rows:
        raise UnreadableFile("The file is empty.")
    if len(rows) - 1 > most_rows:
        raise UnreadableFile(f"{len(rows) - 1:,} rows are too many. Import at most {most_rows:,} at once.")
    names = tuple(name.strip() for name in rows[0])
    return CsvTable(names, tuple(tuple(unescape_cell(cell.strip()) for cell in row) for row in rows[1:]))


def file_text(content: bytes, *, most_bytes: int) -> str:
    """The text of a file, UTF-8 with or without a mark. Raises :class:`UnreadableFile`."""
    if len(content) > most_bytes:
        raise UnreadableFile(
            f"The file is larger than {most_bytes // 1_000_000} MB. Split it into several files."
        )
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise UnreadableFile("The file isn’t UTF-8. Save it as “CSV UTF-8” and try again.") from None
    if "\x00" in text:
        raise UnreadableFile("This is not a text file.")
    return text


# --- Private ---


def _rows(text: str) -> list[list[str]]:
    head, _, _ = text.partition("\n")
    reader = csv.reader(io.StringIO(text), delimiter=";" if head.count(";") > head.count(",") else ",")
    try:
        return [row for row in reader if any(cell.strip() for cell in row)]
    except csv.Error as fault:
        raise UnreadableFile(f"Line {reader.line_num} can’t be read: {fault}.") from None
