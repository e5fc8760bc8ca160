"""Versions of a quote side by side."""

from __future__ import annotations

from decimal import Decimal

import pytest
from msgspec import structs

from quoting.models import Offer
from quoting.offers import offering
from quoting.offers.comparing import compared
from quoting.offers.document import FrozenCount
from quoting.offers.freezing import frozen_copy
from quoting.quotes import sheet, sketch
from tests.people import House
from tests.quoting import offer_scenes

pytestmark = pytest.mark.django_db
D = Decimal


def offered(house: House) -> Offer:
    with house.enter():
        return offering.offer(offer_scenes.quote(house)).offer


def changed(house: House, offer: Offer) -> None:
    """Fuller, and with a plinth."""
    with house.enter():
        quote = sheet.find_quote(offer.quote_id)
        piece = quote.pieces.get()
        quote = sketch.alter_piece(quote.pk, piece.pk, {"fullness": 0.95}, version=quote.version)
        sketch.add_free_line(
            quote.pk,
            label="Hired plinth",
            quantity=D(1),
            unit_price=D(40),
            tax_id=None,
            version=quote.version,
        )


def test_what_is_new_and_what_is_gone_add_up_to_the_change_of_the_total(wickerlark: House) -> None:
    offer = offered(wickerlark)
    with wickerlark.enter():
        before = frozen_copy(sheet.find_quote(offer.quote_id))
    changed(wickerlark, offer)
    with wickerlark.enter():
        after = frozen_copy(sheet.find_quote(offer.quote_id))
    there, back = compared(before, after), compared(after, before)
    rows = {row.label: row for row in there.price}
    assert (rows["Hired plinth"].before, rows["Hired plinth"].after) == ("", "$40.00")
    assert rows["Hired plinth"].difference == "+$40.00"
    assert {row.label: row for row in back.price}["Hired plinth"].difference == "−$40.00"

    garland = next(row for row in there.price if row.label.startswith("Garland, "))
    assert garland.before, "the same line, with another number of balloons"
    assert garland.label == next(line.label for line in after.lines if line.part == "garland")

    def signed(text: str) -> Decimal:
        return D(text.replace("−", "-").replace("$", "").replace("+", "").replace(",", "") or "0")

    assert sum(signed(row.difference) for row in there.price) == signed(there.total.difference) > 0
    assert sum(signed(row.difference) for row in back.price) == -signed(there.total.difference)
    fillers = next(row for row in there.counts if row.label.endswith(" 5 in"))
    assert int(fillers.after) - int(fillers.before or 0) == int(fillers.difference.replace("−", "-"))
    same = compared(before, before)
    assert all(row.is_same and not row.difference for row in (*same.price, *same.counts, same.total))


def test_balloons_are_matched_with_those_of_offers_that_wrote_the_size_first(wickerlark: House) -> None:
    offer = offered(wickerlark)
    with wickerlark.enter():
        now = frozen_copy(sheet.find_quote(offer.quote_id))

    def as_then(count: FrozenCount) -> FrozenCount:
        colour, size, unit = count.label.rsplit(" ", 2)
        return structs.replace(count, label=f"{size} {unit}, {colour.lower()}")

    pieces = (structs.replace(each, counts=tuple(map(as_then, each.counts))) for each in now.pieces)
    rows = compared(structs.replace(now, pieces=tuple(pieces)), now).counts
    assert [row.label for row in rows] == [count.label for piece in now.pieces for count in piece.counts]
    assert all(row.is_same for row in rows)


def test_the_page_shows_the_offer_and_the_sketch_and_any_two_that_are_chosen(wickerlark: House) -> None:
    offer = offered(wickerlark)
    owner, address = wickerlark.client(), wickerlark.url("quoting:quote-versions", offer.quote_id)
    changed(wickerlark, offer)
    page = owner.get(address).content.decode()
    assert f"Offer {offer.reference}" in page
    assert "The quote now" in page
    assert "+$40.00" in page
    assert page.count("<svg") >= 2
    back = owner.get(address, {"before": "now", "after": str(offer.version)}).content.decode()
    assert "−$40.00" in back
    unknown = owner.get(address, {"before": "99", "after": "<b>"})
    assert unknown.status_code == 200
    assert "+$40.00" in unknown.content.decode(), "what isn't known is as if nothing was chosen"


def test_a_quote_that_was_never_offered_says_what_will_stand_there(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
    page = wickerlark.client().get(wickerlark.url("quoting:quote-versions", quote.pk)).content.decode()
    assert "One version so far" in page


def test_two_pictures_on_the_page_share_no_id(wickerlark: House) -> None:
    import re

    offer = offered(wickerlark)
    page = wickerlark.client().get(wickerlark.url("quoting:quote-versions", offer.quote_id)).content.decode()
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert len(ids) == len(set(ids))
