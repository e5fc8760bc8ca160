"""Transfers from another event: choosing and undoing them."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from events.models import Event
from events.transfers import changing
from events.transfers.choices import find_choices
from events.transfers.forms import TransferForm
from events.transfers.transfers import CannotTransfer
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right
from studio.ui.form_errors import add_errors


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def choose_transfer(request: StudioRequest, event_id: int) -> HttpResponse:
    """Choose items to transfer from another event."""
    event = get_object_or_404(Event.objects.select_related("venue", "client", "hold"), pk=event_id)
    choices = find_choices(event)
    form = TransferForm(request.POST or None, event=event, choices=choices)
    if form.is_valid() and _set(event, form):
        messages.success(request, "Transfer saved.")
        return redirect(links.to("events:event", event_id) + "#held")
    context = {"event": event, "form": form, "choices": choices}
    return render(request, "events/transfers/transfers.html", context, status=422 if form.errors else 200)


@require_POST
@studio_page(Right.EDIT_EVENTS)
def undo_transfer(request: StudioRequest, event_id: int, transfer_id: int) -> HttpResponse:
    """Have the items return to the studio first."""
    try:
        changing.undo_transfer(event_id, transfer_id)
    except CannotTransfer as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, "Transfer undone: the items return to the studio first.")
    return redirect(links.to("events:event", event_id) + "#held")


@require_POST
@studio_page(Right.EDIT_EVENTS)
def cancel_request(request: StudioRequest, event_id: int, request_id: int) -> HttpResponse:
    """Withdraw a requested transfer."""
    changing.cancel_request(event_id, request_id)
    return redirect(links.to("events:event", event_id) + "#held")


# --- Private ---


def _set(event: Event, form: TransferForm) -> bool:
    """Save the transfer; False with the errors at the form's fields."""
    wanted = form.wanted()
    try:
        changing.set_transfer(
            event.pk,
            giver_id=wanted.giver_id,
            code=wanted.code,
            quantity=wanted.quantity,
            unwashed=wanted.unwashed,
        )
    except ValidationError as refusal:
        add_errors(form, refusal)
        return False
    return True
