"""Clients and how to reach them: find, add and change."""

from __future__ import annotations

from typing import NotRequired, TypedDict, Unpack

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import IntegrityError, transaction
from django.http import Http404

from events.contacts import phone_numbers
from events.models import Client, Way, WayToReach
from studio.models import entered_studio
from studio.tenancy.access import require
from studio.tenancy.rights import Right


class ClientFacts(TypedDict):
    """The facts of a client."""

    name: str
    email: str
    phone: str
    bill_to: str
    notes: str
    language: NotRequired[str]


def find_or_add_client(*, name: str, email: str = "", phone: str = "") -> Client:
    """The client with that e-mail address, else with that name and telephone number, else a new one.

    A name or a number alone finds nobody: two people may share it. A number or address that was missing is
    added; a known one isn't overwritten. Raises ``ValidationError``,
    naming the fields.
    """
    require(Right.EDIT_EVENTS)
    email, phone = email.strip().lower(), _parse_phone(phone)
    known = _find(name, email, phone)
    if known is None:
        try:
            with transaction.atomic():
                return add_client(name=name, email=email, phone=phone)
        except (IntegrityError, ValidationError):
            known = _find(name, email, phone)  # somebody else made the same client at the same moment
            if known is None:
                raise
    return _complete(known, email, phone)


def add_client(
    *, name: str, email: str = "", phone: str = "", bill_to: str = "", notes: str = "", language: str = ""
) -> Client:
    """Add a client. Raises ``ValidationError``, naming the fields."""
    require(Right.EDIT_EVENTS)
    return _save(
        Client(), name=name, email=email, phone=phone, bill_to=bill_to, notes=notes, language=language
    )


def change_client(
    client: Client, *, name: str, email: str, phone: str, bill_to: str, notes: str, language: str = ""
) -> Client:
    """Correct a client. Raises ``ValidationError``, naming the fields."""
    require(Right.EDIT_EVENTS)
    return _save(client, name=name, email=email, phone=phone, bill_to=bill_to, notes=notes, language=language)


def add_way(client: Client, *, who: str, way: str, address: str, on_the_day: bool = False) -> WayToReach:
    """Add somebody else who can be reached for the client. Raises ``ValidationError``, naming the fields."""
    require(Right.EDIT_EVENTS)
    address = address.strip()
    try:
        if way == Way.PHONE:
            address = phone_numbers.e164(address, region=region())
        elif way == Way.EMAIL:
            validate_email(address)
            address = address.lower()
    except ValidationError as fault:
        raise ValidationError({"address": fault.messages}) from None
    row = WayToReach(client=client, who=who.strip(), way=way, address=address, on_the_day=on_the_day)
    row.full_clean()
    row.save()
    return row


def remove_way(way_id: int) -> WayToReach:
    """Remove one of a client's further contacts. Raises ``Http404``."""
    require(Right.EDIT_EVENTS)
    row = WayToReach.objects.filter(pk=way_id).first()
    if row is None:
        raise Http404
    row.delete()
    return row


def region() -> str:
    """The region (ISO 3166-1 alpha-2) of the entered studio's telephone numbers without a country code."""
    return phone_numbers.region_of_studio(entered_studio())


def _parse_phone(typed: str) -> str:
    try:
        return phone_numbers.e164(typed, region=region()) if typed.strip() else ""
    except phone_numbers.NotAPhoneNumber as fault:
        raise ValidationError({"phone": fault.messages}) from None


def _find(name: str, email: str, phone: str) -> Client | None:
    found = Client.objects.filter(email__iexact=email).first() if email else None
    if found or not phone:
        return found
    same = Client.objects.filter(name__iexact=name.strip(), phone=phone).order_by("pk")
    return (same.filter(email="") if email else same).first()


def _complete(client: Client, email: str, phone: str) -> Client:
    added = {
        field: value
        for field, value in (("email", email), ("phone", phone))
        if value and not getattr(client, field)
    }
    for field, value in added.items():
        setattr(client, field, value)
    if added:
        client.save(update_fields=list(added))
    return client


def _save(client: Client, **facts: Unpack[ClientFacts]) -> Client:
    client.name = facts["name"].strip()
    client.email = facts["email"].strip().lower()
    client.phone = _parse_phone(facts["phone"])
    client.bill_to = facts["bill_to"].strip()
    client.notes = facts["notes"].strip()
    client.language = facts.get("language", "")
    taken = Client.objects.filter(email__iexact=client.email).exclude(pk=client.pk) if client.email else None
    if taken and taken.exists():
        raise ValidationError({"email": "Another client has this e-mail address already."})
    client.full_clean()
    client.save()
    return client
