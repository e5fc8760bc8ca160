"""The spares of what was agreed: frozen with the offer, spare on the load-out list."""

from __future__ import annotations

import json
from collections.abc import Iterable

import pytest
from msgspec import structs

from events.models import BillRow, LoadOutLine
from quoting.models import Quote, SetPiece
from quoting.offers import document, freezing
from quoting.offers.document import read_offer, studio_part
from quoting.pricing.frozen import canonical
from quoting.quotes import sheet
from tests.people import House
from tests.quoting import offer_scenes
from tests.quoting.offer_scenes import offered
from tests.quoting.offers.test_agreeing import agree

pytestmark = pytest.mark.django_db


def test_what_the_piece_does_not_need_is_spare_on_the_list(wickerlark: House) -> None:
    offer = offered(wickerlark).offer
    agree(wickerlark, offer)
    with wickerlark.enter():
        event_id = Quote.objects.get(pk=offer.quote_id).event_id
        placed, spare = counted(SetPiece.objects.filter(quote=offer.quote_id))
        rows = LoadOutLine.objects.filter(event=event_id, dropped=False)
        assert spare
        listed = dict(rows.exclude(spare_of="").values_list("spare_of", "quantity"))
        assert listed == {code: count for code, count in spare.items() if count}
        assert dict(rows.filter(code__in=placed).values_list("code", "quantity")) == placed
        for row in BillRow.objects.filter(event=event_id):
            assert row.spare == spare.get(row.code, 0)


def test_an_offer_made_before_spares_were_told_apart_is_agreed_with_one_line_for_each_thing(
    wickerlark: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    written = document.write_offer

    def as_it_was(offered: document.OfferDocument) -> str:
        kept = json.loads(written(offered))
        for line in kept["quote"]["bill"]:
            del line["spare"]
        return canonical(kept)

    monkeypatch.setattr(document, "write_offer", as_it_was)
    offer = offered(wickerlark).offer
    assert '"spare"' not in offer.frozen
    agree(wickerlark, offer)
    bill: dict[str, int] = {}
    for line in studio_part(read_offer(offer.frozen).quote).bill:
        bill[line.code] = bill.get(line.code, 0) + line.quantity
    with wickerlark.enter():
        rows = LoadOutLine.objects.filter(event__quotes=offer.quote_id, dropped=False)
        assert dict(rows.values_list("code", "quantity")) == {**bill, **offer_scenes.KIT}


def counted(pieces: Iterable[SetPiece]) -> tuple[dict[str, int], dict[str, int]]:
    """Balloons that are placed, and those that are brought besides, by code."""
    placed: dict[str, int] = {}
    spare: dict[str, int] = {}
    for piece in pieces:
        for count in piece.takeoff.counts:
            code = f"latex-{count.size_in}-{count.colour}"
            placed[code] = placed.get(code, 0) + count.placed
            spare[code] = spare.get(code, 0) + count.to_bring - count.placed
    return placed, spare


def test_balloons_that_a_kit_brings_besides_are_not_spare(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        read = sheet.read_sheet(quote, wickerlark.studio)
        (piece,) = read.pieces
        lines = piece.takeoff.bill
        again = next(line for line in lines if line.code.startswith("latex-11-"))
        piece.takeoff = structs.replace(piece.takeoff, bill=(*lines, structs.replace(again, quantity=20)))
        brought = [line for line in freezing._frozen_bill(read) if line.code == again.code]
        (count,) = (
            count
            for count in piece.takeoff.counts
            if again.code == f"latex-11-{count.colour}" and count.size_in == 11
        )
        assert [(line.quantity, line.spare) for line in brought] == [
            (count.to_bring, count.to_bring - count.placed),
            (20, 0),
        ]
