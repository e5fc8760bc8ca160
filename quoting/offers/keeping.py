"""What a client may be told of what is kept for them: read from the holds as they stand now.

Nothing is said to be kept that isn't: an offer's hold may have been refused or released, an agreed event's hold may
lack a piece that was lost since, and some of the bill may still have to be bought, hired or made.
"""

from __future__ import annotations

import enum
from collections.abc import Iterable
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass

from django.utils import timezone

from events.loadout.swaps import StandingSwap, standing_swaps
from events.models import Event
from quoting.models import Answer, AnswerKind, Offer, OfferState
from quoting.offers import offering
from quoting.offers.document import read_offer, studio_part
from quoting.offers.needs import most_needed
from stock.catalogue import items
from stock.catalogue.items import Material
from stock.catalogue.kit_parts import expand_kits
from stock.holds import availability
from stock.models import Hold, HoldState, Item
from studio import tenancy
from studio.measures.times import Window
from studio.tenancy.rights import Right, may


class Keeping(enum.StrEnum):
    """How everything that comes back, such as frames and covers, is kept for the client."""

    RESERVED = "reserved"
    ON_HOLD = "on hold"
    NOT_KEPT = "not kept"
    NOTHING = "nothing comes back"
    CALLED_OFF = "called off"


@dataclass(frozen=True, slots=True)
class Kept:
    """The state of what is kept, and labels of what is still to be bought, hired or made."""

    state: Keeping
    to_come: tuple[str, ...] = ()
    swapped: tuple[StandingSwap, ...] = ()
    """What stands for something that was agreed."""

    @property
    def is_on_hold(self) -> bool:
        """Whether it is held until a day."""
        return self.state == Keeping.ON_HOLD

    @property
    def is_reserved(self) -> bool:
        """Whether it is promised."""
        return self.state == Keeping.RESERVED


def find_kept(offer: Offer) -> Kept:
    """What may be said of an offer, or of what was agreed of it. A fixed number of queries."""
    event = offer.quote.event
    if event.is_off:
        return Kept(Keeping.CALLED_OFF)
    with _reading_shelf():
        quantities = _quantities(offer)
        is_agreed = offer.state == OfferState.AGREED
        hold = event.hold if is_agreed else offer.tentative_hold
        swapped = tuple(_swaps_of(event, quantities)) if is_agreed else ()
        quantities = _with_swaps(quantities, swapped)
        found = availability.find_held(quantities, hold.pk if hold else None)
        known, held = {item.code: item for item, _ in found}, {item.code: count for item, count in found}
        state = _state(hold, held, event.hold_window(), quantities, known)
        short = availability.shortages_of(hold.pk) if hold else []
        if not is_agreed:
            return Kept(Keeping.NOT_KEPT if any(each.item.is_reusable for each in short) else state)
        names = [each.item.name for each in short]
        unheld = _short_unheld(offer, quantities, known, held)
        return Kept(state, tuple(dict.fromkeys((*names, *_open_supplies(offer), *unheld))), swapped)


# Private


def _reading_shelf() -> AbstractContextManager[object]:
    """The studio reads its shelf for a client; whoever may see it reads it themselves."""
    return nullcontext() if may(tenancy.current().role, Right.SEE_SHELF) else offering.as_studio()


def _quantities(offer: Offer) -> dict[str, int]:
    """Of what was agreed, or of everything that could be."""
    if offer.state != OfferState.AGREED:
        return most_needed(read_offer(offer.frozen).quote)
    agreed = Answer.objects.filter(offer=offer, kind=AnswerKind.AGREED).values_list("frozen", "chosen")
    text, chosen = agreed.first() or (offer.frozen, None)
    bill = studio_part(read_offer(text).quote, chosen).bill
    return expand_kits(items.sum_by_code(Material(line.code, line.quantity) for line in bill))


def _swaps_of(event: Event, quantities: dict[str, int]) -> list[StandingSwap]:
    """The swaps of what this offer needs; the event may have others, of its other quotes."""
    return [swap for swap in standing_swaps(event) if swap.out in quantities]


def _with_swaps(quantities: dict[str, int], swapped: Iterable[StandingSwap]) -> dict[str, int]:
    """The quantities of what stands for the agreed codes now."""
    now = {swap.out: swap.into for swap in swapped}
    return items.sum_by_code(Material(now.get(code, code), count) for code, count in quantities.items())


def _state(
    hold: Hold | None,
    held: dict[str, int],
    window: Window,
    quantities: dict[str, int],
    known: dict[str, Item],
) -> Keeping:
    needed = {code: count for code, count in quantities.items() if code in known and known[code].is_reusable}
    if not needed:
        return Keeping.NOTHING
    if hold is None or not _covers(hold, held, window, needed):
        return Keeping.NOT_KEPT
    if hold.state == HoldState.HELD:
        return Keeping.RESERVED
    lasts = hold.tentative_until is None or hold.tentative_until > timezone.now()
    return Keeping.ON_HOLD if hold.state == HoldState.TENTATIVE and lasts else Keeping.NOT_KEPT


def _covers(hold: Hold, held: dict[str, int], window: Window, needed: dict[str, int]) -> bool:
    """Whether the hold has all of it for the whole window: an event that moved is no longer held as it was."""
    if hold.starts_at > window.start or hold.ends_at < window.end:
        return False
    return all(held.get(code, 0) >= count for code, count in needed.items())


def _open_supplies(offer: Offer) -> Iterable[str]:
    return offer.quote.supplies.filter(done_at=None).values_list("label", flat=True)


def _short_unheld(
    offer: Offer, quantities: dict[str, int], known: dict[str, Item], held: dict[str, int]
) -> list[str]:
    """Names of what is used up, isn't on the hold, and has to be bought first."""
    unheld = {
        code: item
        for code, item in known.items()
        if not item.is_reusable and held.get(code, 0) < quantities[code]
    }
    if not unheld:
        return []
    missing = {code: quantities[code] - held.get(code, 0) for code in unheld}
    stands = availability.check_items(unheld, missing, offer.quote.event.hold_window())
    return [each.item.name for each in stands if each.item and each.short]
