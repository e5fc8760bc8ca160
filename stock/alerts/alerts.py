"""Stock alerts: found by the worker, raised once, closed when resolved, mailed each morning.

Each finder yields what is true at this moment; :func:`update_alerts` compares that with the open alerts. A lasting
condition is one alert, however often the worker checks; a condition that returns is a new alert.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Final

from django.db.models import F
from django.utils import timezone

from stock.buying import purchase_list
from stock.care import shelf_life
from stock.holds import availability, substitutes
from stock.ledger import movements
from stock.models import (
    Alert,
    AlertChoice,
    AlertKind,
    Hold,
    HoldState,
    Purpose,
)
from studio import tenancy
from studio.models import Membership, Studio, dates, entered_studio
from studio.outbox import mail
from studio.tenancy.access import require
from studio.tenancy.rights import Right, Role, may

DIGEST_AT: Final = time(7)
"""When the morning mail is written, in studio time. Our choice."""
LAPSES_SOON: Final = timedelta(days=1)
LATE_AFTER: Final = timedelta(hours=12)
"""How long after its end a hold may wait for its returns to be counted. Our choice."""
FORGOTTEN_AFTER: Final = timedelta(days=60)
"""Holds that ended longer ago belong to an earlier season and raise no alert."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One condition that is true now."""

    kind: AlertKind
    subject: str
    words: str
    item_id: int | None = None


def update_alerts(*, thoroughly: bool = False) -> int:
    """Raise new alerts and close resolved ones; how many were raised. ``thoroughly`` also checks every balance."""
    require(Right.SEE_SHELF)
    studio = entered_studio()
    kinds = set(AlertKind) if thoroughly else set(AlertKind) - {AlertKind.STEP}
    found = {(each.kind, each.subject): each for each in _findings(studio, thoroughly=thoroughly)}
    open_now = {
        (AlertKind(alert.kind), alert.subject): alert
        for alert in Alert.objects.filter(over_at=None, kind__in=kinds)
    }
    over = [alert.pk for key, alert in open_now.items() if key not in found]
    Alert.objects.filter(pk__in=over).update(over_at=timezone.now())
    for key in open_now.keys() & found.keys():
        if open_now[key].words != found[key].words:
            Alert.objects.filter(pk=open_now[key].pk).update(words=found[key].words)
    new = [each for key, each in found.items() if key not in open_now]
    Alert.objects.bulk_create(
        [
            Alert(kind=each.kind, subject=each.subject, words=each.words[:300], item_id=each.item_id)
            for each in new
        ],
        ignore_conflicts=True,
    )
    return len(new)


def list_open_alerts(person_id: int) -> list[Alert]:
    """The open alerts that the person wants on the page, newest first. Two queries."""
    require(Right.EDIT_SHELF)
    hidden = _unwanted(person_id, "on_page")
    return list(Alert.objects.filter(over_at=None).exclude(kind__in=hidden).select_related("item"))


def find_choices(person_id: int) -> dict[AlertKind, tuple[bool, bool]]:
    """By kind: whether the person wants it on the page, and by e-mail. One query."""
    kept = {
        choice.kind: (choice.on_page, choice.by_mail)
        for choice in AlertChoice.objects.filter(person_id=person_id)
    }
    return {kind: kept.get(kind, (True, True)) for kind in AlertKind}


def save_choices(person_id: int, wanted: Mapping[AlertKind, tuple[bool, bool]]) -> None:
    """Save which alerts the person gets, and how; only for oneself."""
    require(Right.EDIT_SHELF)
    if tenancy.current().person_id != person_id:
        raise ValueError("People choose only for themselves.")
    AlertChoice.objects.bulk_create(
        [
            AlertChoice(person_id=person_id, kind=kind, on_page=on_page, by_mail=by_mail)
            for kind, (on_page, by_mail) in wanted.items()
        ],
        update_conflicts=True,
        unique_fields=["studio", "person", "kind"],
        update_fields=["on_page", "by_mail"],
    )


def post_digests(now: datetime) -> int:
    """After the morning hour, mail each person the alerts raised since the morning before, once.

    Nobody gets an empty mail. Returns how many mails were requested, including those of earlier calls.
    """
    studio = entered_studio()
    here = now.astimezone(studio.tz)
    if here.time() < DIGEST_AT:
        return 0
    since, until = _morning(here.date() - timedelta(days=1), studio), _morning(here.date(), studio)
    new = list(Alert.objects.filter(raised_at__gte=since, raised_at__lt=until, over_at=None))
    if not new:
        return 0
    posted = 0
    for member in Membership.objects.select_related("person").order_by("pk"):
        if not may(Role(member.role), Right.EDIT_SHELF):
            continue
        unwanted = _unwanted(member.person_id, "by_mail")
        if mine := [alert for alert in new if alert.kind not in unwanted]:
            mail.post(
                "shelf_morning",
                to=member.person.email,
                key=f"shelf-morning-{member.person_id}-{here.date().isoformat()}",
                context=_mail_context(studio, mine),
            )
            posted += 1
    return posted


