"""Pages that crew open by a link: a call with its yes or no, and a calendar feed."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from events.crew import calls, feed, presenter
from events.crew.language import speaking_to
from events.models import CrewCall
from studio import tenancy
from studio.measures.languages import in_office
from studio.models import LinkPurpose, entered_studio
from studio.people import public_links
from studio.people.rate_limit import FEED, LINK, limited, over, wait_page
from studio.tenancy.rights import Role


@require_safe
@limited(LINK, "call link")
def open_call(request: HttpRequest, token: str) -> HttpResponse:
    """Swap the token for a cookie and go to an address without it."""
    found = public_links.find(token, LinkPurpose.CALL)
    if found is None:
        return _closed_page(request)
    address = reverse("call", args=[found.handle])
    response = redirect(address)
    public_links.keep_in_cookie(response, token, found, path=address)
    return response


@require_http_methods(["GET", "HEAD", "POST"])
@limited(LINK, "call answer")
def answer_call(request: HttpRequest, handle: str) -> HttpResponse:
    """Show the call; a POST answers yes or no."""
    found = public_links.from_cookie(request, handle, LinkPurpose.CALL)
    if found is None:
        return _closed_page(request)
    with tenancy.entered(found.studio_id, role=Role.CREW):
        called = (
            CrewCall.objects.select_related("shift", "member__person").filter(pk=found.subject_id).first()
        )
        if called is None:
            return _closed_page(request)
        with speaking_to(called.member.person):
            return _call_page(request, called, handle)


@require_safe
@limited(LINK, "calendar feed")
def show_feed(request: HttpRequest, token: str) -> HttpResponse:
    """Send the calendar as text/calendar. The address is the secret: calendar programs keep no cookies."""
    found = public_links.find(token, LinkPurpose.FEED)
    if found is None:
        raise Http404
    if over(FEED, action="one calendar", who=str(found.link_id)):
        return wait_page(request, FEED.window_seconds)
    with tenancy.entered(found.studio_id, role=Role.CREW):
        content = feed.feed(found.link_id)
    if content is None:
        raise Http404
    response = HttpResponse(content, content_type="text/calendar; charset=utf-8")
    response["Content-Disposition"] = 'inline; filename="calendar.ics"'
    response["Cache-Control"] = "private, no-store"
    response["Referrer-Policy"] = "no-referrer"
    return response


# --- Private ---


def _call_page(request: HttpRequest, called: CrewCall, handle: str) -> HttpResponse:
    in_event = calls.calls_in_same_event(called)
    if not in_event:
        return _closed_page(request)
    error = ""
    if request.method == "POST":
        error = _answer(in_event, request.POST.get("answer", ""))
        if not error:
            return redirect(reverse("call", args=[handle]))
    context = presenter.call_context(called, in_event, entered_studio()) | {"error": error}
    return render(request, "events/crew/call.html", context, status=422 if error else 200)


def _answer(in_event: list[CrewCall], pressed: str) -> str:
    """Answer for the person who was called, by ``yes`` or ``no`` and the call's id; the error, if any."""
    word, _dash, number = pressed.partition("-")
    call = next((each for each in in_event if str(each.pk) == number), None)
    if word not in ("yes", "no") or call is None:
        return _("Press yes or no.")
    tenant = tenancy.current()
    person_id = call.member.person_id
    try:
        entered = tenancy.entered(tenant.studio_id, slug=tenant.slug, role=Role.CREW, person_id=person_id)
        with in_office(), entered:  # the office reads what is written down of it
            calls.answer(call.pk, yes=word == "yes")
    except ValidationError as refusal:
        return " ".join(refusal.messages)
    return ""


def _closed_page(request: HttpRequest) -> HttpResponse:
    return render(request, "events/crew/call_closed.html", status=404)
