"""The first step that belongs to events."""

from __future__ import annotations

from events.models import Event
from studio.people.first_steps import FirstStep
from studio.tenancy import links


def take_an_enquiry() -> FirstStep:
    """Done once there is an event."""
    return FirstStep(
        7,
        "Take your first enquiry",
        "Then draw a piece for it and make the offer.",
        links.to("events:enquiry-add"),
        Event.objects.exists,
    )
