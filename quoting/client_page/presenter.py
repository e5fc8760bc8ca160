"""What the client's page shows: the frozen document, where the job stands, and the forms to answer with."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Final

from django.forms import Form
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import pgettext_lazy

from events.models import Event, Stage
from quoting.client_page.forms import AgreeForm, DeclineForm, WishForm
from quoting.models import (
    FINAL_ANSWERS,
    AnswerKind,
    Offer,
    OfferState,
    PaymentChoice,
    PaymentDecision,
    Still,
    StillState,
)
from quoting.offers import agreeing, cards, deposit, download, keeping, with_stills
from quoting.offers import document as offer_document
from quoting.offers.document import QuoteDocument
from quoting.offers.document_presenter import (
    OfferShown,
    PieceShown,
    VariantShown,
    present_offer,
    present_variants,
)
from quoting.pricing import frozen
from quoting.turning import in_room
from studio.measures.languages import in_language
from studio.models import Studio, entered_studio
from studio.money import amounts
from studio.tenancy import current_studio_id
from studio.ui.progress import Bead, thread_of

CLIENT_STAGES: Final = (
    (Stage.ENQUIRY, pgettext_lazy("stage", "asked")),
    (Stage.SKETCH, pgettext_lazy("stage", "sketched")),
    (Stage.OFFERED, pgettext_lazy("stage", "offered")),
    (Stage.AGREED, pgettext_lazy("stage", "agreed")),
    (Stage.PREPARED, pgettext_lazy("stage", "prepared")),
    (Stage.INSTALLED, pgettext_lazy("stage", "ready")),
)
"""The beads as a client reads them; counting back is the studio's own business."""
MOST_PICTURES: Final = 3
"""Set pieces that the card of a version shows side by side."""


def context(
    offer: Offer,
    handle: str,
    *,
    agree: AgreeForm | None = None,
    wish: WishForm | None = None,
    decline: DeclineForm | None = None,
    refusals: list[str] | None = None,
    studio_told: bool = False,
    chosen: Collection[str] | None = None,
    choice_fault: str = "",
) -> dict[str, object]:
    """Everything that the page's template needs, for the options ``chosen`` while nothing is agreed."""
    studio = entered_studio()
    answer = offer.answers.filter(kind__in=FINAL_ANSWERS).defer("frozen").first()
    agreed = answer if answer and answer.kind == AnswerKind.AGREED else None
    if agreed:
        chosen = agreed.chosen
    quote = offer_document.read_offer(offer.frozen).quote
    shown = present_offer(offer.frozen, chosen)
    statement = agreeing.statement_beside(shown)
    is_off = offer.quote.event.is_off
    is_open = offer.standing == OfferState.OPEN and not is_off
    stills = with_stills.of_offer(offer)
    return {
        "price": offer_document.price_choice(quote, chosen),
        "choice_fault": choice_fault,
        "deposit": deposit.find_due(offer, studio) if agreed and not is_off else None,
        "offer": shown,
        "kept": keeping.find_kept(offer),
        "variant_key": next((one.key for one in shown.variants if one.picked), ""),
        "cards": variant_cards(shown, ready_stills(stills, handle)) if is_open and shown.variants else [],
        "included": shown.chosen_pieces if agreed else shown.pieces,
        "to_come": offer.quote.event.ready_by > timezone.now() and not is_off,
        "is_off": is_off,
        "payments": _payment_words(offer, studio) if agreed and is_off else "",
        "moved_to": _moved_to(offer.quote.event, quote),
        "row": offer,
        "standing": offer.standing,
        "is_open": is_open,
        "shows_offer": is_open or offer.standing == OfferState.AGREED,
        "answer": answer,
        "agreed": agreed,
        "statement": statement,
        "studio": _letterhead(studio, handle),
        "beads": beads(offer.quote.event),
        "agree_form": agree or AgreeForm(statement=statement),
        "wish_form": wish or WishForm(),
        "decline_form": decline or DeclineForm(),
        "open_form": _open_form(wish, decline),
        "refused": refusals is not None,
        "refusals": refusals or [],
        "studio_told": studio_told,
        "may_share": cards.may_be_shared(offer, studio),
        **shows(offer, shown.pieces, stills, handle),
        **download.paper_context(offer, handle),
    }


