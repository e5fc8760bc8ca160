"""A set piece with one of every single thing goes all the way: from a file to the offer, the crew and the van."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from events.models import BillRow, LoadOutLine
from quoting.craft.design.design_file import read_design, write_design
from quoting.craft.design.records import Design, Wall
from quoting.design_library import files, library
from quoting.models import DesignTemplate, Quote
from quoting.offers import offering
from quoting.offers.document import read_offer
from quoting.quotes import sketch
from stock.catalogue import items
from stock.ledger import movements
from stock.models import Kind
from tests.people import House
from tests.quoting import offer_scenes
from tests.quoting.craft.design.thing_designs import INK, OAT, PROP, SIGN, furnished
from tests.quoting.quotes.test_options import agree

CANDLE = replace(PROP, id="candle", item="candle", label="Candle", look="candle", width_m=0.1, height_m=0.3)
WALL = Wall(
    id="wall", width_m=0.8, height_m=1.2, size_in=11, sized_m=0.23, pattern="drawn", grid=("01",), x_m=-2.5
)


def everything() -> Design:
    """Every kind of single thing, two signs, a drawn wall and a double-stuffed colour."""
    signs = (SIGN, replace(SIGN, id="second", x_m=1.6))
    deep = replace(INK, finish="double-stuffed", inner="plum", inner_name="Plum", inner_hex="#5A2A4A")
    return replace(
        furnished(), name="Furnished corner", signs=signs, palette=(OAT, deep), walls=(WALL,),
        props=(*furnished().props, CANDLE), foils=(replace(furnished().foils[0], gas="helium"),),
    )  # fmt: skip


@pytest.fixture
def quoted(wickerlark: House) -> Quote:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        design = files.read(json.dumps(write_design(everything())))
        template = library.keep_design(design, wickerlark.studio)
        plinth = items.add_item(
            kind=Kind.PROP, name="Plinth 90 cm", code="plinth-90", weight_kg=18, price_per_use=12,
            outline={"shape": "plinth", "width_m": 0.35, "height_m": 0.9, "depth_m": 0.35},
        )  # fmt: skip
        movements.receive(plinth.pk, 2, key="plinths")
        quote = sketch.add_piece(quote.pk, template.pk, version=quote.version)
        offer_scenes.plan_all(quote)
        return quote


def test_a_design_with_every_thing_is_kept_as_it_was_sent(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        kept = DesignTemplate.objects.get(name="Furnished corner")
    assert read_design(kept.design).props == everything().props


def test_the_quote_page_names_what_is_new_on_the_tape_and_what_the_shelf_lacks(
    wickerlark: House, quoted: Quote
) -> None:
    answer = wickerlark.client().get(wickerlark.url("quoting:quote", quoted.pk))
    html = answer.content.decode().lower()
    assert answer.status_code == 200
    for words in ("foil balloons", "props", "lettering", "gold number 34 in “4”", "plinth 90 cm × 1"):
        assert words in html


def test_the_offer_has_the_cautions_and_the_crew_and_the_van_get_everything(
    wickerlark: House, quoted: Quote
) -> None:
    with wickerlark.enter():
        offer = offering.offer(quoted).offer
        frozen = read_offer(offer.frozen)
    texts = " ".join(frozen.quote.cautions)
    assert "Foil conducts electricity" in texts
    assert "lit by battery" in texts
    assert "Helium displaces air" in texts
    agree(wickerlark, offer)
    sheet = wickerlark.client().get(wickerlark.url("quoting:build-sheet", quoted.pk))
    assert sheet.status_code == 200
    assert "Ink over plum 36 in" in sheet.content.decode()
    with wickerlark.enter():
        groups = {row.code: row.group for row in BillRow.objects.filter(event=quoted.event_id)}
        loaded = set(LoadOutLine.objects.filter(event=quoted.event_id).values_list("code", flat=True))
    assert groups["foil-34-gold-4"] == "foils"
    assert {"plinth-90", "latex-36-plum", "candle"} <= set(groups)
    assert "plinth-90" in loaded
