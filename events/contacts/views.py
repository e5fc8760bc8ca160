"""Clients: the list, a new one, and the page of one."""

from __future__ import annotations

from typing import Final

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.db.models import Count, Max, Q
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from events.booking import stages
from events.booking.forms import ClientForm, WayForm, take_refusal
from events.contacts import clients as domain
from events.contacts import phone_numbers
from events.models import Client, Way
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest, searched_for
from studio.tenancy import links
from studio.tenancy.rights import Right

A_PAGE: Final = 50
EVENTS_SHOWN: Final = 30


@require_safe
@studio_page(Right.SEE_CLIENTS)
def clients(request: StudioRequest) -> HttpResponse:
    """Everybody, or those that fit a search."""
    asked = searched_for(request)
    rows = Client.objects.annotate(events_count=Count("events"), last_at=Max("events__ready_by"))
    if asked:
        rows = rows.filter(Q(name__icontains=asked) | Q(email__icontains=asked) | Q(phone__contains=asked))
    page = Paginator(rows.order_by("name", "pk"), A_PAGE).get_page(request.GET.get("page"))
    region = phone_numbers.region_of(request.tenant.studio.locale)
    shown = [(client, phone_numbers.shown(client.phone, region=region)) for client in page]
    return render(
        request,
        "events/contacts/clients.html",
        {"page": page, "rows": shown, "asked": asked, "studio": request.tenant.studio},
    )


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_EVENTS)
def new_client(request: StudioRequest) -> HttpResponse:
    """Put a client down before there is an event."""
    form = ClientForm(request.POST or None, studio=request.tenant.studio)
    if request.method == "POST" and form.is_valid():
        try:
            client = domain.add(**form.cleaned_data)
        except ValidationError as refusal:
            take_refusal(form, refusal)
        else:
            return redirect(links.to("events:client", client.pk))
    return render(request, "events/contacts/new_client.html", {"form": form}, status=422 if form.errors else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.SEE_CLIENTS)
def client(request: StudioRequest, client_id: int) -> HttpResponse:
    """One client with their events; a POST keeps corrections."""
    found = Client.objects.filter(pk=client_id).first()
    if found is None:
        raise Http404
    form = ClientForm(request.POST or None, studio=request.tenant.studio, client=found)
    if request.method == "POST" and form.is_valid():
        try:
            domain.change(found, **form.cleaned_data)
        except ValidationError as refusal:
            take_refusal(form, refusal)
        else:
            messages.success(request, "Kept.")
            return redirect(links.to("events:client", client_id))
    return _client_page(request, found, form, WayForm())


@require_POST
@studio_page(Right.EDIT_EVENTS)
def add_way(request: StudioRequest, client_id: int) -> HttpResponse:
    """Another way to reach them."""
    found = Client.objects.filter(pk=client_id).first()
    if found is None:
        raise Http404
    form = WayForm(request.POST)
    if form.is_valid():
        try:
            domain.add_way(found, **form.cleaned_data)
        except ValidationError as refusal:
            take_refusal(form, refusal)
        else:
            messages.success(request, "Kept.")
            return redirect(links.to("events:client", client_id))
    return _client_page(request, found, ClientForm(studio=request.tenant.studio, client=found), form)


@require_POST
@studio_page(Right.EDIT_EVENTS)
def drop_way(request: StudioRequest, way_id: int) -> HttpResponse:
    """Forget a way to reach somebody."""
    dropped = domain.drop_way(way_id)
    messages.success(request, f"{dropped.who} is taken out.")
    return redirect(links.to("events:client", dropped.client_id))


# --- Private ---


def _client_page(request: StudioRequest, found: Client, form: ClientForm, way_form: WayForm) -> HttpResponse:
    region = phone_numbers.region_of(request.tenant.studio.locale)
    events = found.events.select_related("venue", "client").order_by("-ready_by")[:EVENTS_SHOWN]
    context = {
        "client": found,
        "form": form,
        "way_form": way_form,
        "ways": [
            (row, phone_numbers.shown(row.address, region=region) if row.way == Way.PHONE else row.address)
            for row in found.ways.all()
        ],
        "rows": [(event, stages.beads(event)) for event in events],
    }
    wrong = bool(form.errors or way_form.errors)
    return render(request, "events/contacts/client.html", context, status=422 if wrong else 200)
