"""Clients out of a table: which column says what, what would be added, and adding it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import IntegrityError, transaction
from django.db.models.functions import Lower

from events.contacts import phone_numbers
from events.contacts.clients import region
from events.models import Client
from studio.paper.csv_table import CsvTable, read_table
from studio.paper.table_preview import Preview
from studio.paper.vcard import cards_table, is_vcard
from studio.tenancy.access import require
from studio.tenancy.rights import Right
from studio.ui.columns_form import TableFields

MOST_ROWS: Final = 2_000
MOST_BYTES: Final = 1_000_000
LONGEST_NAME: Final = Client._meta.get_field("name").max_length or 0
LONGEST_ADDRESS: Final = Client._meta.get_field("bill_to").max_length or 0
FIELDS: Final = TableFields(
    labels={
        "name": "Name or first name",
        "surname": "Last name",
        "email": "E-mail address",
        "phone": "Telephone",
        "bill_to": "Address for invoices",
        "notes": "Notes",
    },
    headers={
        "name": (
            "name",
            "full name",
            "client",
            "customer",
            "first name",
            "given name",
            "vorname",
            "kunde",
            "kundin",
        ),
        "surname": ("surname", "last name", "family name", "nachname", "familienname"),
        "email": ("email", "e-mail", "mail", "email address", "e-mail address", "e-mail-adresse"),
        "phone": (
            "phone",
            "telephone",
            "mobile",
            "phone number",
            "telefon",
            "handy",
            "mobil",
            "telefonnummer",
        ),
        "bill_to": (
            "address",
            "billing address",
            "postal address",
            "adresse",
            "anschrift",
            "rechnungsadresse",
        ),
        "notes": ("notes", "note", "comment", "remarks", "notiz", "notizen", "bemerkung"),
    },
    required=frozenset({"name"}),
)
"""What a column may say; a surname is put behind the name. How tables usually name their columns, in English and
German: common practice, no source."""


@dataclass(frozen=True, slots=True)
class ClientRow:
    """One line of the table, and what it would do. ``faults`` say why it can't be a client."""

    number: int
    """The line in the file, where the header is line 1, or the card."""
    name: str
    email: str = ""
    phone: str = ""
    bill_to: str = ""
    notes: str = ""
    known: bool = False
    """Whether a client with this e-mail address, or this name and number, is there or stands above."""
    faults: tuple[str, ...] = ()


def read_clients_table(content: bytes) -> CsvTable:
    """The table or the address cards in the file. Raises :class:`~studio.paper.csv_table.UnreadableFile`."""
    if is_vcard(content):
        return cards_table(content, most_cards=MOST_ROWS, most_bytes=MOST_BYTES)
    return read_table(content, most_rows=MOST_ROWS, most_bytes=MOST_BYTES)


def preview(table: CsvTable, columns: Mapping[str, int]) -> Preview[ClientRow]:
    """What the table would add with these columns. Two queries; nothing is written."""
    require(Right.EDIT_EVENTS)
    rows = [_read(number, row, columns) for number, row in enumerate(table.rows, start=table.first)]
    return Preview(tuple(_mark_known(rows)))


def import_clients(table: CsvTable, columns: Mapping[str, int]) -> int:
    """Add the clients that are new and whole; returns how many. Twice adds none again. Raises ``ValidationError``."""
    require(Right.EDIT_EVENTS)
    try:
        with transaction.atomic():
            new = preview(table, columns).new
            Client.objects.bulk_create(
                Client(name=row.name, email=row.email, phone=row.phone, bill_to=row.bill_to, notes=row.notes)
                for row in new
            )
    except IntegrityError:
        raise ValidationError("Somebody added one of these clients just now. Look again.") from None
    return len(new)


# --- Private ---


def _read(number: int, cells: Sequence[str], columns: Mapping[str, int]) -> ClientRow:
    said = {field: cells[column] if column < len(cells) else "" for field, column in columns.items()}
    name = f"{said.get('name', '')} {said.get('surname', '')}".strip()
    phone, faults = _phone(said.get("phone", ""))
    email = said.get("email", "").lower()
    faults += _faults(name, email, said)
    return ClientRow(
        number, name, email, phone, said.get("bill_to", ""), said.get("notes", ""), faults=tuple(faults)
    )


def _phone(text: str) -> tuple[str, list[str]]:
    try:
        return phone_numbers.e164(text, region=region()), []
    except phone_numbers.NotAPhoneNumber as fault:
        return "", fault.messages


def _faults(name: str, email: str, said: Mapping[str, str]) -> list[str]:
    faults = []
    if not name:
        faults.append("There is no name.")
    if len(name) > LONGEST_NAME:
        faults.append("The name is too long.")
    if len(said.get("bill_to", "")) > LONGEST_ADDRESS:
        faults.append("The address is too long.")
    if email:
        try:
            validate_email(email)
        except ValidationError:
            faults.append(f"“{email}” is no e-mail address.")
    return faults


def _mark_known(rows: Sequence[ClientRow]) -> list[ClientRow]:
    emails = {row.email for row in rows if row.email}
    phones = {row.phone for row in rows if row.phone}
    known = {email.lower() for email in _known_emails(emails)}
    pairs = {
        (name.casefold(), phone)
        for name, phone in Client.objects.filter(phone__in=phones).values_list("name", "phone")
    }
    marked = []
    for row in rows:
        pair = (row.name.casefold(), row.phone)
        is_known = row.email in known if row.email else bool(row.phone) and pair in pairs
        marked.append(replace(row, known=is_known and not row.faults))
        if not row.faults:
            known |= {row.email} - {""}
            pairs |= {pair} if row.phone else set()
    return marked


def _known_emails(emails: set[str]) -> list[str]:
    found = Client.objects.annotate(plain=Lower("email")).filter(plain__in=emails)
    return list(found.values_list("plain", flat=True))
