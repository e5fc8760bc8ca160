"""All quotes, and starting one from an event."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from events import stages
from events.models import Event
from quoting import ports
from quoting.designs import templates
from quoting.models import Quote, QuoteState
from quoting.sketching import sketch
from studio import links
from studio.access import Right, studio_page

PAGE_LENGTH = 30
WAITS_FOR = {
    QuoteState.SKETCH: "waits for you: not offered yet",
    QuoteState.OFFERED: "waits for the client",
    QuoteState.AGREED: "agreed",
    QuoteState.DECLINED: "waits for you: declined",
    QuoteState.SET_ASIDE: "set aside",
}
OPEN = (QuoteState.SKETCH, QuoteState.OFFERED, QuoteState.DECLINED)


@require_safe
@studio_page(Right.SEE_QUOTES)
def quotes(request: HttpRequest) -> HttpResponse:
    """What waits for whom, newest first; ``?show=all`` brings the agreed ones and those set aside as well."""
    rows = Quote.objects.select_related("event__client", "event__venue")
    everything = request.GET.get("show") == "all"
    if not everything:
        rows = rows.filter(state__in=OPEN)
    page = Paginator(rows, PAGE_LENGTH).get_page(request.GET.get("page"))
    studio = request.tenant.studio  # type: ignore[attr-defined]
    listed = [
        {
            "quote": quote,
            "waits": WAITS_FOR[QuoteState(quote.state)],
            "mine": quote.state in (QuoteState.SKETCH, QuoteState.DECLINED),
            "amount": ports.amount_words(quote, studio),
            "beads": stages.beads(quote.event),
        }
        for quote in page
    ]
    return render(request, "quoting/quotes.html", {"page": page, "listed": listed, "everything": everything})


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_QUOTES)
def start(request: HttpRequest, event_id: int) -> HttpResponse:
    """Choose a design for an event; the choice makes the quote."""
    event = Event.objects.select_related("client", "venue").filter(pk=event_id).first()
    if event is None:
        raise Http404
    if request.method == "POST":
        try:
            chosen = templates.template(_number(request.POST.get("template")))
            made = sketch.start_quote(event, chosen)
        except ValidationError as fault:
            messages.error(request, " ".join(fault.messages))
        else:
            return redirect(links.to("quoting:quote", made.pk))
    context = {"event": event, "templates": templates.templates(), "beads": stages.beads(event)}
    return render(request, "quoting/start.html", context, status=422 if request.method == "POST" else 200)


# Private


def _number(text: str | None) -> int:
    return int(text) if text and text.isascii() and text.isdigit() and len(text) < 18 else 0
