"""What the client wishes, on the page of the event."""

from __future__ import annotations

from collections.abc import Sequence

from events.booking.event_sections import Act, Row, Section
from events.models import Event
from events.wishes.presenter import shown_wishes
from events.wishes.wishes import wishes_of
from studio import tenancy
from studio.models import entered_studio
from studio.models.spelling import spelled
from studio.tenancy import links
from studio.tenancy.rights import Right, may


def wishes_section(event: Event) -> Sequence[Section]:
    """The wishes, for whoever sees quotes. One query."""
    if not may(tenancy.current().role, Right.SEE_QUOTES):
        return []
    shown = shown_wishes(wishes_of(event), entered_studio())
    rows = tuple(Row(title=wish.said, end=wish.name) for wish in shown)
    acts: tuple[Act, ...] = ()
    if may(tenancy.current().role, Right.EDIT_EVENTS):
        acts = (Act("Change" if rows else "Write down", links.to("events:event-wishes", event.pk)),)
    return [
        Section("Wishes", rows, acts, spelled("Occasion, guests, colors and budget, in the client's words."))
    ]
