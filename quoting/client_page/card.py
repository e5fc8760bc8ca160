"""The card that a program draws of a link: the studio, the event and a picture. No price, no place, no name."""

from __future__ import annotations

from contextlib import AbstractContextManager

from django.urls import reverse

from events.contacts.language import speaking_to, speaking_to_somebody
from quoting.models import AnswerKind, Offer, OfferState
from quoting.offers import cards
from quoting.offers.document_presenter import OfferShown, present_offer
from studio.models import entered_studio
from studio.people.public_links import FoundLink
from studio.tenancy import links


def find_offer(found: FoundLink) -> Offer | None:
    """The offer of a link, while its page shows it."""
    offer = Offer.objects.select_related("quote__event__client").filter(pk=found.subject_id).first()
    return offer if offer and offer.standing in (OfferState.OPEN, OfferState.AGREED) else None


def speaking_of(offer: Offer | None) -> AbstractContextManager[None]:
    """Inside, our words are in the language of whoever reads the card."""
    return speaking_to(offer.quote.event.client) if offer else speaking_to_somebody()


def context(offer: Offer | None, token: str, address: str) -> dict[str, object]:
    """What the card's page says; ``address`` is where the offer is read."""
    shown = _shown(offer) if offer else None
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


def picture(offer: Offer | None) -> bytes | None:
    """The card's picture; None where the offer shows none any more."""
    return cards.preview_card(_shown(offer)) if offer else None


# Private


def _shown(offer: Offer) -> OfferShown:
    """The offer in words."""
    answer = offer.answers.filter(kind=AnswerKind.AGREED).defer("frozen").first()
    return present_offer(offer.frozen, answer.chosen if answer else None)
