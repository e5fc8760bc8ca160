"""The card that a program draws of a link: the studio, the event and a picture. No price, no place, no name."""

from __future__ import annotations

from django.urls import reverse

from quoting.models import AnswerKind, Offer, OfferState
from quoting.offers import cards
from quoting.offers.document_presenter import OfferShown, present_offer
from studio.models import entered_studio
from studio.people.public_links import FoundLink
from studio.tenancy import links


def context(found: FoundLink, token: str, address: str) -> dict[str, object]:
    """What the card's page says; ``address`` is where the offer is read."""
    shown = _shown(found)
    pieces = shown.chosen_pieces if shown else ()
    return {
        "address": address,
        "studio": {"name": entered_studio().name},
        "title": shown.event_title if shown else "",
        "url": links.absolute(reverse("open-offer", args=[token])),
        "picture": links.absolute(reverse("offer-card", args=[token])) if pieces else "",
        "alt": pieces[0].alt if pieces else "",
        "width_px": cards.CARD[0],
        "height_px": cards.CARD[1],
    }


def picture(found: FoundLink) -> bytes | None:
    """The card's picture; None where the offer shows none any more."""
    shown = _shown(found)
    return cards.preview_card(shown) if shown else None


# Private


def _shown(found: FoundLink) -> OfferShown | None:
    """The offer in words, while its page shows it."""
    offer = Offer.objects.select_related("quote__event").filter(pk=found.subject_id).first()
    if offer is None or offer.standing not in (OfferState.OPEN, OfferState.AGREED):
        return None
    answer = offer.answers.filter(kind=AnswerKind.AGREED).defer("frozen").first()
    return present_offer(offer.frozen, answer.chosen if answer else None)
