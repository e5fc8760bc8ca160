"""Export the catalogue as CSV and import it again, with a dry run that shows what would change.

RFC 4180, UTF-8 (with or without a mark), comma or semicolon. Amounts with a point, lengths in metres, weights in
kilograms. A row whose code is known changes that item; a row without a code, or with a new one, adds an item, with as
many as it says are here now. Empty cells change nothing. Kits, photos and frame shapes are not in the file.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Final

from django.core.exceptions import ValidationError
from django.db import transaction

from stock.catalogue import barcodes
from stock.catalogue import items as catalogue
from stock.catalogue.items import Material
from stock.models import Colour, Item, Kind, Nature
from studio.models.spelling import spelled
from studio.outbox.long_work import Progress
from studio.paper import csv_table
from studio.paper.csv_safety import escape_cell
from studio.registry import Registry
from studio.tenancy.access import require
from studio.tenancy.rights import Right
from studio.ui.columns_form import TableFields

MOST_ROWS: Final = 5_000
MOST_BYTES: Final = 2_000_000
MOST_HERE: Final = 1_000_000
ROWS_A_STEP: Final = 25
"""So many rows are read between two looks at whether anybody still wants the rest."""
COST_COLUMNS: Final = ("price of a bag", "cost of one")


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its name, the item's field, and how a cell is read."""

    name: str
    field: str
    read: Callable[[str], object]


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the file: what it would do, and its errors."""

    number: int
    """The line in the file; the header is line 1."""
    code: str
    name: str
    action: str
    """``add``, ``change``, ``same`` or, with faults, ``wrong``."""
    changes: tuple[tuple[str, str, str], ...] = ()
    """Column, value now, value after."""
    faults: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ImportTable:
    """The effect of a file."""

    rows: tuple[Row, ...]

    def count(self, action: str) -> int:
        """How many rows have this action."""
        return sum(row.action == action for row in self.rows)

    @property
    def is_good(self) -> bool:
        """Whether every row can be imported."""
        return bool(self.rows) and not self.count("wrong")


def _text(cell: str) -> str:
    return cell


def _whole(cell: str) -> int:
    try:
        return int(cell)
    except ValueError:
        raise ValidationError(f"“{cell}” is not a whole number.") from None


def _number(cell: str) -> Decimal:
    try:
        value = Decimal(cell)
    except InvalidOperation:
        raise ValidationError(f"“{cell}” is not a number. Write it like 12.50.") from None
    if not value.is_finite():
        raise ValidationError(f"“{cell}” is not a number. Write it like 12.50.")
    return value


COLUMNS: Final = (
    Column("name", "name", _text),
    Column("pieces in a bag", "bag_size", _whole),
    Column("price of a bag", "bag_price", _number),
    Column("cost of one", "unit_cost", _number),
    Column("price per use", "price_per_use", _number),
    Column("uses", "expected_uses", _whole),
    Column("hours to clean", "turnaround_hours", _whole),
    Column("place", "place", _text),
    Column("weight kg", "weight_kg", _number),
    Column("GTIN", "gtin", barcodes.parse_gtin),
    Column("order more at", "reorder_at", _whole),
    Column("note", "note", _text),
)
"""The columns that can be changed; the columns that identify an item come before them."""
IDENTITY: Final = ("code", "kind", "after an event", "colour", "size")
opening: Final = Registry[Callable[[list[Material]], None]]()
"""Told how many there are of a new item: the ledger, which stands above the catalogue, writes them down."""
HERE_NOW: Final = "here now"
"""How many there are of a new item. What is known is counted on its own page: a file changes no count."""

OTHER_NAMES: Final[Mapping[str, Sequence[str]]] = {
    "code": ("sku", "item code", "item number", "artikelnummer", "nummer"),
    "kind": ("type", "category", "art", "kategorie"),
    "colour": ("color", "farbe"),
    "size": ("size in", "größe", "groesse"),
    "name": ("item", "item name", "product", "description", "bezeichnung", "artikel"),
    "pieces in a bag": ("pack size", "bag size", "pieces", "stück je beutel"),
    "price of a bag": ("bag price", "pack price", "beutelpreis"),
    "cost of one": ("cost", "unit cost", "purchase price", "einkaufspreis", "ek"),
    "price per use": ("price", "hire price", "rental price", "rate", "mietpreis", "preis"),
    "uses": ("expected uses", "einsätze"),
    "place": ("location", "shelf", "bin", "lagerort", "ort"),
    "weight kg": ("weight", "gewicht"),
    "GTIN": ("ean", "barcode", "upc"),
    "order more at": ("reorder at", "minimum", "mindestbestand"),
    "note": ("notes", "comment", "notiz", "bemerkung"),
    HERE_NOW: ("quantity", "qty", "on hand", "count", "in stock", "menge", "bestand", "anzahl"),
}
"""How tables of others name our columns, in English and German. Common practice, no source."""


def foreign_names(content: bytes) -> list[str]:
    """The columns of a file that aren't ours. Raises :class:`~studio.paper.csv_table.UnreadableFile`."""
    return [name for name in read_items_table(content).names if name not in _allowed()]


