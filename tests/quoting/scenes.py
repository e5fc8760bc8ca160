"""What tests of this room start from: a stocked shelf, an event, a quote."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from functools import cache
from typing import Any, Final
from unittest import mock

from django.utils import timezone

from events.models import Client, Event, Venue
from quoting.craft.change.resize import SIDES
from quoting.craft.design.design_file import load_design
from quoting.craft.design.faults import DesignError
from quoting.craft.design.records import Design
from quoting.design_library import library
from quoting.models import DesignTemplate, Quote, QuoteState
from quoting.quotes import sketch
from quoting.set_pieces import alter
from stock.ledger import movements
from stock.models import Colour, Item, Kind, MovementKind
from studio.models import Studio
from studio.people import taxes
from tests import shelf
from tests.people import House

COLOURS = (
    ("oat", "#EFE6D6"),
    ("harbour", "#9FB2C2"),
    ("straw", "#E3C588"),
    ("ink", "#2E4454"),
    ("sage", "#C6CDBA"),
)
ARCHES = ((5, 0.91, 1.52), (6, 1.07, 1.83), (7, 1.22, 2.13), (8, 1.37, 2.44))

scale: Final = alter.scaled


def put(item: Item, pieces: int) -> Item:
    """Open the shelf with so many of an item."""
    movements.receive(item.pk, pieces, key=f"open-{item.code}")
    return item


def stocked() -> dict[str, Item]:
    """Rounds in five colours, arch frames with covers, greenery and clips; by code."""
    hues = shelf.colours({code.capitalize(): value for code, value in COLOURS})
    rows: list[tuple[Item, int]] = []
    for hue in hues.values():
        for size, price in ((5, 9), (11, 14), (17, 22), (24, 30)):
            bag_size = 100 if size < 17 else 50
            rows.append((shelf.latex(hue, size, bag_size=bag_size, bag_price=Decimal(price)), 100))
        rows.append((shelf.twisting(hue, bag_size=100, bag_price=Decimal(12)), 100))
    for feet, width, height in ARCHES:
        rows.append((_arch_frame(feet, width, height), 2))
        rows.extend((_arch_cover(feet, hues[code]), 1) for code in ("oat", "sage"))
    for code, name in (("greenery-eucalyptus", "Eucalyptus garland 6 ft"), ("pick-fern", "Fern pick")):
        rows.append((shelf.thing(Kind.FLORAL, name, code=code, unit_cost=Decimal(6), expected_uses=6), 20))
    clip = shelf.thing(
        Kind.HARDWARE, "Binder clip", code="clip-binder", unit_cost=Decimal("0.30"), expected_uses=100
    )
    rows.append((clip, 60))
    return shelf.put(rows, kind=MovementKind.RECEIVED)


def _arch_frame(feet: int, width_m: float, height_m: float) -> Item:
    return shelf.thing(
        Kind.FRAME, f"Arch frame {feet} ft", code=f"frame-arch-{feet}ft",
        outline={"shape": "arch-top", "width_m": width_m, "height_m": height_m},
        unit_cost=Decimal(120), expected_uses=40,
    )  # fmt: skip


def _arch_cover(feet: int, colour: Colour) -> Item:
    return shelf.thing(
        Kind.COVER, f"Cover arch {feet} ft {colour.code}", code=f"cover-arch-{feet}ft-{colour.code}", colour=colour,
        unit_cost=Decimal(40), expected_uses=30, price_per_use=Decimal(15),
    )  # fmt: skip


def event(title: str = "Library centenary", **facts: Any) -> Event:
    """An event in three weeks, in a reading room with a ceiling."""
    client, _ = Client.objects.get_or_create(name="Mrs Adeyo", email="adeyo@example.org")
    venue, _ = Venue.objects.get_or_create(name="Reading room", defaults={"drive_minutes": 25})
    ready = timezone.now().replace(minute=0, second=0, microsecond=0) + timedelta(days=21)
    moments = {
        "load_out_at": -5, "access_from": -4, "ready_by": 0, "strike_from": 6, "out_by": 8, "back_at": 9,
    }  # fmt: skip
    made: Event = Event.objects.create(
        title=title, client=client, venue=venue, zone="America/New_York",
        **{field: ready + timedelta(hours=hours) for field, hours in moments.items()}, **facts,
    )  # fmt: skip
    return made


def starter(studio: Studio) -> DesignTemplate:
    """The organic garland over two nested arches."""
    known = DesignTemplate.objects.filter(name="Organic garland over two nested arches").first()
    if known:
        return known
    design = load_design(library.STARTERS / "garland-nested-arches.json")
    return library.keep_design(design, studio)


def quote(house: House, **facts: Any) -> Quote:
    """A quote over a stocked shelf, with a sales tax of 6.25 %; call it inside the studio."""
    if not Item.objects.exists():
        stocked()
        taxes.add_tax(name="Sales tax", percent=Decimal("6.25"), is_default=True)
    with mock.patch.object(alter, "scaled", _scaled_before):
        return sketch.start_quote(event(**facts), starter(house.studio))


def _scaled_before(
    design: Design, *, width_m: Decimal, height_m: Decimal, must: tuple[str, ...] = SIDES
) -> Design:
    """As :func:`.alter.scaled`: many tests begin with the same design at the same size."""
    found = _scaled_once(design, width_m, height_m, must)
    if isinstance(found, DesignError):
        raise DesignError(*found.faults)
    return found


@cache
def _scaled_once(
    design: Design, width_m: Decimal, height_m: Decimal, must: tuple[str, ...]
) -> Design | DesignError:
    try:
        return scale(design, width_m=width_m, height_m=height_m, must=must)
    except DesignError as refused:
        return refused


def set_state(quote: Quote, state: QuoteState) -> None:
    """A quote in another state, whatever its offers say."""
    Quote.objects.filter(pk=quote.pk).update(state=state)
    quote.state = state
