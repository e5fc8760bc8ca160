"""The list of events, and the page of one: its thread, people, place, times, stock and log."""

from __future__ import annotations

from typing import Any, Final

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.db.models import Q, QuerySet
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import NoReverseMatch
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from events.booking import event_sections, log, stages
from events.contacts import reachable
from events.jobs import calling_off
from events.jobs.commitment import CannotCommit
from events.loadout import photos
from events.models import Event, Stage, Status
from events.transfers import transfers
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest, clean_text, searched_for
from studio.tenancy import links
from studio.tenancy.rights import Right

A_PAGE: Final = 40
LOG_LINES: Final = 50


@require_safe
@studio_page(Right.SEE_EVENTS)
def events(request: StudioRequest) -> HttpResponse:
    """Events to come, or past ones, or those that fit a search."""
    asked, past = searched_for(request), request.GET.get("when") == "past"
    page = Paginator(_found(asked, past=past), A_PAGE).get_page(request.GET.get("page"))
    rows = [(event, stages.beads(event)) for event in page]
    return render(
        request,
        "events/jobs/events.html",
        {"page": page, "rows": rows, "asked": asked, "past": past, "studio": request.tenant.studio},
    )


@require_safe
@studio_page(Right.SEE_EVENTS)
def event(request: StudioRequest, event_id: int) -> HttpResponse:
    """One event."""
    found = Event.objects.select_related("client", "venue", "hold").filter(pk=event_id).first()
    if found is None:
        raise Http404
    office = request.tenant.can(Right.SEE_CLIENTS)
    bill = list(found.bill.order_by("pk"))
    wished, linked = list(transfers.wishes(found)) if office else (), transfers.links(found).exists()
    context: dict[str, Any] = {
        "event": found,
        "studio": request.tenant.studio,
        "beads": stages.beads(found, stages.reached_at(found)),
        "bill": bill,
        "short": [row for row in bill if row.short],
        "sections": event_sections.sections(found),
        "next_stage": stages.next_by_hand(found),
        "back_to": stages.previous_by_hand(found),
        "phone": reachable.phone(found, request.tenant.studio),
        "quote_address": _quote_address(request, found),
        "photos": photos.of(found.pk) if found.stage in stages.HAS_LEFT else [],
        "enclosures": list(found.enclosures.all()),
        "may_choose_straight": request.tenant.can(Right.EDIT_EVENTS) and found.stage not in stages.HAS_LEFT,
        "straights": transfers.straights_of(found, wished=wished, linked=linked),
        "log": list(found.log.select_related("person", "crew_phone")[:LOG_LINES]) if office else None,
    }
    context["next_verb"] = stages.VERBS.get(context["next_stage"]) if context["next_stage"] else ""
    return render(request, "events/jobs/event.html", context)


@require_POST
@studio_page(Right.SEE_EVENTS)
def go_to_stage(request: StudioRequest, event_id: int, stage: str) -> HttpResponse:
    """Thread the next bead, or take back the last."""
    if stage not in stages.VERBS and stage != Stage.AGREED:
        raise Http404
    before = Event.objects.filter(pk=event_id).values_list("stage", flat=True).first()
    try:
        reached = stages.reach(event_id, Stage(stage))
    except stages.CannotReach as refusal:
        messages.error(request, refusal.messages[0])
    else:
        undo = links.to("events:stage", event_id, before) if before and before != stage else ""
        messages.success(request, f"{reached.title}: {Stage(stage).label}.", extra_tags=undo)
    return redirect(links.to("events:event", event_id))


@require_POST
@studio_page(Right.EDIT_EVENTS)
def note(request: StudioRequest, event_id: int) -> HttpResponse:
    """Put down what was said."""
    found = Event.objects.filter(pk=event_id).first()
    if found is None:
        raise Http404
    try:
        log.note(found, clean_text(request.POST.get("text", "")))
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    return redirect(links.to("events:event", event_id) + "#log")


@require_POST
@studio_page(Right.EDIT_EVENTS)
def call_off(request: StudioRequest, event_id: int) -> HttpResponse:
    """The event doesn't take place; undo takes it up again."""
    try:
        called = calling_off.call_off(event_id, why=clean_text(request.POST.get("why", ""))[:500])
    except calling_off.CannotCallOff as refusal:
        messages.error(request, f"It can’t be called off yet. {' '.join(refusal.messages)}")
    else:
        messages.success(
            request,
            f"{called.title} is called off; what it held is free.",
            extra_tags=links.to("events:take-up-again", event_id),
        )
    return redirect(links.to("events:event", event_id))


@require_POST
@studio_page(Right.EDIT_EVENTS)
def take_up_again(request: StudioRequest, event_id: int) -> HttpResponse:
    """Undo calling off."""
    try:
        calling_off.take_up_again(event_id)
    except CannotCommit as refusal:
        messages.error(request, f"It can't be taken up again. {' '.join(refusal.messages)}")
    else:
        messages.success(request, "It takes place after all.")
    return redirect(links.to("events:event", event_id))


# --- Private ---


def _found(asked: str, *, past: bool) -> QuerySet[Event]:
    rows = Event.objects.select_related("client", "venue")
    if asked:
        return rows.filter(
            Q(title__icontains=asked) | Q(client__name__icontains=asked) | Q(venue__name__icontains=asked)
        ).order_by("-ready_by", "-pk")
    if past:
        return rows.filter(back_at__lte=timezone.now()).order_by("-ready_by", "-pk")
    return rows.filter(back_at__gt=timezone.now()).exclude(status=Status.CANCELLED).order_by("ready_by", "pk")


def _quote_address(request: StudioRequest, found: Event) -> str:
    """Where a quote for the event is started; the room above this one says so by its page's name."""
    if not request.tenant.can(Right.EDIT_QUOTES) or found.is_off:
        return ""
    try:
        return links.to("quoting:start", found.pk)
    except NoReverseMatch:
        return ""
