"""An offer as its client will read it: made as it would be made, read, and taken back before anybody could see it."""

from __future__ import annotations

import base64
from dataclasses import dataclass

from django.conf import settings
from django.db import transaction

from events.contacts.language import speaking_to
from quoting.client_page import presenter
from quoting.models import Offer, Quote, StillState
from quoting.offers import letter_picture, letter_words, offering, with_stills
from quoting.offers.document_presenter import present_offer
from studio.models import entered_studio
from studio.outbox import mail
from studio.tenancy import links

HANDLE = "preview"
"""Stands for the link's own handle: nothing on the page leads anywhere."""


@dataclass(frozen=True)
class Seen:
    """What the client would get: the letter, and what the page shows."""

    letter: mail.Written
    to: str
    page: dict[str, object]


def see_as_client(quote: Quote, words: str) -> Seen:
    """The offer that would be made of the quote now. Nothing is kept of it, and nobody is asked for anything.

    Raises :class:`~quoting.offers.refusals.CannotOffer` and
    :class:`~quoting.before_sending.open_points.NotSettled` as making it would.
    """
    with transaction.atomic():
        made = offering.offer(quote, words=words, is_trial=True).offer
        seen = Seen(_letter(made.pk), made.client_email, _page(made.pk))
        transaction.set_rollback(True)
    return seen


# Private


def _letter(offer_id: int) -> mail.Written:
    offer = offering.find(offer_id)
    letter = letter_words.offer_letter(offer, f"{settings.SITE_URL}/o/…")
    picture = letter_picture.for_letter(present_offer(offer.frozen))
    shown = picture and {
        "cid": HANDLE,
        "alt": picture.alt,
        "width_px": picture.width_px,
        "height_px": picture.height_px,
    }
    written = mail.write("letter", {**letter.context(entered_studio()), "picture": shown})
    if picture is None:
        return written
    inside = f"data:image/{picture.kind};base64,{base64.b64encode(picture.content).decode()}"
    return mail.Written(written.subject, written.plain, written.rich.replace(f"cid:{HANDLE}", inside))


def _page(offer_id: int) -> dict[str, object]:
    offer = offering.find(offer_id)
    with speaking_to(offer.quote.event.client):
        return _shown_page(offer)


def _shown_page(offer: Offer) -> dict[str, object]:
    page = presenter.context(offer, HANDLE)
    ready = {key for key, still in with_stills.of_offer(offer).items() if still.state == StillState.READY}
    offered = present_offer(offer.frozen)
    shows = [
        (piece, links.to("quoting:still-picture", piece.still) if piece.still in ready else "", "", None)
        for piece in offered.pieces
    ]
    addresses = {key: links.to("quoting:still-picture", key) for key in ready}
    return {
        **page,
        "shows": shows,
        "cards": presenter.variant_cards(offered, addresses),
        "is_waiting_for_stills": False,
        "may_share": False,
        "has_pdf": False,
        "pdf_failed": True,
    }
