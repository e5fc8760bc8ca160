"""The audit trail, for the owner."""

from __future__ import annotations

from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from studio.people import audit_trail
from studio.people.gates import studio_page
from studio.tenancy.rights import Right

A_PAGE = 60


@require_safe
@studio_page(Right.SEE_AUDIT)
def trail(request: HttpRequest) -> HttpResponse:
    """Who did what to which record when, newest first, a page at a time."""
    kind = request.GET.get("kind", "")
    kind = kind if kind in audit_trail.kinds() else ""
    deeds = audit_trail.deeds(limit=A_PAGE, kind=kind, before=_moment(request.GET.get("before", "")))
    context = {
        "deeds": deeds,
        "kinds": audit_trail.kinds(),
        "kind": kind,
        "older": deeds[-1].at.isoformat() if len(deeds) == A_PAGE else "",
    }
    return render(request, "studio/audit.html", context)


def _moment(text: str) -> datetime | None:
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        return None
    return moment if moment.tzinfo else None
