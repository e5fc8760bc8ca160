"""Planning a span of days: the request, the proposal, and accepting it."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from events.planner import plan_requests, solver
from events.planner.accepting import accept_proposal
from events.planner.forms import SpanForm, next_weekend
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right
from studio.ui.form_errors import save_form


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def request_plan(request: StudioRequest) -> HttpResponse:
    """Ask for a plan; a POST has the worker work it out, and changes nothing."""
    studio = request.tenant.studio
    posted = request.POST if request.method == "POST" and solver.is_installed() else None
    form = SpanForm(posted, initial=next_weekend(studio))
    name = save_form(form, lambda: plan_requests.request_plan(**form.cleaned_data, studio=studio))
    if name:
        return redirect(links.to("events:plan-result", name))
    context = {**_context(request, form), "before": plan_requests.last_request()}
    return render(request, "events/planner/plan.html", context, status=422 if form.errors else 200)


@require_safe
@studio_page(Right.EDIT_EVENTS)
def show_plan(request: StudioRequest, asked: str) -> HttpResponse:
    """Show what became of a request: in progress, a proposal, or why there is none."""
    found = plan_requests.find_request(asked)
    if found is None:
        raise Http404
    form = SpanForm(initial={"first": found.asked.first, "last": found.asked.last})
    page = "events/planner/_planned.html" if request.htmx else "events/planner/plan.html"
    return render(request, page, {**_context(request, form), "asked": found, "proposal": found.result})


@require_POST
@studio_page(Right.EDIT_EVENTS)
def stop_plan(request: StudioRequest, asked: str) -> HttpResponse:
    """Stop a plan that nobody wants any more."""
    if plan_requests.find_request(asked) is None:
        raise Http404
    plan_requests.stop_request(asked)
    return redirect(links.to("events:plan-result", asked))


@require_POST
@studio_page(Right.EDIT_EVENTS)
def accept_plan(request: StudioRequest) -> HttpResponse:
    """Assign people, vans and times of the selected shifts as proposed."""
    try:
        accepted = accept_proposal(request.POST.get("sealed", ""), request.POST.getlist("line"))
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return redirect(links.to("events:plan"))
    messages.success(request, f"{accepted.number} assigned. Call the crew on each event’s crew page.")
    day = f"&day={accepted.first_day.isoformat()}" if accepted.first_day else ""
    return redirect(f"{links.to('events:week')}?by=crew{day}")


# --- Private ---


def _context(request: StudioRequest, form: SpanForm) -> dict[str, object]:
    return {
        "form": form,
        "studio": request.tenant.studio,
        "installed": solver.is_installed(),
        "not_installed": "Planning is not installed on this server (requirements/plan.txt). "
        "Assign people and vans on each event instead.",
    }
