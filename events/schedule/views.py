"""The pages of an event's crew and its shifts, and the run sheets: of an event, of a person."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Final

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from events.contacts import reachable
from events.crew import assigning, calls, people
from events.crew.shifts import planned_shifts
from events.crew_phones.phone_links import event_of_address
from events.day_plan.work_plan import work_plan
from events.models import Event, Shift, ShiftKind
from events.schedule import presenter, run_sheet
from events.schedule.forms import ShiftTimesForm
from studio.models import Studio
from studio.people.gates import in_own_language, studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right
from studio.ui.form_errors import save_form
from studio.ui.offline import kept_on_phones

LONGEST_ID: Final = 18
"""More digits than this are no primary key, and too large for the database."""


@require_safe
@studio_page(Right.SEE_EVENTS, linked_to=event_of_address)
@in_own_language
@kept_on_phones
def show_run_sheet(request: StudioRequest, event_id: int) -> HttpResponse:
    """Show the event by the clock."""
    event, studio = _find_event(event_id), request.tenant.studio
    context = {"event": event, "studio": studio, "sheet": run_sheet.find_run_sheet(event, studio)}
    return render(request, "events/schedule/run_sheet.html", context)


@require_safe
@studio_page(Right.SEE_EVENTS, linked_to=event_of_address)
@in_own_language
def show_contacts(request: StudioRequest, event_id: int) -> HttpResponse:
    """Show the client and their numbers to whoever may see them now. No phone keeps this."""
    page = "events/schedule/_whom_to_call.html" if request.htmx else "events/schedule/whom_to_call.html"
    return render(request, page, reachable.shown_contacts(_find_event(event_id), request.tenant.studio))


@require_safe
@studio_page(Right.SEE_EVENTS)
@in_own_language
@kept_on_phones
def show_person_run_sheet(request: StudioRequest, membership_id: int) -> HttpResponse:
    """Show somebody's coming shifts; the office sees everybody's, crew their own."""
    who = people.find_person(membership_id)
    if not people.is_self(who) and not request.tenant.can(Right.EDIT_EVENTS):
        raise PermissionDenied("This is somebody else's run sheet.")
    studio = request.tenant.studio
    context = {
        "who": who,
        "studio": studio,
        "is_self": people.is_self(who),
        "sheets": run_sheet.find_person_sheets(who.member, studio) if who.member.pk else [],
    }
    return render(request, "events/schedule/person_run_sheet.html", context)


@require_safe
@studio_page(Right.EDIT_EVENTS)
def show_event_crew(request: StudioRequest, event_id: int) -> HttpResponse:
    """Show the event's shifts, who is on them, and what is wrong."""
    event, studio = _find_event(event_id), request.tenant.studio
    context = {"event": event, "studio": studio, "crew": presenter.show_crew(event, studio)}
    return render(request, "events/schedule/event_crew.html", context)


def crew_action(view: Callable[..., str]) -> Callable[..., HttpResponse]:
    """Wrap a change to an event's crew: make it, say what was done or why not, go back to the page."""

    @wraps(view)
    def act(request: StudioRequest, event_id: int, **names: str) -> HttpResponse:
        try:
            messages.success(request, view(request, event_id, **names))
        except ValidationError as refusal:
            messages.error(request, " ".join(refusal.messages))
        return redirect(links.to("events:event-crew", event_id))

    return act


@require_POST
@studio_page(Right.EDIT_EVENTS)
@crew_action
def assign_person(request: StudioRequest, event_id: int, kind: str) -> str:
    """Assign somebody to a shift."""
    found, who = _find_kind(kind), _typed_id(request.POST.get("who", ""))
    if who is None:
        raise ValidationError("Choose who is to work on it.")
    call = assigning.assign_person(event_id, found, who, drives="drives" in request.POST)
    return f"{call.member.person.name} is assigned."


@require_POST
@studio_page(Right.EDIT_EVENTS)
@crew_action
def assign_van(request: StudioRequest, event_id: int, kind: str) -> str:
    """Choose the van of a shift."""
    van_id = _typed_id(request.POST.get("van", ""))
    shift = assigning.assign_van(event_id, _find_kind(kind), van_id)
    return f"{shift.van.name} is assigned." if shift.van else "No van is assigned."


@require_POST
@studio_page(Right.EDIT_EVENTS)
@crew_action
def restore_times(request: StudioRequest, event_id: int, kind: str) -> str:
    """Let a shift's times follow the plan again."""
    assigning.restore_planned_times(event_id, _find_kind(kind))
    return "Times follow the plan again."


@require_POST
@studio_page(Right.EDIT_EVENTS)
@crew_action
def end_tours(request: StudioRequest, event_id: int) -> str:
    """End the event's tours."""
    assigning.end_tours(event_id)
    return "The van returns to the studio in between. Call the crew again."


@require_POST
@studio_page(Right.EDIT_EVENTS)
@crew_action
def call_crew(request: StudioRequest, event_id: int) -> str:
    """Ask everybody who hasn't been asked."""
    asked = calls.ask(event_id)
    return f"Called: {', '.join(asked)}. Their answers show here." if asked else "Everybody has been asked."


@require_POST
@studio_page(Right.EDIT_EVENTS)
def remove_person(request: StudioRequest, call_id: int) -> HttpResponse:
    """Remove somebody from a shift."""
    call = assigning.remove_person(call_id)
    messages.success(request, f"{call.member.person.name} is removed.")
    return redirect(links.to("events:event-crew", call.shift.event_id))


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def change_times(request: StudioRequest, event_id: int, kind: str) -> HttpResponse:
    """Set a shift's times by hand."""
    event, found = _find_event(event_id), _find_kind(kind)
    shift = _find_shift(event, found, request.tenant.studio)
    form = ShiftTimesForm(request.POST or None, shift=shift)
    if save_form(form, lambda: assigning.set_times(event_id, found, **form.cleaned_data)):
        messages.success(request, "Times saved. Call the crew of this shift again.")
        return redirect(links.to("events:event-crew", event_id))
    context = {"event": event, "shift": shift, "form": form}
    return render(request, "events/schedule/shift_times.html", context, status=422 if form.errors else 200)


# --- Private ---


def _find_event(event_id: int) -> Event:
    return get_object_or_404(Event.objects.select_related("client", "venue"), pk=event_id)


def _find_kind(text: str) -> ShiftKind:
    if text not in ShiftKind.values:
        raise Http404
    return ShiftKind(text)


def _find_shift(event: Event, kind: ShiftKind, studio: Studio) -> Shift:
    for shift in planned_shifts(work_plan(event, studio)):
        if shift.kind == kind:
            return shift
    raise Http404


def _typed_id(text: str) -> int | None:
    return int(text) if text.isdecimal() and len(text) <= LONGEST_ID else None
