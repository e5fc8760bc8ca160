"""Sending an offer by e-mail, and what was agreed of it.

A letter says that the pieces are on hold. Where the hold was refused or released, the letter doesn't go out: the studio
is told, and may send it without a hold on purpose.
"""

from __future__ import annotations

from django.utils import timezone

from quoting.letters import writing
from quoting.models import Answer, Offer, OfferState
from quoting.offers import keeping, letter_picture, letter_words, offering
from quoting.offers.document_presenter import present_offer
from quoting.offers.keeping import Keeping
from quoting.offers.refusals import CannotOffer
from quoting.offers.studio_mail import post_to_studio
from stock.holds import availability
from studio.models import StoredFile, entered_studio
from studio.outbox import entries
from studio.tenancy.access import require
from studio.tenancy.fair_share import MAILS
from studio.tenancy.rights import Right


class NotHeld(CannotOffer):
    """The pieces aren't on hold, and the letter would say so."""


def mail_again(offer_id: int, *, press: str, without_hold: bool = False) -> None:
    """Send the e-mail with the link once more; ``without_hold`` sends it although the pieces aren't on hold.

    ``press`` names the button that was pressed: pressed twice, it sends once. Raises :class:`CannotOffer`, for pieces
    that aren't on hold :class:`NotHeld`.
    """
    require(Right.OFFER)
    found = offering.find(offer_id)
    if found.standing != OfferState.OPEN:
        raise CannotOffer(f"This offer is {found.standing.label}; it can't be answered any more.")
    if not found.client_email:
        raise CannotOffer("No e-mail address is known for this client. Copy the link instead.")
    if not without_hold and is_unheld(found):
        raise NotHeld("Not sent: the pieces aren't on hold for this client. You can send it without a hold.")
    _order(found, press, without_hold=without_hold)


def send_offer(offer_id: int, *, without_hold: bool = False) -> None:
    """Send the client the link now. An offer that is over isn't announced; one that lost its hold is stopped."""
    offer = Offer.objects.select_related("quote__event", "tentative_hold").get(pk=offer_id)
    if offer.standing != OfferState.OPEN:
        return
    if not without_hold and is_unheld(offer):
        _stop(offer)
    else:
        letter = letter_words.offer_letter(offer, offering.mint(offer.pk))
        picture = letter_picture.for_letter(present_offer(offer.frozen))
        writing.send(letter, to=offer.client_email, studio=entered_studio(), picture=picture, automatic=False)


def send_agreed(answer: Answer, paper: StoredFile) -> None:
    """Send the client what was agreed: the PDF, and a new link to its page."""
    offer, studio = answer.offer, entered_studio()
    letter = letter_words.agreed_letter(answer, offering.mint(offer.pk))
    writing.send(
        letter, to=offer.client_email, studio=studio,
        attachments=[(paper.name, bytes(paper.content), paper.media_type)],
    )  # fmt: skip


def is_unheld(offer: Offer) -> bool:
    """Whether pieces of an open offer come back and aren't on hold for its client."""
    return keeping.find_kept(offer).state == Keeping.NOT_KEPT


def why_unheld(offer: Offer) -> list[str]:
    """What isn't free for the offer and who has it on hold, a sentence each; none where all of it is free again."""
    event = offer.quote.event
    stands = availability.availability(
        offering.coming_back(offer), event.hold_window(), besides=offer.tentative_hold_id
    )
    short = [one for one in stands if one.short]
    words = [
        f"{one.item.name}: {one.free} free of {one.needed} needed." for one in short if one.item is not None
    ]
    codes = [one.code for one in short]
    return [
        *words,
        *offering.tentative_hold_words(
            codes, event, entered_studio(), names=True, besides=offer.tentative_hold_id
        ),
    ]


# Private


def _order(offer: Offer, press: str, *, without_hold: bool) -> None:
    key, more = f"offer-mail-{offer.pk}-{press}", {}
    if without_hold:
        key, more = f"{key}-without-hold", {"without_hold": True}
    Offer.objects.filter(pk=offer.pk).update(mail_stopped_at=None)
    entries.write("quoting.mail_offer", share=MAILS, key=key, offer_id=offer.pk, **more)


def _stop(offer: Offer) -> None:
    now = timezone.now()
    Offer.objects.filter(pk=offer.pk).update(mail_stopped_at=now)
    key = f"offer-{offer.pk}-not-sent-{now:%Y%m%d%H%M}"
    post_to_studio("offer_not_sent", offer, key, {"reasons": why_unheld(offer)})
