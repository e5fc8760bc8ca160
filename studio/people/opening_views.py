"""The pages on which a studio is opened."""

from __future__ import annotations

from typing import Final
from urllib.parse import urlencode

from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from studio.people.forms import OpeningForm
from studio.people.opening import InvitationToOpen, may_anybody_open, open_studio, read_invitation
from studio.people.rate_limit import JOIN, limited

OPENING_SESSION_KEY: Final = "opening"


def opening_of(request: HttpRequest) -> InvitationToOpen | None:
    """The invitation that this browser came with, while it stands."""
    token = request.session.get(OPENING_SESSION_KEY, "")
    return read_invitation(token) if token else None


@require_safe
@limited(JOIN, "open")
def take_up_invitation(request: HttpRequest, token: str) -> HttpResponse:
    """Keep the invitation with this browser's session and go to a clean address."""
    if read_invitation(token) is None:
        return render(request, "studio/people/opening_closed.html", status=404)
    request.session[OPENING_SESSION_KEY] = token
    return redirect("opening")


@require_http_methods(["GET", "HEAD", "POST"])
@limited(JOIN, "open")
def open_a_studio(request: HttpRequest) -> HttpResponse:
    """Ask for the studio's name and country; a POST opens it and goes to the first step that is left."""
    invitation = opening_of(request)
    if invitation is None and not may_anybody_open():
        return render(request, "studio/people/opening_closed.html", status=404)
    form = OpeningForm(request.POST or None)
    if request.method == "POST" and request.user.is_authenticated and form.is_valid():
        try:
            studio = open_studio(owner=request.user, invitation=invitation, **form.cleaned_data)
        except ValidationError as refusal:
            form.add_error(None, refusal)
        else:
            request.session.pop(OPENING_SESSION_KEY, None)
            return redirect(reverse("studio:profile", kwargs={"slug": studio.slug}))
    context = {"form": form, "invitation": invitation, "sign_up": _sign_up_address(request, invitation)}
    return render(request, "studio/people/opening.html", context, status=422 if form.errors else 200)


# --- Private ---


def _sign_up_address(request: HttpRequest, invitation: InvitationToOpen | None) -> str:
    said = {"next": request.path, **({"email": invitation.email} if invitation else {})}
    return f"{reverse('account_signup')}?{urlencode(said)}"
