"""Planning a span of days: the question, the proposal, and accepting it."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from events.forms import take_refusal
from events.views.request import StudioRequest
from events.weekend import proposal, solver
from studio import links
from studio.access import Right, studio_page
from studio.forms import DayField


class SpanForm(forms.Form):
    """Which days are planned."""

    first = DayField(label="From")
    last = DayField(label="Until, that day included")


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def plan(request: StudioRequest) -> HttpResponse:
    """Ask for a plan; a POST works it out and shows it, and changes nothing."""
    today = timezone.now().astimezone(request.tenant.studio.tz).date()
    friday = today + timedelta(days=(4 - today.weekday()) % 7)
    form = SpanForm(request.POST or None, initial={"first": friday, "last": friday + timedelta(days=2)})
    context: dict[str, Any] = {
        "form": form,
        "studio": request.tenant.studio,
        "installed": solver.is_installed(),
    }
    if request.method == "POST" and form.is_valid() and context["installed"]:
        try:
            context["proposal"] = proposal.propose(
                form.cleaned_data["first"], form.cleaned_data["last"], request.tenant.studio
            )
        except ValidationError as refusal:
            take_refusal(form, refusal)
    return render(request, "events/plan.html", context, status=422 if form.errors else 200)


@require_POST
@studio_page(Right.EDIT_EVENTS)
def accept_plan(request: StudioRequest) -> HttpResponse:
    """Put the ticked stretches down."""
    try:
        number = proposal.accept(request.POST.get("sealed", ""), request.POST.getlist("line"))
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return redirect(links.to("events:plan"))
    messages.success(request, f"{number} put down. Nobody is called yet: do that on each event’s crew page.")
    return redirect(links.to("events:week") + "?by=crew")
