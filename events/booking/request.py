"""What a studio page's request carries."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse

from studio.tenancy import PageTenant


class StudioRequest(HttpRequest):
    """A request inside a studio: ``studio_page`` has set the tenant."""

    tenant: PageTenant


def on_paper(content: bytes, name: str) -> HttpResponse:
    """A PDF made for this request, shown in the browser; ``name`` is what it is called when kept."""
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}"'
    return response


def clean_text(text: str) -> str:
    """The text without NUL, which PostgreSQL has no place for, and without space around it."""
    return text.replace("\x00", "").strip()


def searched_for(request: HttpRequest) -> str:
    """What ``?find=`` asks for, cut to a sensible length."""
    return clean_text(request.GET.get("find", ""))[:80]
