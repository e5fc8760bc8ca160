"""What the office is told of the stock behind an offer: held until its date, reserved since it was agreed, or gone."""

from __future__ import annotations

from typing import Final

from quoting.models import Offer, OfferState
from quoting.offers.keeping import Keeping, Kept
from stock.models import HoldState

AGREED: Final = {
    Keeping.RESERVED: "reserved for the event",
    Keeping.ON_HOLD: "until the deposit is paid",
    Keeping.NOT_KEPT: "not everything that was agreed is reserved",
    Keeping.NOTHING: "nothing",
    Keeping.CALLED_OFF: "no longer",
}
"""What becomes of the pieces of an agreed offer."""


def has_tentative_hold(offer: Offer) -> bool:
    """Whether something is on hold for it until its client agrees."""
    return offer.tentative_hold is not None and offer.tentative_hold.state == HoldState.TENTATIVE


def hold_words(offer: Offer, kept: Kept) -> str:
    """How the pieces of the offer stand now, by what is kept for it."""
    if offer.standing == OfferState.AGREED:
        to_come = f"; still to get: {', '.join(kept.to_come)}" if kept.to_come and kept.is_reserved else ""
        return AGREED[kept.state] + to_come
    if offer.standing != OfferState.OPEN:
        return "no longer"
    if has_tentative_hold(offer):
        only = "only some of the " if kept.state == Keeping.NOT_KEPT else ""
        return f"{only}frames and covers, until then"
    if offer.tentative_hold_id:
        return "released: the first client to agree gets the pieces"
    return "nothing"
