"""Changing an event's details and times."""

from __future__ import annotations

from collections.abc import Callable

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from events.booking.event_lock import ChangedMeanwhile
from events.booking.forms import DetailsForm, WindowsForm, take_refusal
from events.jobs import changes
from events.models import Event
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def details(request: StudioRequest, event_id: int) -> HttpResponse:
    """What the event is about and where it is."""
    event = _event(event_id)
    form = DetailsForm(request.POST or None, event=event, studio=request.tenant.studio)

    def keep() -> None:
        typed = form.cleaned_data
        changes.change_details(
            event_id,
            title=typed["title"],
            venue_id=typed["venue"],
            wanted=form.wanted(typed),
            notes=typed["notes"],
            seen_version=typed["version"],
        )

    return _answered(request, event, form, keep, "Details")


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def times(request: StudioRequest, event_id: int) -> HttpResponse:
    """When it is; what it holds must be free then."""
    event = _event(event_id)
    form = WindowsForm(request.POST or None, event=event)

    def keep() -> None:
        changes.move(event_id, form.cleaned_data["windows"], seen_version=form.cleaned_data["version"])

    return _answered(request, event, form, keep, "Times")


def _event(event_id: int) -> Event:
    event = Event.objects.select_related("venue", "client").filter(pk=event_id).first()
    if event is None:
        raise Http404
    return event


def _answered(
    request: StudioRequest, event: Event, form: forms.Form, keep: Callable[[], None], heading: str
) -> HttpResponse:
    if request.method == "POST" and form.is_valid():
        try:
            keep()
        except ChangedMeanwhile as refusal:
            # Keeping again then is a decision, not an accident.
            form.data = {**form.data.dict(), "version": str(event.version)}  # type: ignore[attr-defined]
            form.add_error(None, refusal)
        except ValidationError as refusal:
            take_refusal(form, refusal)
        else:
            messages.success(request, f"{heading} kept.")
            return redirect(links.to("events:event", event.pk))
    context = {"event": event, "form": form, "heading": heading, "studio": request.tenant.studio}
    return render(request, "events/jobs/changing.html", context, status=422 if form.errors else 200)
