"""Venues: remembered once, used again."""

from __future__ import annotations

from decimal import Decimal
from typing import TypedDict, Unpack

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from events.models import Setting, Venue
from studio.tenancy.access import require
from studio.tenancy.rights import Right


class VenueFacts(TypedDict, total=False):
    """What may be said of a venue; lengths in metres."""

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
    stairs: int | None
    lift: str
    power: str
    surface: str
    altitude_m: Decimal | None
    house_rules: str
    fire_rules: str


def add(**facts: Unpack[VenueFacts]) -> Venue:
    """A new venue. Raises ``ValidationError``, naming the fields."""
    require(Right.EDIT_EVENTS)
    return _kept(Venue(), facts)


def change(venue: Venue, **facts: Unpack[VenueFacts]) -> Venue:
    """Correct what is known of a venue; events keep the times they have. Raises ``ValidationError``."""
    require(Right.EDIT_EVENTS)
    return _kept(venue, facts)


def found_or_made(*, name: str, address: str = "") -> Venue:
    """The venue of that name, whatever its capitals, else a new one."""
    require(Right.EDIT_EVENTS)
    known = Venue.objects.filter(name__iexact=name.strip())
    found = known.first()
    if found:
        return found
    try:
        with transaction.atomic():
            return add(name=name, address=address)
    except (IntegrityError, ValidationError):
        found = known.all().first()  # somebody else made the same place at the same moment
        if found is None:
            raise
        return found


def _kept(venue: Venue, facts: VenueFacts) -> Venue:
    for field, value in facts.items():
        setattr(venue, field, value.strip() if isinstance(value, str) else value)
    if Venue.objects.filter(name__iexact=venue.name).exclude(pk=venue.pk).exists():
        raise ValidationError({"name": "There is a venue of this name already."})
    venue.full_clean()
    venue.save()
    return venue
