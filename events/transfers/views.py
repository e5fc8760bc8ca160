"""What comes straight from another event: chosen, changed, undone."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from events.models import Event
from events.transfers import transfers
from events.transfers.forms import StraightForm
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right
from studio.ui.form_errors import add_errors


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def straight(request: StudioRequest, event_id: int) -> HttpResponse:
    """Choose pieces that come straight from another event."""
    event = Event.objects.select_related("venue", "client", "hold").filter(pk=event_id).first()
    if event is None:
        raise Http404
    choices = transfers.choices(event)
    form = StraightForm(request.POST or None, event=event, choices=choices)
    if request.method == "POST" and form.is_valid():
        try:
            transfers.choose(event_id, **form.asked())
        except ValidationError as refusal:
            add_errors(form, refusal)
        else:
            messages.success(request, "Kept.")
            return redirect(links.to("events:event", event_id) + "#held")
    context = {"event": event, "form": form, "choices": choices}
    return render(request, "events/transfers/transfers.html", context, status=422 if form.errors else 200)


@require_POST
@studio_page(Right.EDIT_EVENTS)
def not_straight(request: StudioRequest, event_id: int, handed_id: int) -> HttpResponse:
    """It comes by way of the studio after all."""
    try:
        transfers.drop(event_id, handed_id)
    except transfers.CannotComeStraight as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, "By way of the studio, then.")
    return redirect(links.to("events:event", event_id) + "#held")


@require_POST
@studio_page(Right.EDIT_EVENTS)
def drop_wish(request: StudioRequest, event_id: int, wish_id: int) -> HttpResponse:
    """It is no longer to come straight."""
    transfers.drop_wish(event_id, wish_id)
    return redirect(links.to("events:event", event_id) + "#held")
