"""The owner sees an offer as its client will, adds a sentence or two, and sends it."""

from __future__ import annotations

from csp.constants import NONE, SELF, UNSAFE_INLINE
from csp.decorators import csp_replace, csp_update
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.clickjacking import xframe_options_sameorigin
from django.views.decorators.http import require_http_methods, require_safe

from events.contacts.language import speaking_to
from quoting.before_sending.open_points import NotSettled
from quoting.offers.refusals import CannotOffer, NotSupplied
from quoting.offers.views import offer_quote
from quoting.preview.as_client import Seen, see_as_client
from quoting.preview.forms import WordsForm
from quoting.quotes import sheet
from quoting.variants.variants import find_beside
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right


@csp_update({"frame-src": [SELF]})
@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.OFFER)
def as_client(request: StudioRequest, quote_id: int) -> HttpResponse:
    """E-mail and page as the client will read them, with the words so far; ``send`` makes the offer."""
    quote = sheet.find_quote(quote_id)
    form = WordsForm(request.POST or None)
    is_sound = request.method != "POST" or form.is_valid()
    words = str(form.cleaned_data.get("words", "")) if form.is_bound and is_sound else ""
    if is_sound and "send" in request.POST:
        return offer_quote(request, quote_id, words)
    seen = _seen(request, quote_id, words)
    if isinstance(seen, HttpResponse):
        return seen
    latest = quote.offers.order_by("-version").first()
    context = {
        "quote": quote, "form": form, "words": words, "seen": seen, "studio_mail": request.tenant.studio.email,
        "after_version": latest.version if latest else 0, "beside": find_beside(quote),
    }  # fmt: skip
    return render(request, "quoting/preview/as_client.html", context, status=200 if is_sound else 422)


@xframe_options_sameorigin
@csp_replace({"frame-ancestors": [SELF], "style-src": [UNSAFE_INLINE], "script-src": [NONE]})
@require_safe
@studio_page(Right.OFFER)
def letter(request: StudioRequest, quote_id: int) -> HttpResponse:
    """The e-mail as HTML, for the frame on the page."""
    seen = _seen(request, quote_id, request.GET.get("words", ""))
    return seen if isinstance(seen, HttpResponse) else HttpResponse(seen.letter.rich)


@xframe_options_sameorigin
@csp_replace({"frame-ancestors": [SELF], "script-src": [NONE]})
@require_safe
@studio_page(Right.OFFER)
def page(request: StudioRequest, quote_id: int) -> HttpResponse:
    """The client's page, for the frame on the page."""
    quote = sheet.find_quote(quote_id)
    seen = _seen(request, quote_id, request.GET.get("words", ""))
    if isinstance(seen, HttpResponse):
        return seen
    with speaking_to(quote.event.client):
        return render(request, "quoting/client_page/offer.html", seen.page)


# Private


def _seen(request: StudioRequest, quote_id: int, words: str) -> Seen | HttpResponse:
    """What the client would see, or where what keeps the offer from being made is settled."""
    try:
        return see_as_client(sheet.find_quote(quote_id), words)
    except NotSettled:
        return redirect(links.to("quoting:quote-before-sending", quote_id))
    except CannotOffer as refusal:
        for said in refusal.messages:
            messages.error(request, said)
        if isinstance(refusal, NotSupplied):
            return redirect(links.to("quoting:quote-supplies", refusal.quote_id))
        return redirect(links.to("quoting:quote", quote_id))