def column_fields() -> TableFields:
    """Our columns for a form that says which column of a file is which, with how others name them."""
    names = (*IDENTITY, *(column.name for column in _columns()), HERE_NOW)
    return TableFields(
        labels={_key(name): _label(name) for name in names},
        headers={_key(name): (name.casefold(), *OTHER_NAMES.get(name, ())) for name in names},
    )


def read_items_table(content: bytes) -> csv_table.CsvTable:
    """The table in a file, whatever its columns are called. Raises ``UnreadableFile``."""
    return csv_table.read_table(content, most_rows=MOST_ROWS, most_bytes=MOST_BYTES)


def renamed(content: bytes, columns: Mapping[str, int]) -> bytes:
    """The file with our names for the columns that were chosen, the others left out. Raises ``UnreadableFile``."""
    table = read_items_table(content)
    names = {_key(name): name for name in (*IDENTITY, *(column.name for column in COLUMNS), HERE_NOW)}
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(names[key] for key in columns)
    for row in table.rows:
        writer.writerow([row[place] if place < len(row) else "" for place in columns.values()])
    return text.getvalue().encode()


def export_csv() -> str:
    """All items in use as CSV; formulas are made harmless, costs are left out for whoever may not see them."""
    require(Right.SEE_QUOTES)
    columns = _columns()
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow([*IDENTITY, *(column.name for column in columns)])
    for item in catalogue.items_in_use().order_by("kind", "code"):
        identity = (
            item.code,
            item.kind,
            item.nature,
            item.colour.code if item.colour else "",
            item.size_in or "",
        )
        cells = [_cell_text(getattr(item, column.field)) for column in columns]
        writer.writerow([escape_cell(cell) for cell in (*identity, *cells)])
    return text.getvalue()


def count_rows(content: bytes) -> int:
    """How many rows the file has. Raises :class:`~studio.paper.csv_table.UnreadableFile`."""
    return len(_read_lines(content))


def preview_csv(content: bytes, *, progress: Progress = lambda _: None) -> ImportTable:
    """Work out what the file would do; nothing is written. Raises :class:`~studio.paper.csv_table.UnreadableFile`."""
    require(Right.EDIT_SHELF)
    lines = _read_lines(content)
    with transaction.atomic():
        table = _apply_lines(lines, progress)
        transaction.set_rollback(True)
    return table


def import_csv(content: bytes, *, progress: Progress = lambda _: None) -> ImportTable:
    """Import the file: all of it, or nothing if one row is wrong.

    Raises :class:`~studio.paper.csv_table.UnreadableFile`.
    """
    require(Right.EDIT_SHELF)
    lines = _read_lines(content)
    with transaction.atomic():
        table = _apply_lines(lines, progress)
        if not table.is_good:
            transaction.set_rollback(True)
    return table


# --- Private ---


def _columns() -> Sequence[Column]:
    from studio import tenancy
    from studio.tenancy.rights import may

    sees = may(tenancy.current().role, Right.SEE_COSTS)
    return [column for column in COLUMNS if sees or column.name not in COST_COLUMNS]


def _cell_text(value: object) -> str:
    if value is None:
        return ""
    return f"{value.normalize():f}" if isinstance(value, Decimal) else str(value)


def _read_lines(content: bytes) -> list[dict[str, str]]:
    """The rows by column name; an error of the whole file is refused here."""
    table = read_items_table(content)
    _check_header(table.names)
    return [dict(zip(table.names, row, strict=False)) | _extra_cells(table.names, row) for row in table.rows]


def _key(name: str) -> str:
    """A column's name as that of a form's field."""
    return name.replace(" ", "_")


def _label(name: str) -> str:
    shown = spelled("color") if name == "colour" else name
    return shown[0].upper() + shown[1:]


def _allowed() -> set[str]:
    return {*IDENTITY, HERE_NOW, *(column.name for column in _columns())}


def _extra_cells(names: Sequence[str], row: Sequence[str]) -> dict[str, str]:
    return (
        {"\x00": f"This line has {len(row)} cells, but the header has {len(names)}."}
        if len(row) > len(names)
        else {}
    )


def _check_header(names: Sequence[str]) -> None:
    allowed = _allowed()
    twice = sorted({name for name in names if names.count(name) > 1})
    unknown = [name for name in names if name not in allowed]
    faults = []
    if twice:
        faults.append(f"Column named twice: {', '.join(twice)}.")
    if unknown:
        faults.append(
            f"Unknown column: {', '.join(unknown[:8])}. Known columns: {', '.join(sorted(allowed))}."
        )
    if "code" not in names and "name" not in names:
        faults.append("The header needs a column “code” or “name”.")
    if faults:
        raise csv_table.UnreadableFile(faults)


