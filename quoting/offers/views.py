"""The studio's side of an offer: make it, see where it stands, copy its link, withdraw it."""

from __future__ import annotations

import secrets

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_POST, require_safe

from events.booking import stages
from events.progress.presenter import event_beads
from quoting.before_sending.forms import WordForm
from quoting.before_sending.open_points import NO_WORD, NotSettled, WordWithoutReason, find_points_of_all
from quoting.before_sending.views import page as before_sending_page
from quoting.models import AnswerKind, Offer, OfferState, Quote, StillState
from quoting.offers import download, offering, sending, with_stills
from quoting.offers.comparing import compared
from quoting.offers.document import QuoteDocument, read_offer
from quoting.offers.document_presenter import present_offer
from quoting.offers.freezing import frozen_copy
from quoting.offers.hold_words import has_tentative_hold, hold_words
from quoting.offers.keeping import Keeping, find_kept
from quoting.offers.link_code import drawn_code
from quoting.offers.refusals import CannotHoldAll, CannotOffer, NotSupplied
from quoting.quotes import sheet
from quoting.set_pieces.size_bench import own_ids
from quoting.variants.variants import read_set
from studio import tenancy
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right

SHOWN_ONCE = "offer_link"
"""Where the session keeps a fresh link until the next page has shown it."""
PRESS_LENGTH = 16
NOT_AGAIN = {"csrfmiddlewaretoken", "unheld"}
NOW = "now"
"""The quote as it is, among the versions to compare."""


@require_POST
@studio_page(Right.OFFER)
def make_offer(request: StudioRequest, quote_id: int) -> HttpResponse:
    """Offer the quote; a second press leads to the offer of the first. What is open leads to its page."""
    return offer_quote(request, quote_id, request.POST.get("words", ""))


def offer_quote(request: StudioRequest, quote_id: int, words: str) -> HttpResponse:
    """The same, with the studio's own words to the client."""
    quote = sheet.find_quote(quote_id)
    given = _given_word(request, quote)
    try:
        offered = offering.offer(
            quote,
            after_version=_number(request.POST.get("after_version", "")),
            seen_sketch=_number(request.POST.get("version", "")),
            seen_beside=request.POST.get("beside"),
            word=given.word() if given else NO_WORD,
            words=words,
            without_hold=request.POST.get("unheld") == "1",
        )
    except NotSettled:
        return redirect(links.to("quoting:quote-before-sending", quote_id))
    except WordWithoutReason as refusal:
        return _word_again(request, quote, given, refusal)
    except CannotHoldAll as refusal:
        return _not_held(request, quote, refusal)
    except CannotOffer as refusal:
        for words in refusal.messages:
            messages.error(request, words)
        if isinstance(refusal, NotSupplied):
            return redirect(links.to("quoting:quote-supplies", refusal.quote_id))
        return redirect(links.to("quoting:quote", quote_id))
    if offered.made:
        _show_once(request, offered.offer, offered.address)
        messages.success(request, f"Offer {offered.offer.reference} is made{_sent_words(offered.offer)}.")
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
        "has_tentative_hold": has_tentative_hold(found),
        **_hold_context(found),
        "beads": event_beads(found.quote.event, stages.reached_at(found.quote.event)),
        "link": link,
        "code": drawn_code(link) if link else "",
        "press": secrets.token_hex(8),
        "ready_stills": [
            still.key for still in with_stills.of_offer(found).values() if still.state == StillState.READY
        ],
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
    if download.paper_id(found) is None:
        messages.info(request, "The PDF is still being made.")
        return redirect(links.to("quoting:offer", offer_id))
    return download.pdf_response(found)


@require_POST
@studio_page(Right.OFFER)
def offer_link(request: HttpRequest, offer_id: int) -> HttpResponse:
    """A fresh link, shown once; earlier ones are closed."""
    try:
        _show_once(request, offering.find(offer_id), offering.new_link(offer_id))
    except CannotOffer as refusal:
        messages.error(request, refusal.messages[0])
    return redirect(links.to("quoting:offer", offer_id))


@require_POST
@studio_page(Right.OFFER)
def offer_mail(request: HttpRequest, offer_id: int) -> HttpResponse:
    """The e-mail once more."""
    try:
        sending.mail_again(
            offer_id,
            press=request.POST.get("press", "")[:PRESS_LENGTH],
            without_hold=request.POST.get("without_hold") == "1",
        )
    except CannotOffer as refusal:
        messages.error(request, refusal.messages[0])
    else:
        messages.success(request, "The e-mail is on its way, with a new link.")
    return redirect(links.to("quoting:offer", offer_id))


@require_POST
@studio_page(Right.OFFER)
def offer_withdraw(request: HttpRequest, offer_id: int) -> HttpResponse:
    """Take the offer back."""
    try:
        offering.withdraw(offer_id)
    except CannotOffer as refusal:
        messages.error(request, refusal.messages[0])
    else:
        messages.success(request, "Offer withdrawn. Its link says so, and the pieces on hold are free again.")
    return redirect(links.to("quoting:offer", offer_id))


