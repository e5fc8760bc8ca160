"""The pages of clients and of venues."""

from __future__ import annotations

from typing import Final

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import Count, Max, Q
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from events.contacts import clients, drives, presenter, venues
from events.contacts.forms import ClientForm, DriveForm, VenueForm, WayForm
from events.models import Client, Venue
from events.progress.presenter import event_rows
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest, searched_for
from studio.tenancy import links
from studio.tenancy.rights import Right
from studio.ui.form_errors import save_form

PAGE_SIZE: Final = 50
EVENTS_SHOWN: Final = 30


@require_safe
@studio_page(Right.SEE_CLIENTS)
def list_clients(request: StudioRequest) -> HttpResponse:
    """List all clients, or those that match a search."""
    asked = searched_for(request)
    rows = Client.objects.annotate(events_count=Count("events"), last_at=Max("events__ready_by"))
    if asked:
        rows = rows.filter(Q(name__icontains=asked) | Q(email__icontains=asked) | Q(phone__contains=asked))
    page = Paginator(rows.order_by("name", "pk"), PAGE_SIZE).get_page(request.GET.get("page"))
    studio = request.tenant.studio
    context = {
        "page": page,
        "rows": presenter.client_rows(page, studio),
        "asked": asked,
        "studio": studio,
    }
    return render(request, "events/contacts/clients.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def add_client(request: StudioRequest) -> HttpResponse:
    """Add a client before there is an event."""
    form = ClientForm(request.POST or None, studio=request.tenant.studio)
    added = save_form(form, lambda: clients.add_client(**form.cleaned_data))
    if added:
        return redirect(links.to("events:client", added.pk))
    return render(request, "events/contacts/new_client.html", {"form": form}, status=_status(form.errors))


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.SEE_CLIENTS)
def show_client(request: StudioRequest, client_id: int) -> HttpResponse:
    """Show a client with their events; a POST saves corrections."""
    found = get_object_or_404(Client, pk=client_id)
    form = ClientForm(request.POST or None, studio=request.tenant.studio, client=found)
    if save_form(form, lambda: clients.change_client(found, **form.cleaned_data)):
        messages.success(request, "Saved.")
        return redirect(links.to("events:client", client_id))
    return _client_page(request, found, form, WayForm())


@require_POST
@studio_page(Right.EDIT_EVENTS)
def add_way(request: StudioRequest, client_id: int) -> HttpResponse:
    """Add somebody else who can be reached for a client."""
    found = get_object_or_404(Client, pk=client_id)
    form = WayForm(request.POST)
    if save_form(form, lambda: clients.add_way(found, **form.cleaned_data)):
        messages.success(request, "Saved.")
        return redirect(links.to("events:client", client_id))
    return _client_page(request, found, ClientForm(studio=request.tenant.studio, client=found), form)


@require_POST
@studio_page(Right.EDIT_EVENTS)
def remove_way(request: StudioRequest, way_id: int) -> HttpResponse:
    """Remove one of a client's further contacts."""
    removed = clients.remove_way(way_id)
    messages.success(request, f"{removed.who} removed.")
    return redirect(links.to("events:client", removed.client_id))


@require_safe
@studio_page(Right.SEE_EVENTS)
def list_venues(request: StudioRequest) -> HttpResponse:
    """List all venues, or those that match a search."""
    asked = searched_for(request)
    rows = Venue.objects.all()
    if asked:
        rows = rows.filter(Q(name__icontains=asked) | Q(address__icontains=asked))
    page = Paginator(rows.order_by("name", "pk"), PAGE_SIZE).get_page(request.GET.get("page"))
    context = {"page": page, "asked": asked, "studio": request.tenant.studio}
    return render(request, "events/contacts/venues.html", context)


@require_safe
@studio_page(Right.SEE_EVENTS)
def show_venue(request: StudioRequest, venue_id: int) -> HttpResponse:
    """Show the facts of a venue, and the events there."""
    found = get_object_or_404(Venue, pk=venue_id)
    return _venue_page(request, found, DriveForm(venue=found))


@require_POST
@studio_page(Right.EDIT_EVENTS)
def set_drive(request: StudioRequest, venue_id: int) -> HttpResponse:
    """Set the drive time to another venue, or forget it."""
    found = get_object_or_404(Venue, pk=venue_id)
    form = DriveForm(request.POST, venue=found)
    other = save_form(form, lambda: drives.set_drive(found, **form.cleaned_data))
    if other:
        minutes = form.cleaned_data["minutes"]
        result = "removed" if minutes is None else f"set to {minutes} min"
        messages.success(request, f"Drive to {other.name} {result}.")
        return redirect(links.to("events:venue", found.pk))
    return _venue_page(request, found, form)


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def add_venue(request: StudioRequest) -> HttpResponse:
    """Add a venue."""
    form = VenueForm(request.POST or None, studio=request.tenant.studio)
    added = save_form(form, lambda: venues.add_venue(**form.cleaned_data))
    return _venue_form_page(request, form, None, added)


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def change_venue(request: StudioRequest, venue_id: int) -> HttpResponse:
    """Correct the facts of a venue."""
    found = get_object_or_404(Venue, pk=venue_id)
    form = VenueForm(request.POST or None, studio=request.tenant.studio, venue=found)
    changed = save_form(form, lambda: venues.change_venue(found, **form.cleaned_data))
    return _venue_form_page(request, form, found, changed)


# --- Private ---


def _client_page(request: StudioRequest, found: Client, form: ClientForm, way_form: WayForm) -> HttpResponse:
    events = found.events.select_related("venue", "client").order_by("-ready_by")[:EVENTS_SHOWN]
    context = {
        "client": found,
        "form": form,
        "way_form": way_form,
        "ways": presenter.way_rows(found.ways.all(), request.tenant.studio),
        "rows": event_rows(events),
    }
    status = _status(form.errors, way_form.errors)
    return render(request, "events/contacts/client.html", context, status=status)


def _venue_page(request: StudioRequest, found: Venue, form: DriveForm) -> HttpResponse:
    events = found.events.select_related("venue", "client").order_by("-ready_by")[:EVENTS_SHOWN]
    context = {
        "venue": found,
        "drives": drives.known_drives(found),
        "drive_form": form if form.has_choices else None,
        "attachments": list(found.enclosures.values("pk", "name", "is_picture")),
        "rows": event_rows(events),
        "studio": request.tenant.studio,
    }
    return render(request, "events/contacts/venue.html", context, status=_status(form.errors))


def _venue_form_page(
    request: StudioRequest, form: VenueForm, venue: Venue | None, saved: Venue | None
) -> HttpResponse:
    if saved:
        messages.success(request, f"{saved.name} saved.")
        return redirect(links.to("events:venue", saved.pk))
    context = {"form": form, "venue": venue}
    return render(request, "events/contacts/venue_form.html", context, status=_status(form.errors))


def _status(*errors: object) -> int:
    return 422 if any(errors) else 200
