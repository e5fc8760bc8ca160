"""The times of an event: their order, usual values, and the journey around them."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import UTC, datetime, timedelta
from typing import Final, overload

from django.core.exceptions import ValidationError
from django.utils import timezone

from events.models import Event
from studio import tenancy
from studio.tenancy.rights import Role

USUAL_BUILD: Final = timedelta(hours=4)
USUAL_PARTY: Final = timedelta(hours=5)
USUAL_STRIKE: Final = timedelta(hours=2)
"""How long before "ready by" the crew comes in, how long after it the strike starts, and how long that may
take, where nobody has said (common practice, no source); each can be set for itself."""

LOADING: Final = timedelta(hours=1)
UNLOADING: Final = timedelta(hours=1)
"""From the shelf into the van and back (common practice, no source)."""

LONGEST: Final = timedelta(days=60)
"""From access to out. A longer stay is a mistake in a date far more often than an event."""
EARLIEST: Final = datetime(2000, 1, 1, tzinfo=UTC)
LATEST: Final = datetime(2100, 1, 1, tzinfo=UTC)


class WindowsOutOfOrder(ValidationError):
    """Moments that can't follow one another; a message for each field at fault."""


@dataclass(frozen=True, slots=True)
class EventWindows:
    """The moments that the client and the venue set.

    They are kept in UTC: Python compares and adds times of one zone by the clock on the wall, which is an
    hour off across a change of the clocks.
    """

    access_from: datetime
    ready_by: datetime
    guests_from: datetime | None
    strike_from: datetime
    out_by: datetime

    def __post_init__(self) -> None:
        for name in self.__dataclass_fields__:
            object.__setattr__(self, name, _utc(getattr(self, name)))

    def check(self) -> None:
        """Raise :class:`WindowsOutOfOrder` with every fault, each at its field."""
        faults = {**_out_of_range(self), **_out_of_order(self)}
        if faults:
            raise WindowsOutOfOrder(faults)


@dataclass(frozen=True, slots=True)
class Journey:
    """When loading starts at the studio, and when everything is back on its floor."""

    load_out_at: datetime
    back_at: datetime


def usual(
    *,
    ready_by: datetime,
    access_from: datetime | None = None,
    guests_from: datetime | None = None,
    strike_from: datetime | None = None,
    out_by: datetime | None = None,
) -> EventWindows:
    """The windows of an event of which only "ready by" need be known; what is given stays as given."""
    ready, guests = _utc(ready_by), _utc(guests_from)
    strike = _utc(strike_from) or max(ready, guests or ready) + USUAL_PARTY
    return EventWindows(
        access_from=access_from or ready - USUAL_BUILD,
        ready_by=ready,
        guests_from=guests,
        strike_from=strike,
        out_by=out_by or strike + USUAL_STRIKE,
    )


def windows_of(event: Event) -> EventWindows:
    """The event's windows as they stand."""
    return EventWindows(event.access_from, event.ready_by, event.guests_from, event.strike_from, event.out_by)


def journey(windows: EventWindows, *, drive_minutes: int) -> Journey:
    """Loading, the drive there, the drive back and unloading, around the windows."""
    drive = timedelta(minutes=drive_minutes)
    return Journey(windows.access_from - drive - LOADING, windows.out_by + drive + UNLOADING)


def refuse_past(windows: EventWindows) -> None:
    """Refuse what is over already, a slip in a date; only the studio's own records may be of the past."""
    if tenancy.current().role != Role.SYSTEM and windows.out_by <= timezone.now():
        raise WindowsOutOfOrder({"ready_by": ["This time is past. Check the date."]})


@overload
def _utc(moment: datetime) -> datetime: ...
@overload
def _utc(moment: None) -> None: ...
def _utc(moment: datetime | None) -> datetime | None:
    if moment is not None and moment.tzinfo is None:
        raise ValueError("Windows need aware times: give each a zone.")
    return moment.astimezone(UTC) if moment else None


def _out_of_range(windows: EventWindows) -> dict[str, list[str]]:
    return {
        field: ["Write a day between 2000 and 2099."]
        for field, moment in asdict(windows).items()
        if moment is not None and not EARLIEST <= moment < LATEST
    }


def _out_of_order(windows: EventWindows) -> dict[str, list[str]]:
    faults: dict[str, list[str]] = {}
    if windows.access_from >= windows.ready_by:
        faults["access_from"] = ["Access must come before it has to be ready."]
    if windows.guests_from and windows.guests_from < windows.ready_by:
        faults["guests_from"] = ["Guests can't come before it has to be ready."]
    if windows.strike_from <= windows.ready_by:
        faults["strike_from"] = ["The strike must start after it was ready."]
    elif windows.guests_from and windows.strike_from <= windows.guests_from:
        faults["strike_from"] = ["The strike must start after the guests came."]
    if windows.out_by <= windows.strike_from:
        faults["out_by"] = ["Out by must come after the strike starts."]
    elif windows.out_by - windows.access_from > LONGEST:
        faults["out_by"] = [f"That is more than {LONGEST.days} days after access; check the dates."]
    return faults
