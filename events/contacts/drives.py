"""The drive from one site straight to the next."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q

from events.booking.enquiry import USUAL_DRIVE_MINUTES
from events.models import Venue, VenueDrive
from studio.tenancy.access import require
from studio.tenancy.rights import Right


@dataclass(frozen=True, slots=True)
class DriveTo:
    """Another venue, and the drive to it as somebody said it."""

    venue: Venue
    minutes: int


@dataclass(frozen=True, slots=True)
class Drives:
    """What is known of the drives between some venues; minutes by the two venues' primary keys, the lower first."""

    said: Mapping[tuple[int, int], int]

    def minutes(self, one: Venue | None, other: Venue | None) -> int:
        """From one to the other: as was said, else, and never longer than, by way of the studio."""
        round_about = _from_studio(one) + _from_studio(other)
        said = self.straight(one, other)
        return round_about if said is None else min(round_about, said)

    def straight(self, one: Venue | None, other: Venue | None) -> int | None:
        """What somebody said; 0 within one venue, None where nobody said."""
        if one is None or other is None:
            return None
        return 0 if one == other else self.said.get(_pair(one, other))


def between(venues: Iterable[Venue]) -> Drives:
    """What is known of the drives between these. One query."""
    ids = {venue.pk for venue in venues}
    rows = VenueDrive.objects.filter(venue__in=ids, other__in=ids)
    return Drives({(row.venue_id, row.other_id): row.minutes for row in rows})


def minutes_between(one: Venue | None, other: Venue | None) -> int:
    """The drive between two venues; a venue that isn't known yet lies at the usual distance. One query at most."""
    return between(venue for venue in (one, other) if venue is not None).minutes(one, other)


def known_from(venue: Venue) -> list[DriveTo]:
    """Every drive from a venue that somebody said, the shortest first. One query."""
    rows = VenueDrive.objects.filter(Q(venue=venue) | Q(other=venue)).select_related("venue", "other")
    found = [DriveTo(row.other if row.venue_id == venue.pk else row.venue, row.minutes) for row in rows]
    return sorted(found, key=lambda drive: (drive.minutes, drive.venue.name.lower()))


def say(one: Venue, other: Venue, minutes: int | None) -> None:
    """Keep how long the drive between two venues takes, the same both ways; None forgets it.

    Raises ``ValidationError``, naming the field.
    """
    require(Right.EDIT_EVENTS)
    if one == other:
        raise ValidationError({"other": "That is the same venue."})
    first, second = sorted((one, other), key=lambda venue: venue.pk)
    if minutes is None:
        VenueDrive.objects.filter(venue=first, other=second).delete()
        return
    round_about = _from_studio(one) + _from_studio(other)
    if minutes > round_about:
        raise ValidationError(
            {"minutes": f"By way of the studio it is {round_about} min: straight it can’t take longer."}
        )
    with transaction.atomic():
        VenueDrive.objects.update_or_create(venue=first, other=second, defaults={"minutes": minutes})


# --- Private ---


def _pair(one: Venue, other: Venue) -> tuple[int, int]:
    return min(one.pk, other.pk), max(one.pk, other.pk)


def _from_studio(venue: Venue | None) -> int:
    return venue.drive_minutes if venue else USUAL_DRIVE_MINUTES
