"""Calendar feeds: the feed itself behind its secret address, and making or closing such an address."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from events.crew import feed as calendar_feed
from studio import tenancy
from studio.models import LinkPurpose
from studio.people import public_links
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.people.rate_limit import LINK, limited
from studio.tenancy import links
from studio.tenancy.rights import Right, Role


@require_safe
@limited(LINK, "calendar feed")
def feed(request: HttpRequest, token: str) -> HttpResponse:
    """The calendar as text/calendar. The address is the secret: calendar programs keep no cookies."""
    found = public_links.find(token, LinkPurpose.FEED)
    if found is None:
        raise Http404
    with tenancy.entered(found.studio_id, role=Role.CREW):
        content = calendar_feed.feed(found.subject_id)
    if content is None:
        raise Http404
    response = HttpResponse(content, content_type="text/calendar; charset=utf-8")
    response["Content-Disposition"] = 'inline; filename="calendar.ics"'
    response["Cache-Control"] = "private, no-store"
    response["Referrer-Policy"] = "no-referrer"
    return response


@require_POST
@studio_page(Right.EDIT_EVENTS)
def open_studio_feed(request: StudioRequest) -> HttpResponse:
    """A new address for the whole studio's calendar."""
    return _opened(request, None)


@require_POST
@studio_page(Right.EDIT_EVENTS)
def close_studio_feed(request: StudioRequest) -> HttpResponse:
    """Close the whole studio's."""
    return _closed(request, None)


@require_POST
@studio_page(Right.SEE_EVENTS)
def open_feed(request: StudioRequest, membership_id: int) -> HttpResponse:
    """A new address for one person's calendar."""
    return _opened(request, membership_id)


@require_POST
@studio_page(Right.SEE_EVENTS)
def close_feed(request: StudioRequest, membership_id: int) -> HttpResponse:
    """Close one person's."""
    return _closed(request, membership_id)


# --- Private ---


def _opened(request: StudioRequest, membership_id: int | None) -> HttpResponse:
    request.session["feed_address"] = calendar_feed.open_feed(membership_id).address
    return redirect(_page(membership_id))


def _closed(request: StudioRequest, membership_id: int | None) -> HttpResponse:
    calendar_feed.close_feed(membership_id)
    messages.success(request, "The calendar address is closed.")
    return redirect(_page(membership_id))


def _page(membership_id: int | None) -> str:
    return links.to("events:crew-member", membership_id) if membership_id else links.to("events:crew")
