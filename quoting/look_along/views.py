"""Look-along: letting the client look and stopping it; the client's page, which asks for the sketch as it changes."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from quoting.look_along import looking, presence
from quoting.look_along import presenter as look_page
from quoting.look_along.presenter import keep_address
from quoting.quotes import sheet
from studio import tenancy
from studio.models import LinkPurpose
from studio.people import public_links
from studio.people.gates import studio_page
from studio.people.public_links import FoundLink
from studio.people.rate_limit import LINK, LOOK, limited
from studio.tenancy import links
from studio.tenancy.rights import Right, Role

OVER = "quoting/look_along/over.html"
SKETCH = "quoting/look_along/sketch.html"


@require_POST
@studio_page(Right.EDIT_QUOTES)
def let_look(request: HttpRequest, quote_id: int) -> HttpResponse:
    """Make the client's link; its address stays in the browser that asked for it."""
    found = sheet.find_quote(quote_id)
    made = looking.let_look(found)
    response = _back(quote_id, request)
    keep_address(response, quote_id, made)
    return response


@require_POST
@studio_page(Right.EDIT_QUOTES)
def stop_look(request: HttpRequest, quote_id: int) -> HttpResponse:
    """Close it."""
    looking.stop(sheet.find_quote(quote_id))
    return _back(quote_id, request)


@require_safe
@limited(LINK, "look-along link")
def open_look(request: HttpRequest, token: str) -> HttpResponse:
    """Swap the token for a cookie and go to a clean address."""
    found = public_links.find(token, LinkPurpose.LOOK_ALONG)
    if found is None:
        return render(request, OVER, status=404)
    address = reverse("look", args=[found.handle])
    response = redirect(address)
    public_links.keep_in_cookie(response, token, found, path=address)
    return response


LookView = Callable[[HttpRequest, FoundLink], HttpResponse]


def _look_page(view: LookView) -> Callable[..., HttpResponse]:
    """A page for whoever's browser was given the link, while it is open; without it 404, whatever the reason."""

    @limited(LOOK, "look-along")
    @wraps(view)
    def page(request: HttpRequest, handle: str) -> HttpResponse:
        found = public_links.from_cookie(request, handle, LinkPurpose.LOOK_ALONG)
        if found is None:
            return render(request, OVER, {"only_part": "seen" in request.GET}, status=404)
        # The studio's short name is of no use here: none of its own pages is named on this one.
        with tenancy.entered(found.studio_id, slug="-", role=Role.CLIENT):
            presence.client_looks(found.subject_id)
            return view(request, found)

    return page


@require_safe
@_look_page
def look(request: HttpRequest, found: FoundLink) -> HttpResponse:
    """The sketch, and the script that keeps it fresh; without scripts the page loads itself anew."""
    return _shown(request, found, "quoting/look_along/page.html")


@require_safe
@_look_page
def look_now(request: HttpRequest, found: FoundLink) -> HttpResponse:
    """The sketch alone, or 204 while it is the one that the page shows."""
    if request.GET.get("seen") == looking.mark(found.subject_id):
        return HttpResponse(status=204)
    return _shown(request, found, SKETCH)


# Private


def _shown(request: HttpRequest, found: FoundLink, template: str) -> HttpResponse:
    seen = looking.seen(found.subject_id)
    if seen is None:
        return render(request, OVER, {"only_part": template == SKETCH}, status=404)
    return render(request, template, look_page.context(seen, found.handle))


def _back(quote_id: int, request: HttpRequest) -> HttpResponse:
    piece = request.POST.get("piece", "")
    query = f"?piece={piece}" if piece.isascii() and piece.isdigit() else ""
    return redirect(links.to("quoting:quote", quote_id) + query + "#look")
