"""All quotes, starting one from an event, and taking one over to another."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.db.models import Q
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from events.crew.refusals import find_refusals
from events.models import Event, Status
from events.progress.presenter import event_beads
from quoting.design_library import library
from quoting.models import Quote, QuoteState
from quoting.quote_list import presenter
from quoting.quote_list.presenter import ListedQuote
from quoting.quotes import copying, sheet, sketch
from quoting.quotes.likelihood import outlook
from studio.money import amounts
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right

PAGE_LENGTH = 30
MOST_COMING = 60
OPEN = (QuoteState.SKETCH, QuoteState.OFFERED, QuoteState.DECLINED)


@require_safe
@studio_page(Right.SEE_QUOTES)
def list_quotes(request: StudioRequest) -> HttpResponse:
    """What waits for whom, newest first; ``?show=all`` brings the agreed ones and those set aside as well."""
    quotes = Quote.objects.filter(variant_of=None)
    everything = request.GET.get("show") == "all"
    refused = _refused_events(request)
    if not everything:
        waits = Q(state__in=OPEN) | Q(state=QuoteState.AGREED, event__in=list(refused))
        quotes = quotes.filter(waits).exclude(event__status=Status.CANCELLED)
    page = Paginator(presenter.listed(quotes), PAGE_LENGTH).get_page(request.GET.get("page"))
    studio, seen = request.tenant.studio, outlook()
    context = {
        "page": page,
        "listed": presenter.rows(map(ListedQuote._make, page), seen, refused, studio),
        "everything": everything,
        "worth": amounts.written(seen.worth, studio.currency, studio.locale),
        "likely": amounts.written(seen.likely, studio.currency, studio.locale),
        "judged_by": seen.judged_by,
    }
    return render(request, "quoting/quote_list/quotes.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_QUOTES)
def start(request: StudioRequest, event_id: int) -> HttpResponse:
    """Choose a design for an event; the choice makes the quote."""
    event = Event.objects.select_related("client", "venue").filter(pk=event_id).first()
    if event is None:
        raise Http404
    if request.method == "POST":
        try:
            if earlier := _number(request.POST.get("quote")):
                made = copying.copy_quote(earlier, event)
            else:
                made = sketch.start_quote(event, library.template(_number(request.POST.get("template"))))
        except ValidationError as fault:
            messages.error(request, " ".join(fault.messages))
        else:
            return redirect(links.to("quoting:quote", made.pk))
    context = {"event": event, "templates": library.templates(), "beads": event_beads(event)}
    return render(
        request, "quoting/quote_list/start.html", context, status=422 if request.method == "POST" else 200
    )


@require_safe
@studio_page(Right.EDIT_QUOTES)
def copy(request: StudioRequest, quote_id: int) -> HttpResponse:
    """The coming events that a quote can be taken over to."""
    found = sheet.find_quote(quote_id)
    coming = (
        Event.objects.select_related("client", "venue")
        .exclude(status=Status.CANCELLED)
        .exclude(pk=found.event_id)
        .filter(ready_by__gte=timezone.now())
        .order_by("ready_by", "pk")[:MOST_COMING]
    )
    return render(request, "quoting/quote_list/copy.html", {"quote": found, "events": coming})


# Private


def _refused_events(request: StudioRequest) -> dict[int, str]:
    """Events that wait for other crew, and who said no, for whoever can assign somebody else. Three queries."""
    if not request.tenant.can(Right.EDIT_EVENTS):
        return {}
    return {refusal.shift.event_id: refusal.words for refusal in find_refusals()}


def _number(text: str | None) -> int:
    return int(text) if text and text.isascii() and text.isdigit() and len(text) < 18 else 0
