"""The client's side: one offer behind its link, without an account. A GET changes nothing; a POST answers."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, Final

from csp.decorators import csp_update
from django.core.exceptions import ValidationError
from django.forms import Form
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.text import slugify
from django.utils.translation import get_language_from_request
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from events.contacts.language import speaking_to
from quoting.client_page import card, presenter
from quoting.client_page.calendar import calendar_file
from quoting.client_page.forms import AgreeForm, DeclineForm, WishForm
from quoting.craft.design.design_file import read_design
from quoting.models import Offer
from quoting.offers import agreeing, cards, download, with_stills
from quoting.offers import document as offer_document
from quoting.offers.agreeing import PageShown, Visitor
from quoting.stills import stills
from quoting.turning import in_room, turned
from studio import tenancy
from studio.measures.languages import Language, speaking
from studio.models import LinkPurpose, entered_studio
from studio.people import public_links
from studio.people.rate_limit import ANSWER, LINK, address_of, limited
from studio.people.views import logo_response
from studio.tenancy.counters import Limit
from studio.tenancy.rights import Role


class ClientRequest(HttpRequest):
    """A request to a client's page: ``offer_page`` has set the handle of its link."""

    offer_handle: str
    htmx: bool


CARD_PAGE: Final = "quoting/client_page/card.html"
OfferView = Callable[..., HttpResponse]


def offer_page(limit: Limit, action: str) -> Callable[[OfferView], Callable[..., HttpResponse]]:
    """Make ``view(request, offer)`` a page for whoever's browser was given the link: one transaction, as the client.

    Without it, or after it was closed, the answer is 404: nobody learns what exists.
    """

    def decorate(view: OfferView) -> Callable[..., HttpResponse]:
        @limited(limit, action)
        @wraps(view)
        def page(request: ClientRequest, handle: str, **parts: str | int) -> HttpResponse:
            found = public_links.from_cookie(request, handle, LinkPurpose.OFFER)
            if found is None:
                return _leads_nowhere(request)
            with tenancy.entered(found.studio_id, role=Role.CLIENT):
                offers = Offer.objects.select_related(
                    "quote__event__hold", "quote__event__client", "tentative_hold"
                )
                offer = offers.filter(pk=found.subject_id).first()
                if offer is None:
                    return _leads_nowhere(request)
                request.offer_handle = handle
                with speaking_to(offer.quote.event.client):
                    return view(request, offer, **parts)

        return page

    return decorate


@require_safe
@limited(LINK, "offer link")
def open_offer(request: ClientRequest, token: str) -> HttpResponse:
    """Swap the token for a cookie and go to a clean address.

    A program that draws the card of a link doesn't say that it navigates, and keeps no cookie: it reads the card here.
    A browser that doesn't say so either goes on by itself.
    """
    found = public_links.find(token, LinkPurpose.OFFER)
    if found is None:
        return _leads_nowhere(request)
    address = reverse("client-offer", args=[found.handle])
    if request.headers.get("Sec-Fetch-Mode") == "navigate":
        response: HttpResponse = redirect(address)
    else:
        with tenancy.entered(found.studio_id, role=Role.CLIENT):
            offer = card.find_offer(found)
            with card.speaking_of(offer):
                response = render(request, CARD_PAGE, card.context(offer, token, address))
    # The address behind it is a secret.
    response["Referrer-Policy"] = "no-referrer"
    public_links.keep_in_cookie(response, token, found, path=address)
    return response


@require_safe
@limited(LINK, "offer link")
def card_picture(request: ClientRequest, token: str) -> HttpResponse:
    """The picture on the card of a link, for whoever has the link."""
    found = public_links.find(token, LinkPurpose.OFFER)
    if found is None:
        return _leads_nowhere(request)
    with tenancy.entered(found.studio_id, role=Role.CLIENT):
        return _jpeg(card.picture(card.find_offer(found)))


@csp_update({"style-src": [turned.VIEWER_STYLE]})
@require_safe
@offer_page(LINK, "offer page")
def offer(request: ClientRequest, offer: Offer) -> HttpResponse:
    """The picture, what is included, the price, and how to answer."""
    return _page(request, offer)


@require_POST
@offer_page(LINK, "offer page")
def choose(request: ClientRequest, offer: Offer) -> HttpResponse:
    """The price with other options switched on. Nothing is kept: what counts is what is agreed to."""
    chosen, fault = _chosen(request, offer)
    typed = {"name": request.POST.get("agree-name", "")}
    form = AgreeForm(initial=typed, statement=agreeing.statement(offer, chosen))
    return _page(request, offer, status=422 if fault else None, agree=form, chosen=chosen, choice_fault=fault)


