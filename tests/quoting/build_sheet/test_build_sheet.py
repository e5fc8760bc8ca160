"""The build sheet: what hands need, in working order, without a price, for those who may."""

from __future__ import annotations

import io
import json
import math
import re
from collections import Counter
from typing import Any

import pytest
from msgspec import structs
from pypdf import PdfReader

from events.booking import event_sections
from events.loadout import crew_links
from events.models import BillRow
from quoting import tasks
from quoting.build_sheet import sheets
from quoting.build_sheet.presenter import build_words
from quoting.craft.design.design_file import load_design, read_design, write_design
from quoting.craft.sheets.build_sheet import build_sheet
from quoting.craft.takeoff.takeoff import take_off
from quoting.design_library.library import STARTERS
from quoting.models import Quote, QuoteState
from quoting.offers import offering
from quoting.quotes import sketch
from stock.catalogue import items
from stock.catalogue.items import latex_code
from stock.models import Item, Kind
from studio.models import OutboxEntry, Studio, entered_studio
from studio.trade.cautions import CHOKING_EU, CHOKING_US
from tests.people import House
from tests.quoting import scenes
from tests.quoting.quote_page.test_quote_page import MOST_QUERIES, counted
from tests.quoting.quotes.test_options import agree, with_options


@pytest.fixture
def quoted(wickerlark: House) -> Quote:
    with wickerlark.enter():
        return scenes.quote(wickerlark)


def agreed(house: House, quote: Quote) -> None:
    with house.enter():
        scenes.set_state(quote, QuoteState.AGREED)


def page(house: House, quote: Quote, role: str = "crew") -> Any:
    return house.client(role).get(house.url("quoting:build-sheet", quote.pk))


def test_crew_build_from_what_was_agreed_and_see_no_price(wickerlark: House, quoted: Quote) -> None:
    assert page(wickerlark, quoted).status_code == 404, "a sketch is not for the prep room yet"
    agreed(wickerlark, quoted)
    html = page(wickerlark, quoted).content.decode()
    for words in ("Sizing ring", "On the string", "Fillers", "Florals", "Tie points", "Steps"):
        assert words in html
    assert "$" not in html
    assert f'href="{wickerlark.url("quoting:quote", quoted.pk)}"' not in html, (
        "crew aren't led where they may not go"
    )
    assert "style=" not in html


def test_the_office_sees_it_before_and_it_says_that_nothing_is_agreed(
    wickerlark: House, quoted: Quote
) -> None:
    html = page(wickerlark, quoted, "staff").content.decode()
    assert "Not agreed yet" in html
    assert wickerlark.url("quoting:quote", quoted.pk) in html


def test_the_sheet_names_every_recipe_quad_place_and_tie_of_the_take_off() -> None:
    result = take_off(load_design(STARTERS / "garland-nested-arches.json"))
    sheet, words = build_sheet(result), build_words(result, "feet")
    (piece,), (garland,) = sheet.pieces, words.garlands
    assert [(r.name, r.count) for r in garland.recipes] == [(r.name, r.recipe.count) for r in piece.recipes]
    assert sum(each.count * r.count for r in garland.recipes for each in r.rounds) == sum(
        len(r.recipe.balloons) * r.recipe.count for r in piece.recipes
    )
    numbers = [int(n) for run in garland.order for n in re.findall(r"\d+", run.numbers)]
    assert numbers == sorted(numbers)
    placed = {group.title: group.rows for group in garland.placed}
    ends = placed["End quads, tied in on site"]
    assert sum(row.count for row in ends) == 8
    assert (numbers[0], numbers[-1]) == (5, result.garlands[0].quads - 4), "the others are on the string"
    assert any(run.bigger for run in garland.order)
    assert sum(row.count for row in placed["Big rounds"]) == len(piece.big_rounds)
    assert sum(row.count for row in placed["Fillers"]) == len(piece.fillers)
    peeping = [row for row in piece.florals if "shows for 0.0" in row.name]
    assert sum(row.count for row in placed["Florals"]) == len(piece.florals) - len(peeping)
    assert sum(row.count for row in garland.ties) == len(piece.ties) == len(result.rigging.ties)
    assert sum(row.count for row in words.rings) == sum(ring.count for ring in sheet.prep.rings)
    assert words.steps[0].startswith("Set up the frames")


def test_lengths_on_the_sheet_are_the_studio_s() -> None:
    result = take_off(load_design(STARTERS / "garland-nested-arches.json"))
    assert build_words(result, "feet").rings[-1].ring == "4.5 in"
    assert build_words(result, "metric").rings[-1].ring == "11.4 cm"
    assert not re.search(r"\d m\b", " ".join(build_words(result, "feet").steps))


