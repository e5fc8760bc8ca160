"""What tests of offers start from: a quote that was offered, its client's browser, and the posts that answer."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any
from urllib.parse import urlsplit

from django.test import Client

from quoting.before_sending.open_points import Word, find_open_points
from quoting.craft.design.design_file import read_design
from quoting.craft.takeoff.doubles import every_colour
from quoting.models import Offer, Quote, SupplyKind
from quoting.offers import offering
from quoting.offers.document_presenter import OfferShown, present_offer
from quoting.offers.offering import Offered
from quoting.quotes import sheet
from quoting.quotes.sheet import Sheet
from quoting.supplies import supplies
from stock.catalogue import items
from stock.models import Colour, Hold, Item, Kind, MovementKind
from studio.models import entered_studio
from studio.people import taxes
from tests import shelf
from tests.people import House
from tests.quoting import scenes

ARCHES = (("7ft", 1.22, 2.13, "sage"), ("6ft", 1.07, 1.83, "oat"))
KIT = {f"along-{tool}": 1 for tool in ("first-aid", "pump", "scissors", "tape", "ladder")}
"""What goes along besides the bill: the shelf has none of it, and the arches are too high to reach."""


def quote(house: House, **facts: Any) -> Quote:
    """A quote over a short shelf: the design's frames and covers and one latex; the rest is to be bought."""
    made = with_gaps(house, **facts)
    plan_all(made)
    return made


def with_gaps(house: House, **facts: Any) -> Quote:
    """The same before anything is said of what is to be bought."""
    if not Item.objects.exists():
        _short_shelf()
        taxes.add_tax(name="Sales tax", percent=Decimal("6.25"), is_default=True)
    return scenes.quote(house, **facts)


def plan_all(made: Quote) -> None:
    """Everything that the stock list lacks is bought by the day on which the van is loaded.

    Latex gets its place in the list at one go: tests/stock/test_put_down.py holds that this is as the product does it.
    """
    read = sheet.read_sheet(made, entered_studio(), pictures=False)
    missing = [one.code for one in supplies.find_missing(read)]
    latex = [code for code in missing if items.size_in_code(code) is not None]
    _list_latex(read, latex)
    day = supplies.latest_day(made)
    choices = {
        # What is printed has the studio's rate by the area.
        code: supplies.Choice(
            SupplyKind.BUY, day, cost=None if code.startswith("cover-printed-") else Decimal(0)
        )
        for code in missing
        if code not in latex
    }
    supplies.plan_supplies(made.pk, choices)


def _list_latex(read: Sheet, codes: list[str]) -> None:
    """Put latex on the stock list, none of it on the shelf, and its colours too where they are new."""
    palette = {each.colour: each for piece in read.pieces for each in every_colour(read_design(piece.design))}
    wanted = dict.fromkeys(code.split("-", 2)[2] for code in codes)
    known = {each.code: each for each in Colour.objects.filter(code__in=wanted)}
    new = [palette[code] for code in wanted if code not in known]
    known |= shelf.colours({each.name: each.hex.upper() for each in new})
    rows = [(_latex(items.size_in_code(code), known[code.split("-", 2)[2]]), 0) for code in codes]
    shelf.put(rows)


def _latex(size: int | None, colour: Colour) -> Item:
    assert size is not None
    free = Decimal(0)
    if size == items.TWISTING_IN:
        return shelf.twisting(colour, unit_cost=free)
    return shelf.latex(colour, size, unit_cost=free)


def _short_shelf() -> None:
    oat = shelf.colours({"Oat": "#EFE6D6"})["oat"]
    rows = [(shelf.latex(oat, 11, bag_size=100, bag_price=Decimal(14)), 100)]
    for size, width, height, cover in ARCHES:
        frame = shelf.thing(
            Kind.FRAME, f"Arch frame {size}", code=f"frame-arch-{size}",
            outline={"shape": "arch-top", "width_m": width, "height_m": height},
            unit_cost=Decimal(120), expected_uses=40,
        )  # fmt: skip
        sleeve = shelf.thing(
            Kind.COVER, f"Cover for arch {size}, {cover}", code=f"cover-arch-{size}-{cover}",
            price_per_use=Decimal(15),
        )  # fmt: skip
        rows += [(frame, 2), (sleeve, 1)]
    shelf.put(rows, kind=MovementKind.RECEIVED)


def offered(house: House, given: Quote | None = None, **facts: Any) -> Offered:
    """A quote offered by the owner; call it outside of any studio."""
    with house.enter():
        return offering.offer(given or quote(house, **facts))


def word_for(quote: Quote, reason: str = "Agreed on the phone") -> Word:
    """The owner's word for everything that is open about a quote; call it inside the studio."""
    found = find_open_points(sheet.read_sheet(sheet.find_quote(quote.pk), entered_studio(), pictures=False))
    return Word(frozenset(each.key for each in found), reason)


def tentative_hold_of(offer: Offer) -> Hold:
    """What is held for the offer until its client agrees; call it inside the studio."""
    assert offer.tentative_hold_id is not None
    return Hold.objects.get(pk=offer.tentative_hold_id)


def open_link(address: str, client: Client | None = None, **headers: Any) -> tuple[Client, str]:
    """A client's browser that followed the link, and the clean address it was led to."""
    browser = client or Client(headers={"user-agent": "Harbour Browser 7"}, **headers)
    response = browser.get(urlsplit(address).path, headers={"sec-fetch-mode": "navigate"})
    assert response.status_code == 302, response.content
    return browser, str(response["Location"])


def as_shown(offer: Offer, **changed: Any) -> dict[str, Any]:
    """The post of the agree form as the page of ``offer`` fills it."""
    return {
        "version": offer.version,
        "total": str(offer.total),
        "digest": offer.digest,
        "agree-name": "Ada Adeyo",
        "agree-ticked": "on",
        **changed,
    }


def shown_without(offer: Offer, part: str) -> OfferShown:
    """The offer in words as if this part of its first piece were an option that is switched off."""
    shown = present_offer(offer.frozen)
    first, *others = shown.pieces
    return replace(shown, pieces=(replace(first, without=(part,)), *others))