@require_POST
@offer_page(ANSWER, "offer answer")
def agree(request: ClientRequest, offer: Offer) -> HttpResponse:
    """Agree to what the page showed."""
    chosen, fault = _chosen(request, offer)
    form = AgreeForm(request.POST, statement=agreeing.statement(offer, chosen))
    if fault or not form.is_valid():
        return _page(request, offer, status=422, agree=form, chosen=chosen, choice_fault=fault)
    said = form.cleaned_data
    try:
        agreeing.agree(
            offer.pk,
            shown=_shown(request, chosen),
            name=said.get("name", ""),
            ticked=bool(said.get("ticked")),
            visitor=_visitor(request),
        )
    except agreeing.Gone as refusal:
        agreeing.tell_studio_of_failure(offer.pk, name=said.get("name", ""), reasons=refusal.for_studio)
        return _refused(request, offer, refusal, chosen, agree=form)
    except ValidationError as refusal:
        return _refused(request, offer, refusal, chosen, agree=form)
    return redirect(_address(request))


@require_POST
@offer_page(ANSWER, "offer answer")
def decline(request: ClientRequest, offer: Offer) -> HttpResponse:
    """Say no."""
    form = DeclineForm(request.POST)
    if not form.is_valid():
        return _page(request, offer, status=422, decline=form)
    try:
        agreeing.decline(
            offer.pk, name="", words=form.cleaned_data.get("words", ""), visitor=_visitor(request)
        )
    except ValidationError as refusal:
        return _refused(request, offer, refusal, decline=form)
    return redirect(_address(request))


@require_POST
@offer_page(ANSWER, "offer answer")
def ask_for_change(request: ClientRequest, offer: Offer) -> HttpResponse:
    """Say what should be different."""
    form = WishForm(request.POST)
    if not form.is_valid():
        return _page(request, offer, status=422, wish=form)
    try:
        agreeing.ask_for_change(
            offer.pk,
            name=form.cleaned_data.get("name", ""),
            words=form.cleaned_data.get("words", ""),
            visitor=_visitor(request),
        )
    except ValidationError as refusal:
        return _refused(request, offer, refusal, wish=form)
    return redirect(_address(request) + "?passed-on=1#wish")


@require_safe
@offer_page(LINK, "offer page")
def pictures(request: ClientRequest, offer: Offer) -> HttpResponse:
    """The pieces with the lifelike pictures that are there by now: the part of the page that asks again by itself."""
    return render(request, "quoting/client_page/_shows.html", presenter.context(offer, _handle(request)))


@require_safe
@offer_page(LINK, "offer picture")
def still(request: ClientRequest, offer: Offer, digest: str) -> HttpResponse:
    """A lifelike picture of this offer; ``?small`` for a phone."""
    found = with_stills.of_offer(offer).get(digest)
    if found is None:
        raise Http404
    return stills.picture_response(stills.picture(found, small="small" in request.GET))


@require_safe
@offer_page(LINK, "offer picture")
def model(request: ClientRequest, offer: Offer, place: int) -> HttpResponse:
    """A piece of this offer as a model to turn, by its place from 1."""
    piece = _modelled(offer, place)
    return turned.model_response(piece.name, turned.model_of(read_design(piece.design), piece.name))


@require_safe
@offer_page(LINK, "offer picture")
def share(request: ClientRequest, offer: Offer, place: int) -> HttpResponse:
    """A picture of a piece that the client may post, by its place from 1."""
    studio = entered_studio()
    piece = next((each for each in presenter.shown_pieces(offer) if each.place == place), None)
    if piece is None or not piece.chosen or not cards.may_be_shared(offer, studio):
        raise Http404
    response = _jpeg(cards.share_picture(piece, studio))
    response["Content-Disposition"] = (
        f'attachment; filename="{slugify(studio.name) or "picture"}-{place}.jpg"'
    )
    return response


@require_safe
@limited(LINK, "offer picture")
def room_model(request: HttpRequest, token: str, ending: str) -> HttpResponse:
    """A piece of an offer for a phone's own viewer, as long as the offer's link is open."""
    try:
        parts = in_room.read("room-model", token)
    except in_room.Ended:
        return in_room.ended_response()
    if parts is None:
        raise Http404
    studio_id, offer_id, place = map(int, parts)
    with tenancy.entered(studio_id, role=Role.CLIENT):
        offer = Offer.objects.filter(pk=offer_id).first()
        if offer is None or not public_links.is_open(LinkPurpose.OFFER, subject_id=offer_id):
            return in_room.ended_response()
        piece = _modelled(offer, place)
        return in_room.response(ending, read_design(piece.design), piece.name)


@require_safe
@offer_page(LINK, "offer page")
def paper(request: ClientRequest, offer: Offer) -> HttpResponse:
    """Whether the PDF is there yet: the part of the page that asks again by itself."""
    return render(request, "quoting/client_page/_paper.html", download.paper_context(offer, _handle(request)))


