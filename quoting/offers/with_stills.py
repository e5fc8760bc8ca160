"""The lifelike pictures of an offer: asked for when it is made, and put on its paper as soon as they are there.

An offer never waits for them. What it shows is settled when it is made: the design, the room and the angle.
"""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress

from quoting.models import Offer, OfferState, Quote, Still, StillState
from quoting.offers.document import every_piece, read_offer
from quoting.stills import stills
from quoting.stills.venue import NoPhoto
from studio.outbox import entries
from studio.tenancy.fair_share import PAPERS, TooMuch


def ask(quote: Quote) -> None:
    """Have every piece of a quote rendered that isn't yet; what is over the studio's share, or is to
    stand before a photo that isn't there, keeps its drawing."""
    if stills.are_made():
        with suppress(TooMuch):
            for piece in quote.pieces.defer("picture", "takeoff"):
                with suppress(NoPhoto):
                    stills.ask(piece)


def of_offer(offer: Offer) -> dict[str, Still]:
    """The stills that an offer names, by key, whether they are there yet or not."""
    return stills.of_keys(piece.still for piece in every_piece(read_offer(offer.frozen).quote))


def is_waiting(found: Iterable[Still]) -> bool:
    """Whether one of these is still being made. One query where one isn't there yet."""
    asked = {still.pk: still for still in found if still.state == StillState.ASKED}
    return bool(asked.keys() - stills.given_up(asked.values()))


def renew_papers(still_id: int) -> None:
    """Print the open offers anew that name this still, once all of theirs are there or were given up."""
    still = Still.objects.get(pk=still_id)
    for offer in Offer.objects.filter(state=OfferState.OPEN, frozen__contains=still.key):
        named = of_offer(offer)
        if not is_waiting(named.values()):
            key = f"offer-pdf-{offer.pk}-with-{still.key[:16]}"
            entries.write("quoting.renew_offer_pdf", share=PAPERS, key=key, offer_id=offer.pk)


def pictures(frozen_keys: Iterable[str]) -> dict[str, bytes]:
    """The pictures of these stills, for paper; those that aren't there yet are left out."""
    ready = [still for still in stills.of_keys(frozen_keys).values() if still.state == StillState.READY]
    return {still.key: bytes(stills.picture(still).content) for still in ready}
