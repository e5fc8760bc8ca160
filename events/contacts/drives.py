"""Drive times between venues, without a stop at the studio."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q

from events.models import Venue, VenueDrive
from studio.tenancy.access import require
from studio.tenancy.rights import Right

USUAL_DRIVE_MINUTES: Final = 30
"""Where no venue is known yet; the same as a new venue's own default."""


@dataclass(frozen=True, slots=True)
class DriveTo:
    """Another venue, and the drive time to it that was entered."""

    venue: Venue
    minutes: int


@dataclass(frozen=True, slots=True)
class Drives:
    """Known drive times between some venues: minutes by the two venues' primary keys, the lower first."""

    minutes_by_pair: Mapping[tuple[int, int], int]

    def minutes(self, one: Venue | None, other: Venue | None) -> int:
        """From one to the other: as entered, and never longer than by way of the studio."""
        via_studio = _from_studio(one) + _from_studio(other)
        direct = self.direct_minutes(one, other)
        return via_studio if direct is None else min(via_studio, direct)

    def direct_minutes(self, one: Venue | None, other: Venue | None) -> int | None:
        """The time that was entered; 0 within one venue, None where it isn't known."""
        if one is None or other is None:
            return None
        return 0 if one == other else self.minutes_by_pair.get(_pair(one, other))


def drives_between(venues: Iterable[Venue]) -> Drives:
    """Known drive times between these venues. One query."""
    ids = {venue.pk for venue in venues}
    rows = VenueDrive.objects.filter(venue__in=ids, other__in=ids)
    return Drives({(row.venue_id, row.other_id): row.minutes for row in rows})


def minutes_between(one: Venue | None, other: Venue | None) -> int:
    """The drive between two venues; a venue that isn't known yet lies at the usual distance. One query at most."""
    return drives_between(venue for venue in (one, other) if venue is not None).minutes(one, other)


def known_drives(venue: Venue) -> list[DriveTo]:
    """Every known drive from a venue, the shortest first. One query."""
    rows = VenueDrive.objects.filter(Q(venue=venue) | Q(other=venue)).select_related("venue", "other")
    found = [DriveTo(row.other if row.venue_id == venue.pk else row.venue, row.minutes) for row in rows]
    return sorted(found, key=lambda drive: (drive.minutes, drive.venue.name.lower()))


def set_drive(one: Venue, other: Venue, minutes: int | None) -> Venue:
    """Set the drive time between two venues, the same both ways; None forgets it. Returns the other venue.

    Raises ``ValidationError``, naming the field.
    """
    require(Right.EDIT_EVENTS)
    if one == other:
        raise ValidationError({"other": "This is the same venue."})
    first, second = sorted((one, other), key=lambda venue: venue.pk)
    if minutes is None:
        VenueDrive.objects.filter(venue=first, other=second).delete()
        return other
    via_studio = _from_studio(one) + _from_studio(other)
    if minutes > via_studio:
        raise ValidationError(
            {"minutes": f"Through the studio it takes {via_studio} min; the direct drive can’t take longer."}
        )
    with transaction.atomic():
        VenueDrive.objects.update_or_create(venue=first, other=second, defaults={"minutes": minutes})
    return other


# --- Private ---


def _pair(one: Venue, other: Venue) -> tuple[int, int]:
    return min(one.pk, other.pk), max(one.pk, other.pk)


def _from_studio(venue: Venue | None) -> int:
    return venue.drive_minutes if venue else USUAL_DRIVE_MINUTES
