"""What tests of versions start from: a quote with a fuller and a grand one beside it."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from quoting.models import FreeLine, Quote
from quoting.offers import offering
from quoting.offers.offering import Offered
from quoting.quotes import sheet, sketch
from quoting.quotes.steps import reprice
from quoting.variants import variants
from stock.ledger import movements
from stock.models import Item, Kind
from studio.models import entered_studio
from tests.people import House
from tests.quoting import offer_scenes, scenes

Three = tuple[Quote, Quote, Quote]


def three(house: House, *, covers: int = 2, **facts: Any) -> Three:
    """Simple, which is the lead; Fuller, with a plinth by hand; Grand, with the set piece twice."""
    lead = offer_scenes.quote(house, **facts)
    for item in Item.objects.filter(kind=Kind.COVER):
        movements.count(item.pk, covers, key=f"covers-{item.pk}")
    fuller = variants.add_variant(lead.pk, name="")
    FreeLine.objects.create(quote=fuller, position=1, label="Hired plinth", unit_price=Decimal("64.99"))
    grand = variants.add_variant(lead.pk, name="")
    sketch.add_piece(grand.pk, scenes.starter(house.studio).pk, version=grand.version)
    offer_scenes.plan_all(sheet.find_quote(grand.pk))
    for each in (lead, fuller, grand):
        reprice(sheet.read_sheet(sheet.find_quote(each.pk), entered_studio(), pictures=False))
    return fresh(lead), fresh(fuller), fresh(grand)


def fresh(quote: Quote) -> Quote:
    """The quote as it stands in the database."""
    return sheet.find_quote(quote.pk)


def offered_three(house: House) -> Offered:
    """The three offered; call it outside of any studio."""
    with house.enter():
        lead, *_ = three(house)
        return offering.offer(lead)