def _apply_lines(lines: Sequence[Mapping[str, str]], progress: Progress) -> ImportTable:
    colours = {
        key: colour for colour in Colour.objects.all() for key in (colour.code, colour.name.casefold())
    }
    items = {item.code: item for item in Item.objects.select_related("colour")}
    seen: set[str] = set()
    rows = []
    for number, line in enumerate(lines, start=2):
        if number % ROWS_A_STEP == 0:
            progress((number - 2) / len(lines))
        code = line.get("code", "")
        try:
            if "\x00" in line:
                raise ValidationError(line["\x00"])
            if code and code in seen:
                raise ValidationError(f"{code} is in this file twice.")
            seen.add(code)
            with transaction.atomic():
                rows.append(_apply_line(number, line, items.get(code), colours))
        except ValidationError as refusal:
            rows.append(Row(number, code, line.get("name", ""), "wrong", faults=tuple(_error_lines(refusal))))
    return ImportTable(tuple(rows))


def _apply_line(
    number: int, line: Mapping[str, str], item: Item | None, colours: Mapping[str, Colour]
) -> Row:
    facts, faults = _read_facts(line)
    if faults:
        raise ValidationError(faults)
    if item is None:
        here = _count(line)
        added = _add_from_line(line, facts, colours)
        if here:
            for write in opening:
                write([Material(added.code, here)])
        return Row(number, added.code, added.name, "add")
    if line.get(HERE_NOW):
        raise ValidationError(f"{HERE_NOW}: {item.code} is known. Count it on its page instead.")
    if (kind := line.get("kind")) and kind != item.kind:
        raise ValidationError(
            f"{item.code} is a {item.kind}, not a {kind}. The kind of an item can’t change."
        )
    by_field = {column.field: column.name for column in COLUMNS}
    changes = tuple(
        (by_field[field], _cell_text(getattr(item, field)), _cell_text(value))
        for field, value in facts.items()
        if getattr(item, field) != value
    )
    if changes:
        catalogue.change_item(item, **facts)
    return Row(number, item.code, item.name, "change" if changes else "same", changes)


def _read_facts(line: Mapping[str, str]) -> tuple[dict[str, object], list[str]]:
    facts: dict[str, object] = {}
    faults: list[str] = []
    for column in COLUMNS:
        cell = line.get(column.name, "")
        if not cell:
            continue
        try:
            facts[column.field] = column.read(cell)
        except ValidationError as fault:
            faults += [f"{column.name}: {message}" for message in fault.messages]
    return facts, faults


def _count(line: Mapping[str, str]) -> int:
    cell = line.get(HERE_NOW, "")
    count = _whole(cell) if cell else 0
    if not 0 <= count <= MOST_HERE:
        raise ValidationError(f"{HERE_NOW}: write a number from 0 to {MOST_HERE:,}.")
    return count


def _kind(cell: str) -> str:
    """The kind that a cell says by its code or its name, whatever its capitals; else the cell as it stands."""
    said = {word.casefold(): code for code, label in Kind.choices for word in (code, label)}
    return said.get(cell.casefold(), cell)


def _add_from_line(line: Mapping[str, str], facts: dict[str, object], colours: Mapping[str, Colour]) -> Item:
    kind = _kind(line.get("kind", ""))
    if kind not in Kind.values:
        raise ValidationError(f"kind: “{kind}” isn’t one of {', '.join(Kind.values)}.")
    if kind == Kind.FRAME:
        raise ValidationError("kind: add frames on the page “Add an item”, where you enter their shape.")
    if nature := line.get("after an event"):
        if nature not in Nature.values:
            raise ValidationError(f"after an event: “{nature}” isn’t one of {', '.join(Nature.values)}.")
        facts["nature"] = nature
    if colour := line.get("colour"):
        found = colours.get(colour) or colours.get(colour.casefold())
        if found is None:
            raise ValidationError(
                f"{spelled('color')}: “{colour}” is not one of your {spelled('colors')}. Add it first."
            )
        facts["colour"] = found
    if size := line.get("size"):
        facts["size_in"] = _whole(size)
    if (code := line.get("code")) and kind not in {Kind.LATEX, Kind.TWISTING}:
        facts["code"] = code
    return catalogue.add_item(kind=Kind(kind), **facts)


def _error_lines(refusal: ValidationError) -> list[str]:
    if not hasattr(refusal, "error_dict"):
        return list(refusal.messages)
    return [
        f"{field}: {message}" if field != "__all__" else message
        for field, messages in refusal.message_dict.items()
        for message in messages
    ]
