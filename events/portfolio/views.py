"""Photos of an event beside what was promised, the client's consent to show them, and the portfolio's switch."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from events.loadout import photos
from events.models import Event
from events.portfolio import consent, public_page
from events.portfolio.forms import ConsentForm, PortfolioForm
from events.progress.event_pictures import find_pictures
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def show_photos(request: StudioRequest, event_id: int) -> HttpResponse:
    """The photos beside the promised picture; a post says which of them are shown in public."""
    event = _find(event_id)
    if request.method != "POST":
        return _page(request, event, ConsentForm())
    wanted = {int(text) for text in request.POST.getlist("photo") if text.isascii() and text.isdigit()}
    try:
        consent.show(event.pk, {number for number in wanted if number < 2**63})
    except ValidationError as refusal:
        return _page(request, event, ConsentForm(), fault=refusal.messages[0])
    messages.success(request, "Saved which photos the portfolio shows.")
    return redirect(links.to("events:event-photos", event.pk))


@require_POST
@studio_page(Right.EDIT_EVENTS)
def record_consent(request: StudioRequest, event_id: int) -> HttpResponse:
    """Put down who consented."""
    event, form = _find(event_id), ConsentForm(request.POST)
    if form.is_valid():
        try:
            consent.record(event.pk, **form.cleaned_data)
        except ValidationError as refusal:
            form.add_error(None, refusal)
        else:
            return redirect(links.to("events:event-photos", event.pk))
    return _page(request, event, form)


@require_POST
@studio_page(Right.EDIT_EVENTS)
def withdraw_consent(request: StudioRequest, event_id: int) -> HttpResponse:
    """End the consent; its photos leave the public page."""
    event = _find(event_id)
    consent.withdraw(event.pk)
    messages.success(request, "Consent withdrawn. The portfolio no longer shows photos of this event.")
    return redirect(links.to("events:event-photos", event.pk))


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_STUDIO)
def change_portfolio(request: StudioRequest) -> HttpResponse:
    """Switch the public page on or off."""
    now = public_page.find()
    sent = request.POST if request.method == "POST" else None
    form = PortfolioForm(sent, initial={"is_shown": now.is_shown, "is_indexed": now.is_indexed})
    if form.is_valid():
        try:
            public_page.switch(**form.cleaned_data)
        except ValidationError as refusal:
            form.add_error(None, refusal)
        else:
            messages.success(request, "Saved.")
            return redirect(links.to("events:portfolio"))
    context = {
        "form": form,
        "portfolio": now,
        "address": links.absolute(reverse("public-portfolio", args=[request.tenant.studio.slug])),
        "photos": public_page.shown_photos(),
    }
    return render(request, "events/portfolio/portfolio.html", context, status=422 if form.errors else 200)


# Private


def _find(event_id: int) -> Event:
    event = Event.objects.select_related("client", "venue").filter(pk=event_id).first()
    if event is None:
        raise Http404
    return event


def _page(request: StudioRequest, event: Event, form: ConsentForm, *, fault: str = "") -> HttpResponse:
    standing = consent.find(event.pk)
    context = {
        "event": event,
        "photos": photos.list_photos(event.pk),
        "picture": find_pictures([event.pk]).get(event.pk),
        "consent": standing,
        "ended": consent.find_ended(event.pk),
        "shown": set(standing.shown.values_list("photo_id", flat=True)) if standing else set(),
        "portfolio": public_page.find(),
        "form": form,
        "fault": fault,
    }
    status = 422 if form.errors or fault else 200
    return render(request, "events/portfolio/photos.html", context, status=status)
