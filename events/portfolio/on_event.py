"""Consent and portfolio on the page of an event."""

from __future__ import annotations

from events.booking.event_sections import Act, Row, Section
from events.models import Event, Photo
from events.portfolio import consent
from studio import tenancy
from studio.tenancy import links
from studio.tenancy.rights import Right, may


def photos_section(event: Event) -> list[Section]:
    """Whether photos of the event may be shown, once there are photos. Two queries, three with a consent."""
    if not may(tenancy.current().role, Right.EDIT_EVENTS) or not Photo.objects.filter(event=event).exists():
        return []
    address = links.to("events:event-photos", event.pk)
    standing = consent.find(event.pk)
    if standing is None:
        return [
            Section(
                "Portfolio",
                (Row("No consent to show photos"),),
                (Act("Compare and record consent", address),),
            )
        ]
    count = standing.shown.count()
    row = Row(f"{standing.given_by} agreed to photos being shown", address, sub=f"{count} in the portfolio")
    return [Section("Portfolio", (row,))]