def test_a_warm_terrace_is_sized_smaller_in_a_cool_studio() -> None:
    design = load_design(STARTERS / "garland-nested-arches.json")
    warm = read_design({**write_design(design), "site": {"temperature_c": 35.0, "prep_temperature_c": 15.0}})
    words = build_words(take_off(warm), "metric")
    assert words.sized_elsewhere
    row = next(row for row in words.rings if row.size == "5 in")
    # An ideal gas at one pressure: V/T is constant, so the diameter goes by the cube root of T (Charles's law).
    expected = 11.43 * ((273.15 + 15) / (273.15 + 35)) ** (1 / 3)
    assert float(row.ring.removesuffix(" cm")) == pytest.approx(expected, abs=0.06)
    assert row.at_site == "11.4 cm"


def test_the_caution_on_choking_is_worded_as_the_studio_s_law_asks() -> None:
    result = take_off(load_design(STARTERS / "garland-nested-arches.json"))
    sheet = sheets.PieceSheet("Arches", "", "", build_words(result, "metric"))
    texts = {
        zone: [one.text for one in sheets.cautions([sheet, sheet], Studio(currency=money, zone=zone))]
        for money, zone in (("EUR", "Europe/Berlin"), ("USD", "America/New_York"))
    }
    assert texts["Europe/Berlin"].count(CHOKING_EU.text) == 1
    assert texts["America/New_York"].count(CHOKING_US.text) == 1
    assert CHOKING_US.text not in texts["Europe/Berlin"]


