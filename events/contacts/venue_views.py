"""Venues: the list, a new one, the page of one, and correcting it."""

from __future__ import annotations

from typing import Final

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.db.models import Q
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from events.booking import stages
from events.booking.forms import DriveForm, VenueForm, take_refusal
from events.contacts import drives
from events.contacts import venues as domain
from events.models import Venue
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest, searched_for
from studio.tenancy import links
from studio.tenancy.rights import Right

A_PAGE: Final = 50
EVENTS_SHOWN: Final = 30


@require_safe
@studio_page(Right.SEE_EVENTS)
def venues(request: StudioRequest) -> HttpResponse:
    """Every place, or those that fit a search."""
    asked = searched_for(request)
    rows = (
        Venue.objects.filter(Q(name__icontains=asked) | Q(address__icontains=asked))
        if asked
        else Venue.objects.all()
    )
    page = Paginator(rows.order_by("name", "pk"), A_PAGE).get_page(request.GET.get("page"))
    return render(
        request, "events/contacts/venues.html", {"page": page, "asked": asked, "studio": request.tenant.studio}
    )


@require_safe
@studio_page(Right.SEE_EVENTS)
def venue(request: StudioRequest, venue_id: int) -> HttpResponse:
    """What the crew must know of a place, and what was there."""
    found = _found(venue_id)
    return _page(request, found, DriveForm(venue=found))


@require_POST
@studio_page(Right.EDIT_EVENTS)
def say_drive(request: StudioRequest, venue_id: int) -> HttpResponse:
    """Keep how long the drive to another venue takes, or forget it."""
    found = _found(venue_id)
    form = DriveForm(request.POST, venue=found)
    if form.is_valid():
        other, minutes = form.cleaned_data["other"], form.cleaned_data["minutes"]
        try:
            drives.say(found, other, minutes)
        except ValidationError as refusal:
            take_refusal(form, refusal)
        else:
            how = "isn’t known any more" if minutes is None else f"takes {minutes} min"
            messages.success(request, f"The drive to {other.name} {how}.")
            return redirect(links.to("events:venue", found.pk))
    return _page(request, found, form)


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def new_venue(request: StudioRequest) -> HttpResponse:
    """Remember a place."""
    return _answered(request, VenueForm(request.POST or None, studio=request.tenant.studio), None)


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def change_venue(request: StudioRequest, venue_id: int) -> HttpResponse:
    """Correct what is known of a place."""
    found = _found(venue_id)
    return _answered(
        request, VenueForm(request.POST or None, studio=request.tenant.studio, venue=found), found
    )


def _found(venue_id: int) -> Venue:
    found = Venue.objects.filter(pk=venue_id).first()
    if found is None:
        raise Http404
    return found


def _page(request: StudioRequest, found: Venue, form: DriveForm) -> HttpResponse:
    events = found.events.select_related("venue", "client").order_by("-ready_by")[:EVENTS_SHOWN]
    context = {
        "venue": found,
        "drives": drives.known_from(found),
        "drive_form": form if form.fields["other"].queryset.exists() else None,  # type: ignore[attr-defined]
        "enclosures": list(found.enclosures.all()),
        "rows": [(event, stages.beads(event)) for event in events],
        "studio": request.tenant.studio,
    }
    return render(request, "events/contacts/venue.html", context, status=422 if form.errors else 200)


def _answered(request: StudioRequest, form: VenueForm, found: Venue | None) -> HttpResponse:
    if request.method == "POST" and form.is_valid():
        try:
            kept = domain.change(found, **form.cleaned_data) if found else domain.add(**form.cleaned_data)
        except ValidationError as refusal:
            take_refusal(form, refusal)
        else:
            messages.success(request, f"{kept.name} is kept.")
            return redirect(links.to("events:venue", kept.pk))
    return render(
        request, "events/contacts/venue_form.html", {"form": form, "venue": found}, status=422 if form.errors else 200
    )
