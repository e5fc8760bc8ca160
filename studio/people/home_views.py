"""The front door: which studio, whether we are well, and taking up an invitation."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db import connection
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_safe

from studio import tenancy
from studio.models import Invitation, LinkPurpose, Studio
from studio.people import crew_phones, membership, public_links
from studio.people.accounts import JOIN_SESSION_KEY
from studio.people.rate_limit import JOIN, limited


@require_safe
@login_required
def front_door(request: HttpRequest) -> HttpResponse:
    """Straight to the week of a person's only studio, else a choice."""
    memberships = membership.memberships_of(request.user)  # type: ignore[arg-type]
    if len(memberships) == 1:
        return redirect("events:week", slug=memberships[0].studio.slug)
    return render(request, "studio/front_door.html", {"memberships": memberships})


@require_GET
def health(request: HttpRequest) -> HttpResponse:
    """Whether this process reaches its database: for the load balancer, without telling anything else."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
    return JsonResponse({"well": True})


@require_safe
@limited(JOIN, "join")
def open_invitation(request: HttpRequest, token: str) -> HttpResponse:
    """Swap an invitation's token for a cookie and go to a clean address."""
    found = public_links.find(token, LinkPurpose.INVITATION)
    if found is None:
        return render(request, "studio/invitation_closed.html", status=404)
    response = redirect("join", handle=found.handle)
    public_links.keep_in_cookie(response, token, found, path="/")
    return response


@require_http_methods(["GET", "HEAD", "POST"])
@limited(JOIN, "join")
def join(request: HttpRequest, handle: str) -> HttpResponse:
    """Say who invites and as what; a POST by the invited person joins."""
    found = public_links.from_cookie(request, handle, LinkPurpose.INVITATION)
    if found is None:
        return render(request, "studio/invitation_closed.html", status=404)
    request.session[JOIN_SESSION_KEY] = handle
    if request.method == "POST" and request.user.is_authenticated:
        try:
            studio = membership.join(person=request.user, found=found)
        except membership.CannotJoin as refusal:
            messages.error(request, refusal.messages[0])
            return redirect("join", handle=handle)
        messages.success(request, f"You belong to {studio.name} now.")
        return redirect("events:week", slug=studio.slug)
    with tenancy.entered(found.studio_id):
        invitation = Invitation.objects.select_related("invited_by").get(pk=found.subject_id)
        studio = Studio.objects.defer("logo").get(pk=found.studio_id)
    return render(
        request,
        "studio/join.html",
        {"invitation": invitation, "inviting_studio": studio, "handle": handle},
    )


@require_safe
def signed_in(request: HttpRequest) -> HttpResponse:
    """Who is signed in, and the token that a POST of theirs carries: asked before anything kept is sent.

    A phone that was given an event by a link asks with its number, ``?phone=12``, and is ``phone-12``.
    """
    person = request.user.pk if request.user.is_authenticated else _by_link(request)
    return JsonResponse({"person": person, "csrf": get_token(request) if person else ""})


def _by_link(request: HttpRequest) -> str | None:
    number = request.GET.get("phone", "")
    if not number.isdecimal() or len(number) > 18 or not crew_phones.holds(request, int(number)):
        return None
    return f"phone-{int(number)}"