@require_POST
@studio_page(Right.OFFER)
def offer_let_go(request: HttpRequest, offer_id: int) -> HttpResponse:
    """Release the tentative hold; the offer stays open."""
    try:
        offering.let_go(offer_id)
    except CannotOffer as refusal:
        messages.error(request, refusal.messages[0])
    else:
        messages.success(
            request, "Hold released. The offer stays open; the first client to agree gets the pieces."
        )
    return redirect(links.to("quoting:offer", offer_id))


@require_safe
@studio_page(Right.OFFER)
def compare_versions(request: HttpRequest, quote_id: int) -> HttpResponse:
    """Any two of what was offered and the sketch as it stands, ``?before=`` and ``?after=``; at first the last two."""
    found = sheet.find_quote(quote_id)
    offers = {offer.version: offer for offer in found.offers.order_by("version")}
    names = {str(version): f"Offer {offer.reference}" for version, offer in offers.items()}
    if found.is_open:
        names[NOW] = "The quote now"
    last = list(names)[-2:]
    before = _version_asked(request.GET.get("before"), names, last[0] if last else "")
    after = _version_asked(request.GET.get("after"), names, last[-1] if last else "")
    context: dict[str, object] = {"quote": found, "names": names, "before": before, "after": after}
    if len(names) > 1:
        first, second = (_document(found, offers, which) for which in (before, after))
        context |= {
            "compared": compared(first, second),
            "before_name": names[before],
            "after_name": names[after],
            "pictures": [
                (names[before], _pictures(first, "before")),
                (names[after], _pictures(second, "after")),
            ],
        }
    return render(request, "quoting/offers/versions.html", context)


# --- Private --------------------------------------------------------------------------------------------------


def _given_word(request: StudioRequest, quote: Quote) -> WordForm | None:
    """The owner's word, where the page that asks for it was sent."""
    if request.POST.get("word") != "1":
        return None
    read = sheet.read_sheet(quote, request.tenant.studio, pictures=False)
    form = WordForm(request.POST, points=find_points_of_all(read_set(read)))
    return form if form.is_valid() else None


def _word_again(
    request: StudioRequest, quote: Quote, given: WordForm | None, refusal: WordWithoutReason
) -> HttpResponse:
    """The page with what was ticked, and the fault at its field."""
    assert given is not None, "only a word can lack its reason"
    given.add_error("reason", refusal.messages[0])
    read = sheet.read_sheet(quote, request.tenant.studio, pictures=False)
    return before_sending_page(request, read, find_points_of_all(read_set(read)), word=given)


def _not_held(request: StudioRequest, quote: Quote, refusal: CannotHoldAll) -> HttpResponse:
    """Which versions can't be held and why; the press can be made again as it was."""
    again = [(name, value) for name, value in request.POST.items() if name not in NOT_AGAIN]
    context = {
        "quote": quote,
        "unheld": refusal.unheld,
        "may_leave_out": request.tenant.can(Right.EDIT_QUOTES),
        "again": again,
    }
    return render(request, "quoting/offers/not_held.html", context, status=409)


def _sent_words(made: Offer) -> str:
    if made.mail_stopped_at:
        return ", but not sent"
    return f" and on its way to {made.client_email}" if made.client_email else ""


def _show_once(request: HttpRequest, found: Offer, address: str) -> None:
    request.session[SHOWN_ONCE] = {"studio": found.studio_id, "offer": found.pk, "address": address}


def _hold_context(found: Offer) -> dict[str, object]:
    """How the pieces of an offer stand; whether an open one lacks its hold, and why."""
    kept = find_kept(found)
    unheld = found.standing == OfferState.OPEN and kept.state == Keeping.NOT_KEPT
    reasons = sending.why_unheld(found) if unheld else []
    return {"hold_words": hold_words(found, kept), "unheld": unheld, "unheld_reasons": reasons}


def _paper_context(found: Offer) -> dict[str, object]:
    return {**download.paper_context(found, ""), "row": found}


def _number(text: str) -> int | None:
    """A whole number that the page sent, if it sent one."""
    return int(text) if text.isdecimal() else None


def _version_asked(asked: str | None, names: dict[str, str], usual: str) -> str:
    return asked if asked in names else usual


def _document(quote: Quote, offers: dict[int, Offer], which: str) -> QuoteDocument:
    return frozen_copy(quote) if which == NOW else read_offer(offers[int(which)].frozen).quote


def _pictures(document: QuoteDocument, side: str) -> list[dict[str, str]]:
    return [
        {"name": piece.name, "svg": mark_safe(own_ids(piece.svg, f"{side}-{place}"))}  # noqa: S308 # Ours.
        for place, piece in enumerate(document.pieces)
    ]
