"""The designs that quotes are drawn from."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from quoting import designs as kept
from quoting import sheet
from studio import links
from studio.access import Right, studio_page

A_YEAR = 365 * 24 * 3600


@require_safe
@studio_page(Right.SEE_QUOTES)
def designs(request: HttpRequest) -> HttpResponse:
    """Every design with its picture; with ``?for=<quote>`` each can be added to that quote."""
    asked = request.GET.get("for", "")
    quote = sheet.find(int(asked)) if asked.isascii() and asked.isdigit() and len(asked) < 18 else None
    return render(request, "quoting/designs.html", {"templates": kept.templates(), "quote": quote})


@require_safe
@studio_page(Right.SEE_QUOTES)
def picture(request: HttpRequest, template_id: int) -> HttpResponse:
    """A design's picture. It never changes under its address, which carries when it was made."""
    response = HttpResponse(kept.template(template_id).picture, content_type="image/svg+xml")
    response["Cache-Control"] = f"private, max-age={A_YEAR}, immutable"
    return response


@require_POST
@studio_page(Right.EDIT_QUOTES)
def bring_in_starters(request: HttpRequest) -> HttpResponse:
    """Add the starters that the studio lacks."""
    added = kept.bring_in_starters(request.tenant.studio)  # type: ignore[attr-defined]
    words = {0: "All starters are here already.", 1: "One starter was added."}
    messages.success(request, words.get(len(added), f"{len(added)} starters were added."))
    return redirect(links.to("quoting:designs"))


@require_POST
@studio_page(Right.EDIT_QUOTES)
def retire(request: HttpRequest, template_id: int) -> HttpResponse:
    """Take a design out of use; the notice brings it back."""
    gone = kept.retire(template_id)
    messages.success(
        request, f"{gone.name} is out of use.", extra_tags=links.to("quoting:bring-back-design", gone.pk)
    )
    return redirect(links.to("quoting:designs"))


@require_POST
@studio_page(Right.EDIT_QUOTES)
def bring_back(request: HttpRequest, template_id: int) -> HttpResponse:
    """Use a design again."""
    try:
        kept.bring_back(template_id)
    except ValidationError:
        messages.error(request, "Another design bears that name by now: rename or retire it first.")
    return redirect(links.to("quoting:designs"))
