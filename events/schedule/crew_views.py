"""Who works on an event: the three stretches, people and vans on them, conflicts, and the call."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import wraps
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from events.crew import assigning, shifts
from events.crew import calls as crew_calls
from events.crew import people as crew
from events.crew.forms import StretchForm
from events.day_plan import work_plan
from events.models import Answer, CrewCall, Event, Shift, ShiftKind
from events.schedule import conflicts
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right
from studio.ui.form_errors import add_errors


@require_safe
@studio_page(Right.EDIT_EVENTS)
def event_crew(request: StudioRequest, event_id: int) -> HttpResponse:
    """The stretches, who is on them, and what is wrong."""
    event = _event(event_id)
    studio = request.tenant.studio
    plan = work_plan.work_plan(event, studio)
    stretches = shifts.planned_shifts(plan)
    known = conflicts.roster(event.hold_window(), studio)
    wrong, calls = conflicts.conflicts(known), known.calls
    everybody, vans = crew.people_and_vans()
    people = [who for who in everybody if who.member.is_called]
    context = {
        "event": event,
        "studio": studio,
        "stretches": [_stretch(shift, calls, wrong, people, known.shifts) for shift in stretches],
        "vans": vans,
        "faults": plan.faults,
        "waiting": any(
            call.answer == Answer.NOT_ASKED for shift in stretches for call in calls.get(shift.pk or 0, ())
        ),
        "anybody": bool(people),
    }
    return render(request, "events/schedule/event_crew.html", context)


def _act(view: Callable[..., str]) -> Callable[..., HttpResponse]:
    """A change to an event's crew: does it, says what was done or why not, and goes back to the page."""

    @wraps(view)
    def act(request: StudioRequest, event_id: int, **more: Any) -> HttpResponse:
        try:
            messages.success(request, view(request, event_id, **more))
        except ValidationError as refusal:
            messages.error(request, " ".join(refusal.messages))
        return redirect(links.to("events:event-crew", event_id))

    return act


@require_POST
@studio_page(Right.EDIT_EVENTS)
@_act
def put_on(request: StudioRequest, event_id: int, kind: str) -> str:
    """Put somebody on a stretch."""
    stretch, who = _kind(kind), request.POST.get("who", "")
    if not who.isdecimal() or len(who) > 18:
        raise ValidationError("Choose who is to work on it.")
    call = assigning.assign_person(event_id, stretch, int(who), drives="drives" in request.POST)
    return f"{call.member.person.name} is on."


@require_POST
@studio_page(Right.EDIT_EVENTS)
@_act
def send_van(request: StudioRequest, event_id: int, kind: str) -> str:
    """Choose the van of a stretch."""
    chosen = request.POST.get("van", "")
    shift = assigning.assign_van(
        event_id, _kind(kind), int(chosen) if chosen.isdecimal() and len(chosen) < 19 else None
    )
    return f"{shift.van.name} goes." if shift.van else "No van goes."


@require_POST
@studio_page(Right.EDIT_EVENTS)
@_act
def as_planned(request: StudioRequest, event_id: int, kind: str) -> str:
    """Give a stretch back to the plan."""
    assigning.restore_planned_times(event_id, _kind(kind))
    return "Times follow the plan again."


@require_POST
@studio_page(Right.EDIT_EVENTS)
@_act
def from_studio(request: StudioRequest, event_id: int) -> str:
    """Let its rounds be none."""
    assigning.end_tours(event_id)
    return "By way of the studio again; who was asked must be asked again."


@require_POST
@studio_page(Right.EDIT_EVENTS)
@_act
def call_crew(request: StudioRequest, event_id: int) -> str:
    """Ask everybody who hasn't been asked."""
    asked = crew_calls.ask(event_id)
    return f"Called: {', '.join(asked)}. Their answers show here." if asked else "Everybody has been asked."


@require_POST
@studio_page(Right.EDIT_EVENTS)
def take_off(request: StudioRequest, call_id: int) -> HttpResponse:
    """Take somebody off."""
    call = assigning.remove_person(call_id)
    messages.success(request, f"{call.member.person.name} is off.")
    return redirect(links.to("events:event-crew", call.shift.event_id))


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def stretch(request: StudioRequest, event_id: int, kind: str) -> HttpResponse:
    """Other times for a stretch."""
    event = _event(event_id)
    wanted = _kind(kind)
    plan = work_plan.work_plan(event, request.tenant.studio)
    shift = next((each for each in shifts.planned_shifts(plan) if each.kind == wanted), None)
    if shift is None:
        raise Http404
    form = StretchForm(request.POST or None, shift=shift)
    if request.method == "POST" and form.is_valid():
        try:
            assigning.set_times(
                event_id, wanted, form.cleaned_data["starts_at"], form.cleaned_data["ends_at"]
            )
        except ValidationError as refusal:
            add_errors(form, refusal)
        else:
            messages.success(request, "Times kept; who was asked must be asked again.")
            return redirect(links.to("events:event-crew", event_id))
    context = {"event": event, "shift": shift, "form": form}
    return render(request, "events/schedule/shift_times.html", context, status=422 if form.errors else 200)


# --- Private ---


def _event(event_id: int) -> Event:
    event = Event.objects.select_related("client", "venue").filter(pk=event_id).first()
    if event is None:
        raise Http404
    return event


def _kind(text: str) -> ShiftKind:
    if text not in ShiftKind.values:
        raise Http404
    return ShiftKind(text)


def _stretch(
    shift: Shift,
    calls: Mapping[int, Sequence[CrewCall]],
    wrong: Mapping[int, Sequence[str]],
    people: list[crew.CrewPerson],
    around: Sequence[Shift],
) -> dict[str, Any]:
    on = calls.get(shift.pk or 0, [])
    taken = {call.member_id for call in on}
    return {
        "shift": shift,
        "calls": on,
        "wrong": wrong.get(shift.pk or 0, []),
        "people": [who for who in people if who.member.pk not in taken],
        "comes_from": next((each for each in around if each.pk == shift.comes_from_id), None),
        "goes_on_to": next((each for each in around if shift.pk and each.comes_from_id == shift.pk), None),
        "with_van": shift.kind != ShiftKind.PREP,
    }
