"""The pages of events: the list, one event with what is done to it, its details and times, and the search."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from events.booking import log, stages
from events.booking.event_lock import ChangedMeanwhile
from events.jobs import calling_off, changes, postponing, presenter, search
from events.jobs.commitment import CannotCommit
from events.jobs.forms import DetailsForm, TimesForm
from events.loadout import swaps
from events.models import Event, Stage
from events.progress.presenter import event_rows
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest, clean_text, searched_for
from studio.tenancy import links
from studio.tenancy.rights import Right
from studio.ui.form_errors import add_errors

PAGE_SIZE: Final = 40
LONGEST_REASON: Final = 500


@require_safe
@studio_page(Right.SEE_EVENTS)
def list_events(request: StudioRequest) -> HttpResponse:
    """List events to come, or past ones, or those that match a search."""
    asked, past = searched_for(request), request.GET.get("when") == "past"
    page = Paginator(search.list_events(asked, past=past), PAGE_SIZE).get_page(request.GET.get("page"))
    context = {
        "page": page,
        "rows": event_rows(page),
        "asked": asked,
        "past": past,
        "studio": request.tenant.studio,
    }
    return render(request, "events/jobs/events.html", context)


@require_safe
@studio_page(Right.SEE_EVENTS)
def search_all(request: StudioRequest) -> HttpResponse:
    """Search events, clients, venues and notes for ``?find=``."""
    studio = request.tenant.studio
    found = search.search(searched_for(request), studio)
    context = {"found": found, "rows": event_rows(found.events), "studio": studio}
    return render(request, "events/jobs/search.html", context)


@require_safe
@studio_page(Right.SEE_EVENTS)
def show_event(request: StudioRequest, event_id: int) -> HttpResponse:
    """Show one event."""
    event = _find(event_id)
    return render(request, "events/jobs/event.html", presenter.event_context(event, request.tenant))


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def change_details(request: StudioRequest, event_id: int) -> HttpResponse:
    """Change title, venue, sizes and notes."""
    event = _find(event_id)
    form = DetailsForm(request.POST or None, event=event, studio=request.tenant.studio)

    def save() -> None:
        typed = form.cleaned_data
        changes.change_details(
            event_id,
            title=typed["title"],
            venue_id=typed["venue"],
            wanted=form.wanted(typed),
            notes=typed["notes"],
            seen_version=typed["version"],
        )

    return _change_page(request, event, form, save, "Details")


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def change_times(request: StudioRequest, event_id: int) -> HttpResponse:
    """Move the event; the stock that it holds must be available at the new times."""
    event = _find(event_id)
    form = TimesForm(request.POST or None, event=event)

    def save() -> None:
        changes.move(event_id, form.cleaned_data["windows"], seen_version=form.cleaned_data["version"])

    return _change_page(request, event, form, save, "Times")


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def postpone(request: StudioRequest, event_id: int) -> HttpResponse:
    """Give a called-off event another date."""
    event = _find(event_id)
    form = TimesForm(request.POST or None, event=event)

    def save() -> None:
        postponing.postpone(event_id, form.cleaned_data["windows"], seen_version=form.cleaned_data["version"])

    return _change_page(request, event, form, save, "New date")


@require_POST
@studio_page(Right.SEE_EVENTS)
def change_stage(request: StudioRequest, event_id: int, stage: str) -> HttpResponse:
    """Move the event to its next stage, or back to the one before."""
    if stage not in stages.VERBS and stage != Stage.AGREED:
        raise Http404
    before = Event.objects.filter(pk=event_id).values_list("stage", flat=True).first()
    try:
        reached = stages.reach(event_id, Stage(stage))
    except stages.CannotReach as refusal:
        messages.error(request, refusal.messages[0])
    else:
        undo = links.to("events:event-stage-change", event_id, before) if before and before != stage else ""
        messages.success(request, f"{reached.title}: {Stage(stage).label}.", extra_tags=undo)
    return redirect(links.to("events:event", event_id))


@require_POST
@studio_page(Right.EDIT_EVENTS)
def add_note(request: StudioRequest, event_id: int) -> HttpResponse:
    """Add a note to the event's history."""
    event = get_object_or_404(Event, pk=event_id)
    try:
        log.add_note(event, clean_text(request.POST.get("text", "")))
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    return redirect(links.to("events:event", event_id) + "#log")


@require_POST
@studio_page(Right.EDIT_EVENTS)
def undo_swap(request: StudioRequest, event_id: int, code: str) -> HttpResponse:
    """Put an agreed item back in place of what was swapped in for it."""
    try:
        swaps.undo_swap(event_id, code)
    except ValidationError as refusal:
        messages.error(request, f"This swap can’t be undone. {' '.join(refusal.messages)}")
    else:
        messages.success(request, "Swap undone. Tell the crew.")
    return redirect(links.to("events:event", event_id) + "#held")


@require_POST
@studio_page(Right.EDIT_EVENTS)
def call_off(request: StudioRequest, event_id: int) -> HttpResponse:
    """Call the event off; the notice offers to restore it."""
    reason = clean_text(request.POST.get("why", ""))[:LONGEST_REASON]
    try:
        event = calling_off.call_off(event_id, why=reason)
    except calling_off.CannotCallOff as refusal:
        messages.error(request, f"This event can’t be called off yet. {' '.join(refusal.messages)}")
    else:
        undo = links.to("events:event-take-up-again", event_id)
        messages.success(request, f"{event.title} is called off; its stock is free again.", extra_tags=undo)
    return redirect(links.to("events:event", event_id))


@require_POST
@studio_page(Right.EDIT_EVENTS)
def take_up_again(request: StudioRequest, event_id: int) -> HttpResponse:
    """Restore an event that was called off."""
    try:
        calling_off.take_up_again(event_id)
    except CannotCommit as refusal:
        messages.error(request, f"This event can’t be restored. {' '.join(refusal.messages)}")
    else:
        messages.success(request, "The event is on again.")
    return redirect(links.to("events:event", event_id))


# --- Private ---


def _find(event_id: int) -> Event:
    return get_object_or_404(Event.objects.select_related("venue", "client"), pk=event_id)


def _change_page(
    request: StudioRequest, event: Event, form: forms.Form, save: Callable[[], None], heading: str
) -> HttpResponse:
    if form.is_valid() and _saved(request, event, form, save):
        messages.success(request, f"{heading} saved.")
        return redirect(links.to("events:event", event.pk))
    context = {"event": event, "form": form, "heading": heading, "studio": request.tenant.studio}
    return render(request, "events/jobs/changing.html", context, status=422 if form.errors else 200)


def _saved(request: StudioRequest, event: Event, form: forms.Form, save: Callable[[], None]) -> bool:
    try:
        save()
    except ChangedMeanwhile as refusal:
        # Saving again is then a decision, not an accident.
        form.data = {**request.POST.dict(), "version": str(event.version)}
        form.add_error(None, refusal)
        return False
    except ValidationError as refusal:
        add_errors(form, refusal)
        return False
    return True
