"""The catalogue as a table: out as CSV, and in again with a dry run that shows what would change.

RFC 4180, UTF-8 (with or without a mark), comma or semicolon. Amounts with a point, lengths in metres, weights in
kilograms. A row whose code is known changes that item; one without a code, or with a new one, adds one. Cells that are
left empty change nothing. Kits, photos and frames' shapes are not in it.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db import transaction

from stock.catalogue import barcodes
from stock.catalogue import items as catalogue
from stock.catalogue.csv_safety import plain, safe
from stock.models import Colour, Item, Kind, Nature
from studio.tenancy.access import require
from studio.tenancy.rights import Right

MOST_ROWS: Final = 5_000
MOST_BYTES: Final = 2_000_000
COST_COLUMNS: Final = ("price of a bag", "cost of one")


class NotATable(ValidationError):
    """The file as a whole can't be read as a table."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its name, the item's field, and how a cell is read."""

    name: str
    field: str
    read: Callable[[str], Any]


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the file: what it would do, and what is wrong with it."""

    number: int
    """The file's line, the head being 1."""
    code: str
    name: str
    deed: str
    """``add``, ``change``, ``same`` or, with faults, ``wrong``."""
    changes: tuple[tuple[str, str, str], ...] = ()
    """Column, what it is, what it would be."""
    faults: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Table:
    """What a file would do."""

    rows: tuple[Row, ...]

    def count(self, deed: str) -> int:
        """How many rows would do that."""
        return sum(row.deed == deed for row in self.rows)

    @property
    def is_good(self) -> bool:
        """Whether every row can be taken."""
        return bool(self.rows) and not self.count("wrong")


def _text(cell: str) -> str:
    return cell


def _whole(cell: str) -> int:
    try:
        return int(cell)
    except ValueError:
        raise ValidationError(f"“{cell}” is no whole number.") from None


def _number(cell: str) -> Decimal:
    try:
        value = Decimal(cell)
    except InvalidOperation:
        raise ValidationError(f"“{cell}” is no number; write it like 12.50.") from None
    if not value.is_finite():
        raise ValidationError(f"“{cell}” is no number; write it like 12.50.")
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
    Column("GTIN", "gtin", barcodes.gtin),
    Column("order more at", "reorder_at", _whole),
    Column("note", "note", _text),
)
"""The columns that can be changed; before them stand those that say what a thing is."""
IDENTITY: Final = ("code", "kind", "after an event", "colour", "size")
ONLY_ONCE: Final = frozenset(IDENTITY) | {column.name for column in COLUMNS}


def written() -> str:
    """Everything in use as CSV; formulas are made harmless, costs only for whoever may see them. Two queries."""
    require(Right.SEE_QUOTES)
    columns = _columns()
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow([*IDENTITY, *(column.name for column in columns)])
    for item in catalogue.in_use().order_by("kind", "code"):
        identity = (
            item.code,
            item.kind,
            item.nature,
            item.colour.code if item.colour else "",
            item.size_in or "",
        )
        cells = [_shown(getattr(item, column.field)) for column in columns]
        writer.writerow([safe(cell) for cell in (*identity, *cells)])
    return text.getvalue()


def read(content: bytes) -> Table:
    """What the file would do; nothing is written. Raises :class:`NotATable`."""
    require(Right.EDIT_SHELF)
    lines = _lines(content)
    with transaction.atomic():
        table = _tried(lines)
        transaction.set_rollback(True)
    return table


def take(content: bytes) -> Table:
    """Do what the file says, all of it or, if one row is wrong, nothing. Raises :class:`NotATable`."""
    require(Right.EDIT_SHELF)
    lines = _lines(content)
    with transaction.atomic():
        table = _tried(lines)
        if not table.is_good:
            transaction.set_rollback(True)
    return table


# --- Private ---


def _columns() -> Sequence[Column]:
    from studio import tenancy
    from studio.tenancy.rights import may

    sees = may(tenancy.current().role, Right.SEE_COSTS)
    return [column for column in COLUMNS if sees or column.name not in COST_COLUMNS]


def _shown(value: Any) -> str:
    if value is None:
        return ""
    return f"{value.normalize():f}" if isinstance(value, Decimal) else str(value)


