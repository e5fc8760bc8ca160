"""Planning a span of days: the question, the proposal, and accepting it."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from events.planner import asking, proposal, solver
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right
from studio.ui.form_errors import add_errors
from studio.ui.forms import DayField


class SpanForm(forms.Form):
    """Which days are planned."""

    first = DayField(label="From")
    last = DayField(label="Until, that day included")


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def plan(request: StudioRequest) -> HttpResponse:
    """Ask for a plan; a POST has the worker work it out, and changes nothing."""
    today = timezone.now().astimezone(request.tenant.studio.tz).date()
    friday = today + timedelta(days=(4 - today.weekday()) % 7)
    form = SpanForm(request.POST or None, initial={"first": friday, "last": friday + timedelta(days=2)})
    if request.method == "POST" and form.is_valid() and solver.is_installed():
        try:
            name = asking.ask(form.cleaned_data["first"], form.cleaned_data["last"], request.tenant.studio)
        except ValidationError as refusal:
            add_errors(form, refusal)
        else:
            return redirect(links.to("events:planned", name))
    context = {**_context(request, form), "before": asking.last_asked()}
    return render(request, "events/planner/plan.html", context, status=422 if form.errors else 200)


@require_safe
@studio_page(Right.EDIT_EVENTS)
def planned(request: StudioRequest, asked: str) -> HttpResponse:
    """What became of it: still worked out, a proposal, or why there is none."""
    found = asking.look(asked)
    if found is None:
        raise Http404
    form = SpanForm(initial={"first": found.first, "last": found.last})
    page = "events/planner/_planned.html" if request.htmx else "events/planner/plan.html"
    return render(request, page, {**_context(request, form), "asked": found, "proposal": found.proposal})


@require_POST
@studio_page(Right.EDIT_EVENTS)
def accept_plan(request: StudioRequest) -> HttpResponse:
    """Put the ticked stretches down."""
    try:
        number = proposal.accept(request.POST.get("sealed", ""), request.POST.getlist("line"))
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return redirect(links.to("events:plan"))
    messages.success(
        request, f"{number} assigned. Nobody has been asked yet: do that on each event’s crew page."
    )
    return redirect(links.to("events:week") + "?by=crew")


# --- Private ---


def _context(request: StudioRequest, form: SpanForm) -> dict[str, Any]:
    return {"form": form, "studio": request.tenant.studio, "installed": solver.is_installed()}
