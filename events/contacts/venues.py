"""Venues: find, add and change."""

from __future__ import annotations

from decimal import Decimal
from typing import TypedDict, Unpack

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from events.models import Setting, Venue
from studio.tenancy.access import require
from studio.tenancy.rights import Right


class VenueFacts(TypedDict, total=False):
    """The facts of a venue; lengths in metres."""

    name: str
    address: str
    zone: str
    setting: Setting
    ceiling_m: Decimal | None
    door_width_m: Decimal | None
    door_height_m: Decimal | None
    access: str
    drive_minutes: int
    access_hours: str
    dock: str
    carry_m: Decimal | None
    stairs: int | None
    lift: str
    lift_takes_loads: bool
    power: str
    surface: str
    altitude_m: Decimal | None
    temperature_c: Decimal | None
    house_rules: str
    fire_rules: str


def add_venue(**facts: Unpack[VenueFacts]) -> Venue:
    """Add a venue. Raises ``ValidationError``, naming the fields."""
    require(Right.EDIT_EVENTS)
    return _save(Venue(), facts)


def change_venue(venue: Venue, **facts: Unpack[VenueFacts]) -> Venue:
    """Correct a venue; its events keep their times. Raises ``ValidationError``."""
    require(Right.EDIT_EVENTS)
    return _save(venue, facts)


def find_or_add_venue(*, name: str, address: str = "") -> Venue:
    """The venue of that name, whatever its capitals, else a new one."""
    require(Right.EDIT_EVENTS)
    known = Venue.objects.filter(name__iexact=name.strip())
    found = known.first()
    if found:
        return found
    try:
        with transaction.atomic():
            return add_venue(name=name, address=address)
    except (IntegrityError, ValidationError):
        found = known.all().first()  # somebody else made the same place at the same moment
        if found is None:
            raise
        return found


def _save(venue: Venue, facts: VenueFacts) -> Venue:
    for field, value in facts.items():
        setattr(venue, field, value.strip() if isinstance(value, str) else value)
    if Venue.objects.filter(name__iexact=venue.name).exclude(pk=venue.pk).exists():
        raise ValidationError({"name": "Another venue has this name already."})
    venue.full_clean()
    venue.save()
    return venue