def shows(
    offer: Offer, pieces: Sequence[PieceShown], stills: Mapping[str, Still], handle: str
) -> dict[str, object]:
    """The pieces with the addresses of their lifelike pictures, those that are there, and whether more are coming."""
    addresses = ready_stills(stills, handle)
    return {
        "shows": [
            (
                piece,
                addresses.get(piece.still, ""),
                reverse("client-model", args=[handle, piece.place]) if piece.has_model else "",
                in_room.addresses("room-model", current_studio_id(), offer.pk, piece.place),
            )
            for piece in pieces
        ],
        "is_waiting_for_stills": with_stills.is_waiting(stills.values()),
        "handle": handle,
    }


def shown_pieces(offer: Offer) -> tuple[PieceShown, ...]:
    """The pieces in words: as agreed, else of every version as the offer opens."""
    answer = offer.answers.filter(kind=AnswerKind.AGREED).defer("frozen").first()
    if answer:
        return present_offer(offer.frozen, answer.chosen).pieces
    every = present_variants(offer.frozen) or [present_offer(offer.frozen)]
    return tuple(piece for one in every for piece in one.pieces)


def ready_stills(stills: Mapping[str, Still], handle: str) -> dict[str, str]:
    """Addresses of an offer's lifelike pictures, by their keys, those that are there."""
    return {
        key: reverse("client-still", args=[handle, key])
        for key, still in stills.items()
        if still.state == StillState.READY
    }


Card = tuple[VariantShown, list[tuple[PieceShown, str]]]
"""A version and its set pieces, each with the address of its lifelike picture if that is there."""


def variant_cards(shown: OfferShown, addresses: Mapping[str, str]) -> list[Card]:
    """The versions to pick from; ``addresses`` are those of the stills that are there, by their keys."""
    return [
        (one, [(piece, addresses.get(piece.still, "")) for piece in one.pieces[:MOST_PICTURES]])
        for one in shown.variants
    ]


def beads(event: Event) -> list[Bead]:
    """The course of the job for the client, with the day on which everything is ready."""
    keys = [stage for stage, _ in CLIENT_STAGES]
    now = event.stage if event.stage in keys else Stage.INSTALLED
    ready = event.ready_by.astimezone(event.tz).date()
    return thread_of(
        [(str(stage), str(name)) for stage, name in CLIENT_STAGES], now=now, dates={Stage.INSTALLED: ready}
    )


def _letterhead(studio: Studio, handle: str) -> dict[str, object]:
    """What the frame of the page says of the studio."""
    return {
        "name": studio.name,
        "email": studio.email,
        "phone": studio.phone,
        "brand_colour": studio.brand_colour,
        "zone": studio.tz,
        "logo_url": reverse("client-logo", args=[handle]) if studio.logo_digest else "",
    }


def _moved_to(event: Event, quote: QuoteDocument) -> str:
    """When everything is ready now, where the event moved since the offer was sent; else nothing."""
    if event.ready_by == quote.event.ready_by:
        return ""
    there = event.ready_by.astimezone(event.tz)
    return frozen.moment_words(there, quote.locale)


def _payment_words(offer: Offer, studio: Studio) -> str:
    """What happens with what was paid for a called-off event."""
    decision = PaymentDecision.objects.filter(event=offer.quote.event_id, ended_at=None).first()
    if decision is None:
        return _("%(name)s will contact you about anything you paid.") % {"name": studio.name}
    if decision.choice == PaymentChoice.REFUND:
        refund = amounts.written(decision.refund, offer.currency, in_language(studio.locale))
        return _("You get back %(amount)s.") % {"amount": refund}
    if decision.choice == PaymentChoice.MOVE:
        return _("What you paid is kept for a new date.")
    return _("By the terms of this offer, what you paid is not refunded.")


def _open_form(wish: Form | None, decline: Form | None) -> str:
    if wish is not None:
        return "wish"
    return "decline" if decline is not None else ""
