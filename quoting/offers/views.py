"""The studio's side of an offer: make it, see where it stands, copy its link, withdraw it."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from events.booking import stages
from events.progress.presenter import event_beads
from quoting.models import AnswerKind, Offer, OfferState
from quoting.offers import client_presenter, offering
from quoting.offers.document_presenter import present_offer
from quoting.quotes import sheet
from stock.models import HoldState
from studio import tenancy
from studio.people.gates import studio_page
from studio.tenancy import links
from studio.tenancy.rights import Right

SHOWN_ONCE = "offer_link"
"""Where the session keeps a fresh link until the next page has shown it."""


@require_POST
@studio_page(Right.OFFER)
def make_offer(request: HttpRequest, quote_id: int) -> HttpResponse:
    """Offer the quote; a second press leads to the offer of the first."""
    quote = sheet.find_quote(quote_id)
    after = request.POST.get("after_version", "")
    try:
        offered = offering.offer(
            quote, after_version=_number(after), seen_sketch=_number(request.POST.get("version", ""))
        )
    except offering.CannotOffer as refusal:
        for words in refusal.messages:
            messages.error(request, words)
        return redirect(links.to("quoting:quote", quote_id))
    if offered.made:
        _show_once(request, offered.offer, offered.address)
        sent = f"and on its way to {offered.offer.client_email}" if offered.offer.client_email else ""
        messages.success(request, f"Offer {offered.offer.reference} is made {sent}".strip() + ".")
        for words in offered.short:
            messages.warning(request, f"Not on hold: {words}")
    return redirect(links.to("quoting:offer", offered.offer.pk))


@require_safe
@studio_page(Right.SEE_QUOTES)
def offer(request: HttpRequest, offer_id: int) -> HttpResponse:
    """What was sent, what became of it, and what was answered."""
    found = offering.find(offer_id)
    shown_once = request.session.get(SHOWN_ONCE, {})
    link = ""
    if shown_once.get("studio") == tenancy.current().studio_id and shown_once.get("offer") == found.pk:
        link = request.session.pop(SHOWN_ONCE)["address"]
    answers = list(found.answers.defer("frozen"))
    agreed = next((answer for answer in answers if answer.kind == AnswerKind.AGREED), None)
    context = {
        "row": found,
        "offer": present_offer(found.frozen, agreed.chosen if agreed else None),
        "agreed": agreed,
        "standing": found.standing,
        "is_open": found.standing == OfferState.OPEN,
        "may_have_link": found.standing in (OfferState.OPEN, OfferState.AGREED),
        "versions": offering.offers_of(found.quote),
        "answers": answers,
        "event": found.quote.event,
        "pencilled": found.pencil is not None and found.pencil.state == HoldState.PENCILLED,
        "beads": event_beads(found.quote.event, stages.reached_at(found.quote.event)),
        "link": link,
        **_paper_context(found),
    }
    return render(request, "quoting/offers/offer.html", context)


@require_safe
@studio_page(Right.SEE_QUOTES)
def offer_paper(request: HttpRequest, offer_id: int) -> HttpResponse:
    """Whether the PDF is there yet: the part of the page that asks again by itself."""
    return render(request, "quoting/offers/_paper.html", _paper_context(offering.find(offer_id)))


@require_safe
@studio_page(Right.SEE_QUOTES)
def offer_pdf(request: HttpRequest, offer_id: int) -> HttpResponse:
    """The PDF as the client gets it; back to the page while it is being made."""
    found = offering.find(offer_id)
    if client_presenter.paper_id(found) is None:
        messages.info(request, "The PDF is still being made.")
        return redirect(links.to("quoting:offer", offer_id))
    return client_presenter.pdf_response(found)


@require_POST
@studio_page(Right.OFFER)
def offer_link(request: HttpRequest, offer_id: int) -> HttpResponse:
    """A fresh link, shown once; earlier ones are closed."""
    try:
        _show_once(request, offering.find(offer_id), offering.new_link(offer_id))
    except offering.CannotOffer as refusal:
        messages.error(request, refusal.messages[0])
    return redirect(links.to("quoting:offer", offer_id))


@require_POST
@studio_page(Right.OFFER)
def offer_mail(request: HttpRequest, offer_id: int) -> HttpResponse:
    """The e-mail once more."""
    try:
        offering.mail_again(offer_id)
    except offering.CannotOffer as refusal:
        messages.error(request, refusal.messages[0])
    else:
        messages.success(request, "The e-mail will be sent again with a new link.")
    return redirect(links.to("quoting:offer", offer_id))


@require_POST
@studio_page(Right.OFFER)
def offer_withdraw(request: HttpRequest, offer_id: int) -> HttpResponse:
    """Take the offer back."""
    try:
        offering.withdraw(offer_id)
    except offering.CannotOffer as refusal:
        messages.error(request, refusal.messages[0])
    else:
        messages.success(request, "Offer withdrawn. Its link says so, and the pieces on hold are free again.")
    return redirect(links.to("quoting:offer", offer_id))


@require_POST
@studio_page(Right.OFFER)
def offer_let_go(request: HttpRequest, offer_id: int) -> HttpResponse:
    """Let go of what is pencilled; the offer stays open."""
    try:
        offering.let_go(offer_id)
    except offering.CannotOffer as refusal:
        messages.error(request, refusal.messages[0])
    else:
        messages.success(
            request, "Hold released. The offer stays open; the first client to agree gets the pieces."
        )
    return redirect(links.to("quoting:offer", offer_id))


# --- Private --------------------------------------------------------------------------------------------------


def _show_once(request: HttpRequest, found: Offer, address: str) -> None:
    request.session[SHOWN_ONCE] = {"studio": found.studio_id, "offer": found.pk, "address": address}


def _paper_context(found: Offer) -> dict[str, object]:
    return {**client_presenter.paper_context(found, ""), "row": found}


def _number(text: str) -> int | None:
    """A whole number that the page sent, if it sent one."""
    return int(text) if text.isdecimal() else None
