"""One event, as its page shows it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from django.urls import NoReverseMatch

from events.booking import event_sections, stages
from events.contacts import reachable
from events.loadout import photos
from events.loadout.shortages import find_shortages
from events.models import Event, Stage
from events.progress.event_pictures import find_pictures
from events.progress.presenter import event_beads
from events.transfers.transfers import find_event_transfers, find_requests
from studio.people.page_request import PageTenant
from studio.tenancy import links
from studio.tenancy.rights import Right

LOG_LINES: Final = 50


def event_context(event: Event, tenant: PageTenant) -> dict[str, object]:
    """Everything that the page of an event shows to the person who looks at it."""
    bill = list(event.bill.order_by("pk"))
    taken = photos.list_photos(event.pk) if event.stage in stages.HAS_LEFT else []
    next_stage = stages.next_by_hand(event)
    may_swap = tenant.can(Right.EDIT_EVENTS) and tenant.can(Right.HOLD_STOCK)
    return {
        "event": event,
        "studio": tenant.studio,
        "beads": event_beads(event, stages.reached_at(event)),
        "bill": bill,
        "shortages": find_shortages(event, bill, stand_ins=tenant.can(Right.SEE_SHELF)),
        "sections": event_sections.sections(event),
        "next_stage": next_stage,
        "next_verb": stages.VERBS.get(next_stage, "") if next_stage else "",
        "back_to": stages.previous_by_hand(event),
        "phone": reachable.shown_phone(event, tenant.studio),
        "quote_address": _quote_address(event, tenant),
        "photos": taken,
        "promised": find_pictures([event.pk]).get(event.pk) if taken else None,
        "attachments": list(event.enclosures.values("pk", "name", "is_picture")),
        "may_undo_swaps": may_swap and event.stage == Stage.AGREED and not event.is_off,
        "may_choose_transfers": tenant.can(Right.EDIT_EVENTS)
        and event.stage not in stages.HAS_LEFT
        and not event.is_off,
        "transfers": find_event_transfers(event),
        "requested_transfers": find_requests(event) if tenant.can(Right.SEE_CLIENTS) else [],
        "log": _log(event, tenant),
    }


# --- Private ---


@dataclass(frozen=True, slots=True)
class LogLine:
    """What was said or done, when and by whom."""

    kind: str
    text: str
    at: datetime
    by: str


def _log(event: Event, tenant: PageTenant) -> list[LogLine] | None:
    """The newest entries; None where the person may not read them."""
    if not tenant.can(Right.SEE_CLIENTS):
        return None
    entries = event.log.values_list("kind", "text", "at", "person__name", "crew_phone__name")
    return [
        LogLine(kind, text, at, person or phone or "")
        for kind, text, at, person, phone in entries[:LOG_LINES]
    ]


def _quote_address(event: Event, tenant: PageTenant) -> str:
    """Where a quote for the event is started: a page of the room above, known by its name only."""
    if not tenant.can(Right.EDIT_QUOTES) or event.is_off:
        return ""
    try:
        return links.to("quoting:quote-start", event.pk)
    except NoReverseMatch:
        return ""
