"""E-mail to crew about shifts that they were asked for: called off, moved to other times, on again."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict
from enum import StrEnum

from django.utils import timezone

from events.crew.language import speaking_to
from events.crew.presenter import shown_call
from events.crew.shifts import EXPECTING
from events.models import CrewCall, Event
from studio.models import entered_studio
from studio.outbox import mail


class News(StrEnum):
    """What became of the shifts."""

    OFF = "off"
    MOVED = "moved"
    ON_AGAIN = "on again"


def tell_crew(event: Event, news: News) -> None:
    """Write once to everybody who expects to come to the event. Two queries and one for each letter."""
    calls = CrewCall.objects.select_related("shift__event", "member__person").filter(
        shift__event=event, answer__in=EXPECTING, shift__ends_at__gt=timezone.now()
    )
    _write(calls.order_by("shift__starts_at", "pk"), event, news)


def tell_moved(event: Event, calls: Iterable[CrewCall]) -> None:
    """Write to those whose answer doesn't count any more, because their shift has other times."""
    pks = [call.pk for call in calls]
    if pks:
        moved = CrewCall.objects.select_related("shift__event", "member__person").filter(pk__in=pks)
        _write(moved.order_by("shift__starts_at", "pk"), event, News.MOVED)


# --- Private ---


def _write(calls: Iterable[CrewCall], event: Event, news: News) -> None:
    by_member: dict[tuple[int, int], list[CrewCall]] = {}
    for call in calls:
        by_member.setdefault((call.member_id, call.shift.event_id), []).append(call)
    for (member_id, _), theirs in by_member.items():
        key = f"crew-{member_id}-event-{theirs[0].shift.event_id}-{event.pk}-{event.version}-{news}"
        with speaking_to(theirs[0].member.person):
            _post(theirs, news, key)


def _post(calls: Sequence[CrewCall], news: News, key: str) -> None:
    """One letter to one person, in the language that is spoken."""
    person, studio = calls[0].member.person, entered_studio()
    mail.post(
        "crew_news",
        to=person.email,
        key=key,
        context={
            "studio": studio.name,
            "name": person.get_short_name(),
            "event": calls[0].shift.event.title,
            "news": news.value,
            "shifts": [asdict(shown_call(call, studio)) for call in calls],
            "phone": studio.phone,
        },
        reply_to=studio.email,
        sender=studio.name,
    )
