"""The papers of an event: asked for, waited for, opened."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from events.crew_phones.phone_links import event_of_address
from events.papers import papers
from events.papers.papers import PaperKind
from studio.paper.pdf import on_screen
from studio.people.gates import in_own_language, studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right


@require_POST
@studio_page(Right.SEE_LOAD_OUT, linked_to=event_of_address)
@in_own_language
def make_paper(request: StudioRequest, event_id: int, paper_kind: str) -> HttpResponse:
    """Have the PDF made; the page shows it as soon as it is there."""
    found = papers.find_kind(paper_kind)
    digest = papers.order(found, event_id, request.tenant.studio)
    if request.htmx:
        return _show(request, found, event_id, digest)
    return redirect(links.to("events:paper", event_id, paper_kind, digest))


@require_safe
@studio_page(Right.SEE_LOAD_OUT, linked_to=event_of_address)
@in_own_language
def show_paper(request: StudioRequest, event_id: int, paper_kind: str, digest: str) -> HttpResponse:
    """Show whether the PDF is there yet: a part of the page, or without scripts a page of its own."""
    return _show(request, papers.find_kind(paper_kind), event_id, digest)


@require_safe
@studio_page(Right.SEE_LOAD_OUT, linked_to=event_of_address)
def open_paper(request: StudioRequest, event_id: int, paper_kind: str, digest: str) -> HttpResponse:
    """Show the PDF; while it is being made, the page that waits for it."""
    file = papers.find(papers.find_kind(paper_kind), event_id, digest).file
    if file is None:
        return redirect(links.to("events:paper", event_id, paper_kind, digest))
    return on_screen(file, f"{paper_kind}-{event_id}.pdf")


# --- Private ---


def _show(request: StudioRequest, kind: PaperKind, event_id: int, digest: str) -> HttpResponse:
    context = {
        "kind": kind,
        "kind_code": kind.code,
        "event_id": event_id,
        "digest": digest,
        "paper": papers.find(kind, event_id, digest),
    }
    template = "events/papers/_paper.html" if request.htmx else "events/papers/paper.html"
    return render(request, template, context)
