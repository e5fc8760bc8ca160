"""A client's telephone numbers: shown to the office always, to crew around the day only."""

from __future__ import annotations

from datetime import timedelta
from typing import Final

from django.utils import timezone

from events.contacts import phone_numbers
from events.contacts.presenter import way_rows
from events.models import Event, Way, WayToReach
from studio import tenancy
from studio.models import Studio
from studio.tenancy.rights import Right, may

ON_THE_DAY: Final = timedelta(hours=12)
"""Crew see numbers from this long before load-out until this long after the return."""


def shown_phone(event: Event, studio: Studio) -> str:
    """The client's number as the studio's region writes it; empty where the acting person may not see it now."""
    if not _may_see(event):
        return ""
    return phone_numbers.shown(event.client.phone, region=phone_numbers.region_of_studio(studio))


def shown_ways(event: Event, studio: Studio) -> list[tuple[WayToReach, str]]:
    """The client's contacts for the day; empty where the acting person may not see them now."""
    if not _may_see(event):
        return []
    rows = WayToReach.objects.filter(client=event.client_id, on_the_day=True)
    # A link may be passed on before a phone takes it up: numbers for the day, no e-mail address.
    if tenancy.current().phone_id:
        rows = rows.exclude(way=Way.EMAIL)
    return way_rows(rows, studio)


def shown_contacts(event: Event, studio: Studio) -> dict[str, object]:
    """The client and whom else to call, as pages and papers name them."""
    return {
        "event": event,
        "studio": studio,
        "phone": shown_phone(event, studio),
        "ways": shown_ways(event, studio),
    }


def _may_see(event: Event) -> bool:
    if may(tenancy.current().role, Right.SEE_CLIENTS):
        return True
    return event.load_out_at - ON_THE_DAY <= timezone.now() <= event.back_at + ON_THE_DAY