def _lines(content: bytes) -> list[dict[str, str]]:
    """The rows by column name; every fault of the whole file is refused here."""
    if len(content) > MOST_BYTES:
        raise NotATable(f"The file is larger than {MOST_BYTES // 1_000_000} MB; send it in parts.")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise NotATable("The file isn’t UTF-8. Save it as “CSV UTF-8” and send it again.") from None
    if "\x00" in text:
        raise NotATable("This is no CSV file.")
    head, _, _ = text.partition("\n")
    reader = csv.reader(io.StringIO(text), delimiter=";" if head.count(";") > head.count(",") else ",")
    try:
        rows = [row for row in reader if any(cell.strip() for cell in row)]
    except csv.Error as fault:
        raise NotATable(f"Line {reader.line_num} can’t be read: {fault}.") from None
    if not rows:
        raise NotATable("The file is empty.")
    names = [name.strip() for name in rows[0]]
    _good_head(names)
    if len(rows) - 1 > MOST_ROWS:
        raise NotATable(f"{len(rows) - 1:,} rows are too many at once; send at most {MOST_ROWS:,}.")
    return [
        {name: plain(cell.strip()) for name, cell in zip(names, row, strict=False)} | _too_long(names, row)
        for row in rows[1:]
    ]


def _too_long(names: Sequence[str], row: Sequence[str]) -> dict[str, str]:
    return (
        {"\x00": f"This line has {len(row)} cells, the head has {len(names)}."}
        if len(row) > len(names)
        else {}
    )


def _good_head(names: Sequence[str]) -> None:
    allowed = {*IDENTITY, *(column.name for column in _columns())}
    twice = sorted({name for name in names if names.count(name) > 1})
    unknown = [name for name in names if name not in allowed]
    faults = []
    if twice:
        faults.append(f"Twice in the head: {', '.join(twice)}.")
    if unknown:
        faults.append(
            f"Unknown in the head: {', '.join(unknown[:8])}. Known are: {', '.join(sorted(allowed))}."
        )
    if "code" not in names and "name" not in names:
        faults.append("The head needs at least “code” or “name”.")
    if faults:
        raise NotATable(faults)


def _tried(lines: Iterable[Mapping[str, str]]) -> Table:
    colours = {
        key: colour for colour in Colour.objects.all() for key in (colour.code, colour.name.casefold())
    }
    items = {item.code: item for item in Item.objects.select_related("colour")}
    seen: set[str] = set()
    rows = []
    for number, line in enumerate(lines, start=2):
        code = line.get("code", "")
        try:
            if "\x00" in line:
                raise ValidationError(line["\x00"])
            if code and code in seen:
                raise ValidationError(f"{code} stands in this file twice.")
            seen.add(code)
            with transaction.atomic():
                rows.append(_one(number, line, items.get(code), colours))
        except ValidationError as refusal:
            rows.append(Row(number, code, line.get("name", ""), "wrong", faults=tuple(_said(refusal))))
    return Table(tuple(rows))


def _one(number: int, line: Mapping[str, str], item: Item | None, colours: Mapping[str, Colour]) -> Row:
    facts, faults = _facts(line)
    if faults:
        raise ValidationError(faults)
    if item is None:
        added = _add(line, facts, colours)
        return Row(number, added.code, added.name, "add")
    if (kind := line.get("kind")) and kind != item.kind:
        raise ValidationError(f"{item.code} is a {item.kind}, not a {kind}; a kind never changes.")
    by_field = {column.field: column.name for column in COLUMNS}
    changes = tuple(
        (by_field[field], _shown(getattr(item, field)), _shown(value))
        for field, value in facts.items()
        if getattr(item, field) != value
    )
    if changes:
        catalogue.change_item(item, **facts)
    return Row(number, item.code, item.name, "change" if changes else "same", changes)


def _facts(line: Mapping[str, str]) -> tuple[dict[str, Any], list[str]]:
    facts: dict[str, Any] = {}
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


def _add(line: Mapping[str, str], facts: dict[str, Any], colours: Mapping[str, Colour]) -> Item:
    kind = line.get("kind", "")
    if kind not in Kind.values:
        raise ValidationError(f"kind: “{kind}” is none of {', '.join(Kind.values)}.")
    if kind == Kind.FRAME:
        raise ValidationError("kind: frames are added on their own page, where their shape is drawn.")
    if nature := line.get("after an event"):
        if nature not in Nature.values:
            raise ValidationError(f"after an event: “{nature}” is none of {', '.join(Nature.values)}.")
        facts["nature"] = nature
    if colour := line.get("colour"):
        found = colours.get(colour) or colours.get(colour.casefold())
        if found is None:
            raise ValidationError(f"colour: there is no colour “{colour}” yet.")
        facts["colour"] = found
    if size := line.get("size"):
        facts["size_in"] = _whole(size)
    if (code := line.get("code")) and kind not in {Kind.LATEX, Kind.TWISTING}:
        facts["code"] = code
    return catalogue.add_item(kind=Kind(kind), **facts)


def _said(refusal: ValidationError) -> list[str]:
    if not hasattr(refusal, "error_dict"):
        return list(refusal.messages)
    return [
        f"{field}: {message}" if field != "__all__" else message
        for field, messages in refusal.message_dict.items()
        for message in messages
    ]
