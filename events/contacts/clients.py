"""Clients: found again or made, and kept up."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import IntegrityError, transaction
from django.http import Http404

from events.contacts import phone_numbers
from events.models import Client, Way, WayToReach
from studio.models import entered_studio
from studio.tenancy.access import require
from studio.tenancy.rights import Right


def found_or_made(*, name: str, email: str = "", phone: str = "") -> Client:
    """The client with that e-mail address, else with that name and telephone number, else a new one.

    Neither a name nor a number finds anybody by itself: two people may share it. What is newly said (a
    number where there was none) is added; what is known isn't overwritten. Raises ``ValidationError``,
    naming the fields.
    """
    require(Right.EDIT_EVENTS)
    email, phone = email.strip().lower(), _e164(phone)
    known = _known(name, email, phone)
    if known is None:
        try:
            with transaction.atomic():
                return add(name=name, email=email, phone=phone)
        except (IntegrityError, ValidationError):
            known = _known(name, email, phone)  # somebody else made the same client at the same moment
            if known is None:
                raise
    return _completed(known, email, phone)


def add(*, name: str, email: str = "", phone: str = "", bill_to: str = "", notes: str = "") -> Client:
    """A new client. Raises ``ValidationError``, naming the fields."""
    require(Right.EDIT_EVENTS)
    return _kept(Client(), name=name, email=email, phone=phone, bill_to=bill_to, notes=notes)


def change(client: Client, *, name: str, email: str, phone: str, bill_to: str, notes: str) -> Client:
    """Correct what is known of a client. Raises ``ValidationError``, naming the fields."""
    require(Right.EDIT_EVENTS)
    return _kept(client, name=name, email=email, phone=phone, bill_to=bill_to, notes=notes)


def add_way(client: Client, *, who: str, way: str, address: str, on_the_day: bool = False) -> WayToReach:
    """A further way to reach them. Raises ``ValidationError``, naming the fields."""
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


def drop_way(way_id: int) -> WayToReach:
    """Forget a way to reach somebody. Raises ``Http404``."""
    require(Right.EDIT_EVENTS)
    row = WayToReach.objects.filter(pk=way_id).first()
    if row is None:
        raise Http404
    row.delete()
    return row


def region() -> str:
    """How the entered studio reads a telephone number without a country code (ISO 3166-1 alpha-2)."""
    return phone_numbers.region_of(entered_studio().locale)


def _e164(typed: str) -> str:
    try:
        return phone_numbers.e164(typed, region=region()) if typed.strip() else ""
    except phone_numbers.NotAPhoneNumber as fault:
        raise ValidationError({"phone": fault.messages}) from None


def _known(name: str, email: str, phone: str) -> Client | None:
    found = Client.objects.filter(email__iexact=email).first() if email else None
    if found or not phone:
        return found
    same = Client.objects.filter(name__iexact=name.strip(), phone=phone).order_by("pk")
    return (same.filter(email="") if email else same).first()


def _completed(client: Client, email: str, phone: str) -> Client:
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


def _kept(client: Client, **facts: Any) -> Client:
    client.name = facts["name"].strip()
    client.email = facts["email"].strip().lower()
    client.phone = _e164(facts["phone"])
    client.bill_to = facts["bill_to"].strip()
    client.notes = facts["notes"].strip()
    taken = Client.objects.filter(email__iexact=client.email).exclude(pk=client.pk) if client.email else None
    if taken and taken.exists():
        raise ValidationError({"email": "There is a client with this e-mail address already."})
    client.full_clean()
    client.save()
    return client
