"""A crew link opened on a phone: a GET shows the event, the first phone that presses the button is bound to it."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from events.models import Event
from studio import tenancy
from studio.measures.languages import language_of, speaking
from studio.models import CrewPhone, LinkPurpose, entered_studio
from studio.people import crew_phones, public_links
from studio.people.public_links import FoundLink
from studio.people.rate_limit import LINK, limited
from studio.tenancy import links
from studio.tenancy.rights import Role


@require_http_methods(["GET", "HEAD", "POST"])
@limited(LINK, "crew phone link")
def take_up_phone(request: HttpRequest, token: str) -> HttpResponse:
    """Show what the link opens, with one button; pressing it binds the link to this phone."""
    found = public_links.find_even_ended(token, LinkPurpose.CREW_CALL)
    if found is None:
        return render(request, "studio/people/crew_phone_ended.html", {"studio": None}, status=404)
    with tenancy.entered(found.studio_id, role=Role.CREW):
        phone = CrewPhone.objects.filter(link_id=found.link_id).first()
        return _answer(request, token, found, phone)


# --- Private ---


def _answer(request: HttpRequest, token: str, found: FoundLink, phone: CrewPhone | None) -> HttpResponse:
    with speaking(language_of(phone.language if phone else "", entered_studio().locale)):
        event = Event.objects.select_related("venue").filter(pk=found.subject_id).first()
        if phone is None or event is None or not found.is_open or entered_studio().closed_at:
            response = crew_phones.ended(request)
        elif crew_phones.holds(request, phone.pk):
            response = redirect(links.to("events:load-out", event.pk))
        elif request.method == "POST" and not request.user.is_authenticated:
            response = _bind(request, token, found, event)
        else:
            response = _page(request, phone, event)
        return response


def _bind(request: HttpRequest, token: str, found: FoundLink, event: Event) -> HttpResponse:
    try:
        phone, device = crew_phones.take_up(found)
    except crew_phones.TakenElsewhere:
        return _page(request, CrewPhone.objects.get(link_id=found.link_id), event)
    response = redirect(links.to("events:load-out", event.pk))
    crew_phones.keep(response, phone, token=token, device=device)
    return response


def _page(request: HttpRequest, phone: CrewPhone, event: Event) -> HttpResponse:
    context: dict[str, object] = {"phone": phone, "event": event, "studio": entered_studio()}
    refused = phone.taken_at or (request.method == "POST" and request.user.is_authenticated)
    return render(request, "events/crew_phones/take_up_phone.html", context, status=409 if refused else 200)
