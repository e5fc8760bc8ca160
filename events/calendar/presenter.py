"""The week as its page shows it."""

from __future__ import annotations

from django.template.loader import get_template
from django.utils.safestring import SafeString

from events.calendar.week import Bar, Lane, Week
from studio.models import Studio

DrawnLane = tuple[Lane, list[tuple[Bar, SafeString]]]


def drawn_lanes(week: Week, studio: Studio) -> list[DrawnLane]:
    """Each lane with its bars and the text in them. By crew an event lies in many lanes: its text is drawn once."""
    template = get_template("events/calendar/_week_bar.html")
    texts: dict[tuple[int, str], SafeString] = {}
    for bar in (bar for lane in week.lanes for bar in lane.bars):
        if (bar.event.pk, bar.work) not in texts:
            context = {"event": bar.event, "work": bar.work, "beads": bar.beads, "studio": studio}
            texts[bar.event.pk, bar.work] = SafeString(template.render(context))
    return [(lane, [(bar, texts[bar.event.pk, bar.work]) for bar in lane.bars]) for lane in week.lanes]
