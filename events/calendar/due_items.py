"""What this room has due: events to count back, and shortages ahead."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import timedelta
from typing import Final

from django.db.models import Q
from django.utils import timezone

from events.calendar.agenda import DueItem
from events.crew.refusals import find_refusals
from events.models import Event, Stage, Status
from stock.holds.availability import shortages
from studio import tenancy
from studio.measures.times import Window
from studio.tenancy import links
from studio.tenancy.rights import Right, may

HORIZON: Final = timedelta(days=14)
"""Shortages are due this long before they bite (common practice, no source)."""


def not_counted_back(span: Window) -> Iterable[DueItem]:
    """Agreed events that are back but not counted."""
    now = timezone.now()
    waiting = (
        Event.objects.filter(Q(back_at__lt=min(now, span.end)), status=Status.CONFIRMED)
        .exclude(stage=Stage.COUNTED_BACK)
        .order_by("back_at")
        .values_list("back_at", "title", "pk")[:20]
    )
    return [
        DueItem(back_at, "Count back", title, links.to("events:event", event_id), event_id)
        for back_at, title, event_id in waiting
    ]


def shortages_ahead(span: Window) -> Iterable[DueItem]:
    """What held stock lacks within the horizon, for whoever can do something about it; one line for each
    event."""
    if not may(tenancy.current().role, Right.EDIT_EVENTS):
        return []
    words: dict[int, list[str]] = {}
    for lack in shortages(until=max(span.end, timezone.now() + HORIZON)):
        words.setdefault(lack.hold_id, []).append(f"{lack.short} {lack.item.name}")
    if not words:
        return []
    held = Event.objects.filter(hold_id__in=words)
    return [
        DueItem(
            at=load_out_at,
            what=f"Short: {_listed(words[hold_id])}",
            about=title,
            address=links.to("events:event", event_id),
            event_id=event_id,
        )
        for event_id, hold_id, title, load_out_at in held.values_list("pk", "hold_id", "title", "load_out_at")
        if hold_id
    ]


def crew_refusals(span: Window) -> Iterable[DueItem]:
    """Shifts ahead that somebody said no to, for whoever can assign somebody else."""
    if not may(tenancy.current().role, Right.EDIT_EVENTS):
        return []
    until = max(span.end, timezone.now() + HORIZON)
    return [
        DueItem(
            at=refusal.shift.starts_at,
            what=f"Waits for you: {refusal.words}",
            about=refusal.shift.event.title,
            address=links.to("events:event-crew", refusal.shift.event_id),
            event_id=refusal.shift.event_id,
        )
        for refusal in find_refusals()
        if refusal.shift.starts_at < until
    ]


# --- Private ---


def _listed(words: Sequence[str]) -> str:
    return ", ".join(words[:3]) + (f" and {len(words) - 3} more" if len(words) > 3 else "")
