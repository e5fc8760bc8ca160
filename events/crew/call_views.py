"""The crew's side of a call: what, when, where, and yes or no. A GET changes nothing; a POST answers."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from events.crew import calls
from events.models import CrewCall
from studio import tenancy
from studio.models import LinkPurpose, entered_studio
from studio.people import public_links
from studio.people.rate_limit import LINK, limited
from studio.tenancy.rights import Role


@require_safe
@limited(LINK, "call link")
def open_call(request: HttpRequest, token: str) -> HttpResponse:
    """Swap the token for a cookie and go to a clean address."""
    found = public_links.find(token, LinkPurpose.CALL)
    if found is None:
        return _leads_nowhere(request)
    address = reverse("call", args=[found.handle])
    response = redirect(address)
    public_links.keep_in_cookie(response, token, found, path=address)
    return response


@require_http_methods(["GET", "HEAD", "POST"])
@limited(LINK, "call answer")
def call(request: HttpRequest, handle: str) -> HttpResponse:
    """The call; a POST says yes or no."""
    found = public_links.from_cookie(request, handle, LinkPurpose.CALL)
    if found is None:
        return _leads_nowhere(request)
    with tenancy.entered(found.studio_id, role=Role.CREW):
        return _answered(request, found.subject_id, handle)


# --- Private ---


def _answered(request: HttpRequest, call_id: int, handle: str) -> HttpResponse:
    row = CrewCall.objects.select_related("shift", "member__person").filter(pk=call_id).first()
    if row is None:
        return _leads_nowhere(request)
    theirs = calls.together(row)
    if not theirs:
        return _leads_nowhere(request)
    refused = ""
    if request.method == "POST":
        refused = _refusal(theirs, request.POST.get("answer", ""))
        if not refused:
            return redirect(reverse("call", args=[handle]))
    studio = entered_studio()
    context = {
        "calls": [(call, calls.told(call, studio)) for call in theirs],
        "event": theirs[0].shift.event,
        "name": row.member.person.get_short_name(),
        "studio": studio,
        "refused": refused,
    }
    return render(request, "events/crew/call.html", context, status=422 if refused else 200)


def _refusal(theirs: list[CrewCall], said: str) -> str:
    """Answer as whoever was called, ``yes`` or ``no`` and the call's id; why that can't be, or nothing."""
    word, _, number = said.partition("-")
    call = next((each for each in theirs if str(each.pk) == number), None)
    if word not in ("yes", "no") or call is None:
        return "Press yes or no."
    tenant = tenancy.current()
    person_id = call.member.person_id
    try:
        with tenancy.entered(tenant.studio_id, slug=tenant.slug, role=Role.CREW, person_id=person_id):
            calls.answer(call.pk, yes=word == "yes")
    except ValidationError as refusal:
        return " ".join(refusal.messages)
    return ""


def _leads_nowhere(request: HttpRequest) -> HttpResponse:
    return render(request, "events/crew/call_closed.html", status=404)
