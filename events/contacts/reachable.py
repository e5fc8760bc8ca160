"""Who may see a client's telephone number: the office always, crew around the day."""

from __future__ import annotations

from datetime import timedelta
from typing import Final

from django.utils import timezone

from events.contacts import phone_numbers
from events.models import Event, Way, WayToReach
from studio import tenancy
from studio.models import Studio
from studio.tenancy.rights import Right, may

ON_THE_DAY: Final = timedelta(hours=12)
"""Crew see the number from so long before load-out until as long after the return."""


def phone(event: Event, studio: Studio) -> str:
    """The client's number as the studio's region writes it; nothing for who may not see it now."""
    if not may(tenancy.current().role, Right.SEE_CLIENTS) and not _is_the_day(event):
        return ""
    return phone_numbers.shown(event.client.phone, region=phone_numbers.region_of(studio.locale))


def ways(event: Event, studio: Studio) -> list[tuple[WayToReach, str]]:
    """Who else can be reached around the day, and how it is written; nothing for who may not see it now."""
    office = may(tenancy.current().role, Right.SEE_CLIENTS)
    if not office and not _is_the_day(event):
        return []
    region = phone_numbers.region_of(studio.locale)
    rows = WayToReach.objects.filter(client=event.client_id, on_the_day=True)
    # A link may be passed on before a phone takes it up: numbers for the day, no e-mail address.
    if tenancy.current().phone_id:
        rows = rows.exclude(way=Way.EMAIL)
    return [
        (row, phone_numbers.shown(row.address, region=region) if row.way == Way.PHONE else row.address)
        for row in rows
    ]


def _is_the_day(event: Event) -> bool:
    return event.load_out_at - ON_THE_DAY <= timezone.now() <= event.back_at + ON_THE_DAY