def test_pictures_of_several_pieces_keep_their_own_colours(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        sketch.add_piece(quoted.pk, scenes.starter(wickerlark.studio).pk, version=quoted.version)
    html = page(wickerlark, quoted, "owner").content.decode()
    ids = re.findall(r'<(?:radial|linear)Gradient id="([^"]+)"', html)
    assert ids
    assert len(ids) == len(set(ids))


def test_the_page_asks_the_database_as_often_for_more_pieces(wickerlark: House, quoted: Quote) -> None:
    client, address = wickerlark.client(), wickerlark.url("quoting:build-sheet", quoted.pk)
    few = counted(client, address)
    with wickerlark.enter():
        sketch.add_piece(quoted.pk, scenes.starter(wickerlark.studio).pk, version=quoted.version)
    assert counted(client, address) == few
    assert few <= MOST_QUERIES - 4


@pytest.mark.parametrize(("role", "state", "rows"), [
    ("crew", QuoteState.SKETCH, 0), ("crew", QuoteState.AGREED, 1), ("owner", QuoteState.SKETCH, 1),
])  # fmt: skip
def test_the_event_and_the_load_out_lead_to_it(
    role: str, state: QuoteState, rows: int, wickerlark: House, quoted: Quote
) -> None:
    with wickerlark.enter():
        scenes.set_state(quoted, state)
    with wickerlark.enter(role):
        sections = [each for each in event_sections.sections(quoted.event) if each.title == "Build sheets"]
        listed = crew_links.find_crew_links(quoted.event)
    address = wickerlark.url("quoting:build-sheet", quoted.pk)
    assert [row.address for section in sections for row in section.rows] == [address] * rows
    assert [paper.address for paper in listed] == ([address] if state == QuoteState.AGREED else [])
    if state == QuoteState.AGREED:
        load_out = wickerlark.client(role).get(wickerlark.url("events:load-out", quoted.event_id))
        assert address in load_out.content.decode()


def test_a_quote_without_a_piece_has_no_sheet_yet(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        sketch.remove_piece(quoted.pk, quoted.pieces.get().pk, version=quoted.version)
        assert not [each for each in event_sections.sections(quoted.event) if each.title == "Build sheets"]
    assert "Nothing to build yet" in page(wickerlark, quoted, "owner").content.decode()
    answer = wickerlark.client().post(wickerlark.url("quoting:build-sheet-make", quoted.pk), follow=True)
    assert "no set piece to put on paper" in answer.content.decode()


def test_the_worker_makes_the_paper_once_and_the_crew_open_it(wickerlark: House, quoted: Quote) -> None:
    agreed(wickerlark, quoted)
    client = wickerlark.client("crew")
    make, pdf = (wickerlark.url(f"quoting:build-sheet-{name}", quoted.pk) for name in ("make", "pdf"))
    assert client.get(pdf).status_code == 302, "nothing is there yet"
    for _ in range(2):
        assert client.post(make).status_code == 302
    with wickerlark.enter():
        (entry,) = OutboxEntry.objects.filter(task="quoting.render_build_sheet")
    tasks.render_build_sheet(studio_id=wickerlark.studio.pk, entry_id=entry.pk)
    answer = client.get(pdf)
    assert answer["Content-Type"] == "application/pdf"
    read = PdfReader(io.BytesIO(answer.content))
    text = "\n".join(sheet.extract_text() for sheet in read.pages)
    for words in ("Build sheet", "On the string", "Tie points", "Steps", "Local codes"):
        assert words in text
    assert "$" not in text
    root: Any = read.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"], "tagged, so that it can be read aloud"
    assert "Open the PDF" in page(wickerlark, quoted).content.decode()


def test_a_sketch_that_was_changed_and_changed_back_has_its_paper_at_once(
    wickerlark: House, quoted: Quote
) -> None:
    with wickerlark.enter():
        first = sheets.make_paper(quoted.pk)
        assert sheets.make_paper(quoted.pk).pk == first.pk
        piece = quoted.pieces.get()
        sketch.alter_piece(quoted.pk, piece.pk, {"loss": 0.2}, version=quoted.version)
        second = sheets.make_paper(quoted.pk)
        assert second.name != first.name
        quote = sketch.undo(quoted.pk, version=quoted.version + 1)
        found = sheets.find(quote.pk)
        studio = entered_studio()
        assert sheets.paper(found, sheets.pieces(found, studio.units, []), [], studio).file == first


def test_another_studio_finds_no_sheet(wickerlark: House, federkorn: House, quoted: Quote) -> None:
    agreed(wickerlark, quoted)
    client = federkorn.client()
    for name in ("build-sheet", "build-sheet-paper", "build-sheet-pdf"):
        assert client.get(federkorn.url(f"quoting:{name}", quoted.pk)).status_code == 404
    assert client.post(federkorn.url("quoting:build-sheet-make", quoted.pk)).status_code == 404


@pytest.mark.parametrize(
    ("chosen", "pieces", "with_florals"), [((), 1, 1), (("a",), 2, 1), (("a", "b"), 2, 2)]
)
def test_only_what_the_client_chose_is_built(
    chosen: tuple[str, ...], pieces: int, with_florals: int, wickerlark: House
) -> None:
    with wickerlark.enter():
        quote = with_options(wickerlark)
        offer = offering.offer(quote).offer
    agree(wickerlark, offer, *chosen)
    answer = page(wickerlark, quote)
    html = answer.content.decode()
    assert html.count('<article class="build"') == pieces
    assert html.count("<h4>Florals</h4>") == with_florals
    assert counted(wickerlark.client("crew"), wickerlark.url("quoting:build-sheet", quote.pk)) <= MOST_QUERIES


@pytest.mark.parametrize("place", [0, -1])
def test_balloons_that_were_swapped_stand_in_their_new_colour_at_every_place(
    wickerlark: House, quoted: Quote, place: int
) -> None:
    agreed(wickerlark, quoted)
    with wickerlark.enter():
        count = quoted.pieces.get().takeoff.counts[place]
        navy = items.add_item(
            kind=Kind.LATEX, colour=items.add_colour(name="Navy", hex="#2A3D4E"), size_in=count.size_in
        )
        before = rounds_of(quoted)
        was = Item.objects.select_related("colour").get(code=latex_code(count.size_in, count.colour))
        BillRow.objects.create(
            event=quoted.event, code=was.code, label=was.name, quantity=count.to_bring,
            now_code=navy.code, now_label=navy.name,
        )  # fmt: skip
        after = rounds_of(quoted)
    old = f"{was.colour.name.lower() if was.colour else ''} {count.size_in} in"
    others = {key: number for key, number in before.items() if key != old}
    assert before[old]
    assert after == {**others, f"navy {count.size_in} in": before[old]}
    shown = " ".join(page(wickerlark, quoted).content.decode().split())
    assert f"{navy.name} instead of {was.name}" in shown


def test_spares_are_those_that_were_agreed_however_they_are_worked_out_today(
    wickerlark: House, quoted: Quote
) -> None:
    with wickerlark.enter():
        piece = quoted.pieces.get()
        # As before spares went by risk: a share on top of each size and colour.
        on_average = [
            structs.replace(count, to_bring=math.ceil(count.placed * 1.05)) for count in piece.takeoff.counts
        ]
        assert on_average != list(piece.takeoff.counts)
        piece.takeoff = structs.replace(piece.takeoff, counts=tuple(on_average))
        piece.save()
        (sheet,) = sheets.pieces(quoted, "feet", [])
    sized: Counter[str] = Counter()
    for row in sheet.words.rings:
        sized[row.size] += row.count
    billed: Counter[str] = Counter()
    for count in on_average:
        billed[f"{count.size_in} in"] += count.to_bring
    assert sized == billed
    assert sheet.not_as_quoted == ()


def test_balloons_that_are_placed_otherwise_than_quoted_are_said(wickerlark: House, quoted: Quote) -> None:
    agreed(wickerlark, quoted)
    with wickerlark.enter():
        piece = quoted.pieces.get()
        first, *others = sorted(piece.takeoff.counts, key=lambda count: -count.placed)
        agreed_to = structs.replace(first, placed=first.placed - 4, to_bring=first.placed + 3)
        piece.takeoff = structs.replace(piece.takeoff, counts=(agreed_to, *others))
        piece.save()
    shown = " ".join(page(wickerlark, quoted).content.decode().split())
    assert (
        f"{first.name} {first.size_in} in: {first.placed} on this sheet, {first.placed - 4} on the quote"
        in shown
    )
    with wickerlark.enter():
        (sheet,) = sheets.pieces(quoted, "feet", [])
        sized = sum(row.count for row in sheet.words.rings if row.size == f"{first.size_in} in")
    same_size = [count.to_bring for count in (agreed_to, *others) if count.size_in == first.size_in]
    assert sized == sum(same_size)


def rounds_of(quote: Quote) -> dict[str, int]:
    """Balloons on the build sheet by size and colour: those of the recipes, and big rounds at their places."""
    found: Counter[str] = Counter()
    for sheet in sheets.pieces(quote, "feet", sheets.swapped_items(quote)):
        for garland in sheet.words.garlands:
            for recipe in garland.recipes:
                for each in recipe.rounds:
                    found[each.name] += recipe.count * each.count
            for group in garland.placed:
                for row in group.rows if group.title == "Big rounds" else ():
                    found[row.name.lower()] += row.count
    return dict(found)


def model_of(house: House, quote: Quote, role: str = "crew", place: int = 1) -> Any:
    return house.client(role).get(house.url("quoting:build-sheet-model", quote.pk, place))


def read_nodes(content: bytes) -> list[dict[str, Any]]:
    """The nodes of a binary glTF file's scene, from its JSON part (glTF 2.0, 4.4), without what belongs to another."""
    length = int.from_bytes(content[12:16], "little")
    document = json.loads(content[20 : 20 + length])
    return [document["nodes"][number] for number in document["scenes"][0]["nodes"]]


def test_the_model_says_of_each_balloon_its_recipe_place_and_step(wickerlark: House, quoted: Quote) -> None:
    assert model_of(wickerlark, quoted).status_code == 404, "a sketch is not for the prep room yet"
    agreed(wickerlark, quoted)
    answer = model_of(wickerlark, quoted)
    assert answer["Content-Type"] == "model/gltf-binary"
    nodes = read_nodes(answer.content)
    with wickerlark.enter():
        (sheet,) = sheets.pieces(sheets.find(quoted.pk), "feet", [])
        takeoff = quoted.pieces.get().takeoff
    assert {node["extras"]["step"] for node in nodes} <= set(range(len(sheet.words.steps) + 1))
    balloons = [node for node in nodes if "scale" in node]
    assert len(balloons) == takeoff.balloons
    for recipe in sheet.words.garlands[0].recipes:
        said = [n for n in balloons if re.match(rf"\w+ {recipe.name}\b", n["extras"]["says"])]
        assert len(said) == recipe.count * sum(each.count for each in recipe.rounds)


def test_a_piece_that_is_not_on_the_sheet_has_no_model(wickerlark: House, quoted: Quote) -> None:
    agreed(wickerlark, quoted)
    assert [model_of(wickerlark, quoted, place=place).status_code for place in (0, 1, 2)] == [404, 200, 404]


def test_the_sheet_is_whole_before_the_model_is_asked_for(wickerlark: House, quoted: Quote) -> None:
    html = page(wickerlark, quoted, "owner").content.decode()
    assert 'class="set-piece"' in html
    assert f'data-model="{wickerlark.url("quoting:build-sheet-model", quoted.pk, 1)}"' in html
    assert 'id="steps-1"' in html
    assert "The sheet is complete without it." in html


def test_page_paper_steps_and_lists_have_the_same_numbers(wickerlark: House, quoted: Quote) -> None:
    agreed(wickerlark, quoted)
    with wickerlark.enter("crew"):
        (sheet,) = sheets.pieces(sheets.find(quoted.pk), "feet", [])
        pdf = sheets.rendered(sheets.find(quoted.pk), [sheet], [], entered_studio())
    html = page(wickerlark, quoted).content.decode()
    groups = [group for garland in sheet.words.garlands for group in garland.placed if group.drawing]
    assert [group.title for group in groups][-1] == "Florals"
    paper = "".join(leaf.extract_text() for leaf in PdfReader(io.BytesIO(pdf)).pages)
    for group in groups:
        listed = sorted(spot.number for row in group.rows for spot in row.places)
        drawn = sorted(int(number) for number in re.findall(r">(\d+)</text>", group.drawing))
        assert drawn == listed == list(range(listed[0], listed[-1] + 1))
        said = f"Numbers {listed[0]} to {listed[-1]}."
        assert sum(said in step for step in sheet.words.steps) == 1
        assert said in paper
        assert group.drawing in html