@require_safe
@offer_page(LINK, "offer page")
def pdf(request: ClientRequest, offer: Offer) -> HttpResponse:
    """The PDF; back to the page while it is being made."""
    if download.paper_id(offer) is None:
        return redirect(_address(request))
    return download.pdf_response(offer)


@require_safe
@offer_page(LINK, "offer page")
def calendar(request: ClientRequest, offer: Offer) -> HttpResponse:
    """The event for the client's own calendar."""
    response = HttpResponse(calendar_file(offer), content_type="text/calendar; charset=utf-8")
    response["Content-Disposition"] = 'attachment; filename="event.ics"'
    return response


@require_safe
@offer_page(LINK, "offer page")
def logo(request: ClientRequest, offer: Offer) -> HttpResponse:
    """The studio's logo."""
    return logo_response(tenancy.current_studio_id())


# --- Private --------------------------------------------------------------------------------------------------


# What is shown besides is handed on to the presenter, which has a type for each.
def _page(request: ClientRequest, offer: Offer, *, status: int | None = None, **context: Any) -> HttpResponse:
    page = presenter.context(offer, _handle(request), **context)
    page["passed_on"] = "passed-on" in request.GET
    page["other_variant"] = request.POST.get("options_of") != page["variant_key"]
    template = "quoting/client_page/offer.html" if page["shows_offer"] else "quoting/client_page/over.html"
    if request.htmx and page["is_open"]:
        template = "quoting/client_page/_chosen.html"
    return render(request, template, page, status=status or (200 if page["shows_offer"] else 410))


def _refused(
    request: ClientRequest,
    offer: Offer,
    refusal: ValidationError,
    chosen: tuple[str, ...] | None = None,
    **forms: Form,
) -> HttpResponse:
    """The page once more with what was typed: errors at their fields (422), or what has come in between (409)."""
    offer.refresh_from_db()
    if not hasattr(refusal, "error_dict"):
        return _page(
            request, offer, status=409, chosen=chosen, refusals=refusal.messages,
            studio_told=isinstance(refusal, agreeing.Gone), **forms,
        )  # fmt: skip
    for form in forms.values():
        for field, faults in refusal.error_dict.items():
            form.add_error(field, faults)
    return _page(request, offer, status=422, chosen=chosen, **forms)


def _jpeg(content: bytes | None) -> HttpResponse:
    if content is None:
        raise Http404
    response = HttpResponse(content, content_type="image/jpeg")
    response["Cache-Control"] = "private, max-age=3600"
    return response


def _modelled(offer: Offer, place: int) -> offer_document.FrozenPiece:
    """The piece at a place from 1 that has a design to make a model of. Raises ``Http404``."""
    pieces = offer_document.every_piece(offer_document.read_offer(offer.frozen).quote)
    piece = pieces[place - 1] if 1 <= place <= len(pieces) else None
    if piece is None or not piece.design:
        raise Http404
    return piece


def _leads_nowhere(request: ClientRequest) -> HttpResponse:
    """Nobody knows whose link it was: in the language that the browser asks for."""
    with speaking(Language(get_language_from_request(request))):
        return render(request, "quoting/client_page/unknown.html", status=404)


def _chosen(request: ClientRequest, offer: Offer) -> tuple[tuple[str, ...] | None, str]:
    """What is picked and switched on, and what is wrong with it; then the offer's own first choice stands."""
    quote = offer_document.read_offer(offer.frozen).quote
    try:
        return offer_document.price_choice(quote, _asked(request, quote)).chosen, ""
    except offer_document.NotAChoice as fault:
        return None, _("%(fault)s You now see the offer as it was sent.") % {"fault": fault}


def _asked(request: ClientRequest, quote: offer_document.QuoteDocument) -> tuple[str, ...]:
    """The letters that were sent. Options go with the version they were shown for: another one is taken as it opens."""
    options = tuple(dict.fromkeys(request.POST.getlist("option")))
    if not quote.others:
        return options
    letter = request.POST.get("variant", "")
    if letter != request.POST.get("options_of", letter):
        return offer_document.as_opened(quote, letter)
    return (letter, *options) if letter else options


def _shown(request: ClientRequest, chosen: tuple[str, ...] | None) -> PageShown:
    version = request.POST.get("version", "")
    return PageShown(
        int(version) if version.isdecimal() and len(version) < 10 else 0,
        request.POST.get("total", ""),
        request.POST.get("digest", ""),
        chosen,
    )


def _visitor(request: ClientRequest) -> Visitor:
    return Visitor(address_of(request), request.META.get("HTTP_USER_AGENT", ""))


def _handle(request: ClientRequest) -> str:
    return request.offer_handle


def _address(request: ClientRequest) -> str:
    return reverse("client-offer", args=[_handle(request)])