# --- Private ---


def _morning(day: date, studio: Studio) -> datetime:
    return datetime.combine(day, DIGEST_AT, tzinfo=studio.tz)


def _unwanted(person_id: int, how: str) -> set[str]:
    return set(AlertChoice.objects.filter(person_id=person_id, **{how: False}).values_list("kind", flat=True))


def _mail_context(studio: Studio, mine: list[Alert]) -> dict[str, object]:
    from django.conf import settings

    from studio.tenancy import links

    groups = [
        {"name": kind.label, "words": [alert.words for alert in mine if alert.kind == kind]}
        for kind in AlertKind
    ]
    return {
        "studio": studio.name,
        "groups": [group for group in groups if group["words"]],
        "count": len(mine),
        "address": f"{settings.SITE_URL}{links.to('stock:alerts')}",
    }


def _findings(studio: Studio, *, thoroughly: bool) -> Iterable[Finding]:
    now = timezone.now()
    yield from _short(studio)
    yield from _low()
    yield from _lapsing(now, studio)
    yield from _overdue(now, studio)
    yield from _old()
    if thoroughly:
        yield from _out_of_step()


def _day(moment: datetime, studio: Studio) -> str:
    return dates.day_written(moment.astimezone(studio.tz))


def _short(studio: Studio) -> Iterable[Finding]:
    for each in availability.shortages():
        words = f"{each.label}, {_day(each.needed_at, studio)}: {each.short} × {each.item.name} short."
        if stand_ins := substitutes.find_for_shortage(each):
            words += f" Available instead: {' or '.join(one.item.name for one in stand_ins)}."
        yield Finding(AlertKind.SHORT, f"{each.hold_id}-{each.item.pk}", words, each.item.pk)


def _low() -> Iterable[Finding]:
    for each in purchase_list.find_missing_items(fill_up=True):
        if each.is_low:
            yield Finding(
                AlertKind.REORDER,
                str(each.item.pk),
                f"{each.item.name}: order {each.pieces} more.",
                each.item.pk,
            )


def _lapsing(now: datetime, studio: Studio) -> Iterable[Finding]:
    soon = Hold.objects.filter(
        state=HoldState.TENTATIVE, tentative_until__gt=now, tentative_until__lte=now + LAPSES_SOON
    )
    for hold in soon.order_by("tentative_until"):
        assert hold.tentative_until is not None
        when = hold.tentative_until.astimezone(studio.tz)
        yield Finding(
            AlertKind.LAPSING,
            str(hold.pk),
            f"{hold.label}: tentative until {dates.moment_written(when)}.",
        )


def _overdue(now: datetime, studio: Studio) -> Iterable[Finding]:
    late = Hold.objects.filter(
        state=HoldState.HELD,
        purpose=Purpose.JOB,
        ends_at__lt=now - LATE_AFTER,
        ends_at__gt=now - FORGOTTEN_AFTER,
    )
    for hold in late.order_by("ends_at"):
        yield Finding(
            AlertKind.OVERDUE,
            str(hold.pk),
            f"{hold.label}: back since {_day(hold.ends_at, studio)}, returns not counted yet.",
        )


def _old() -> Iterable[Finding]:
    for each in shelf_life.find_old_stock():
        yield Finding(
            AlertKind.OLD,
            str(each.item.pk),
            f"{each.item.name}: {each.pieces} past their best. Use them first or write them off.",
            each.item.pk,
        )


def _out_of_step() -> Iterable[Finding]:
    for each in movements.find_mismatches():
        yield Finding(
            AlertKind.STEP,
            f"balance-{each.item_id}",
            f"{each.code}: the balance is {each.balance}, but the movements add up to {each.ledger}. Count this item.",
            each.item_id,
        )
    inconsistent = (
        Hold.objects.exclude(state__in=[HoldState.HELD, HoldState.TENTATIVE])
        .filter(lines__standing=True)
        .distinct()
        .annotate(name=F("label"))
    )
    for hold in inconsistent:
        yield Finding(AlertKind.STEP, f"hold-{hold.pk}", f"{hold.label} is over but still reserves items.")
