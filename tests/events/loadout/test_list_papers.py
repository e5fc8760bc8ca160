"""The load-out list and the strike and return list on paper: what stands on them, for whom, and over how many pages."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from typing import Any

import pdfplumber
import pytest
from django.utils import timezone
from pypdf import PdfReader

from events.booking import stages
from events.contacts import venues
from events.crew import assigning, shifts
from events.jobs import calling_off
from events.jobs.commitment import BillLine
from events.loadout import load_list, ticks
from events.loadout.ticks import TickOp
from events.models import (
    Answer,
    CrewCall,
    Event,
    LoadOutLine,
    LoadPlace,
    Shift,
    ShiftKind,
    Stage,
    TickKind,
    Van,
)
from studio.models import Membership, Studio
from tests.events.conftest import BILL, agree, printed, said, said_by, stock_up, take, words_on
from tests.events.test_pages import counted_post
from tests.people import House

PAPERS = ("load-out", "return-list")
SPARED = (replace(BILL[0], spare=8), *BILL[1:])


@pytest.fixture
def packed(wickerlark: House) -> Event:
    """An agreed event with a venue, spares, a van and a driver for both ways."""
    with wickerlark.enter():
        stock_up()
        hall = venues.add_venue(name="Reading room", address="Quay Street 3", access="Lift at the back")
        event = take(venue_id=hall.pk)
        agree(event, bill=SPARED)
        van = Van.objects.create(name="Blue van", seats=2)
        driver = Membership.objects.get(person=wickerlark.crew).pk
        for kind in (ShiftKind.INSTALL, ShiftKind.STRIKE):
            assigning.assign_person(event.pk, kind, driver, drives=True)
            assigning.assign_van(event.pk, kind, van.pk)
        event.refresh_from_db()
    return event


def paper(house: House, event: Event, name: str, role: str = "crew") -> bytes:
    return printed(house, house.client(role), event, name)


def pages_of(content: bytes) -> list[str]:
    with pdfplumber.open(io.BytesIO(content)) as document:
        return [" ".join((page.extract_text() or "").split()) for page in document.pages]


def in_order(text: str, *words: str) -> bool:
    """Whether these words follow one another in the text."""
    return re.search(".*".join(map(re.escape, words)), text) is not None


def lengthen(event: Event, number: int) -> None:
    """So many lines in next, of things that are no item of the catalogue."""
    LoadOutLine.objects.bulk_create(
        LoadOutLine(
            event=event, code=f"crate-{count}", label=f"Crate {count:03}", quantity=2,
            place=LoadPlace.MIDDLE, position=6, shelf_place="bay K",
        )
        for count in range(number)
    )  # fmt: skip


# --- Who may ---


@pytest.mark.parametrize("name", PAPERS)
@pytest.mark.parametrize("role", ["owner", "staff", "crew"])
def test_whoever_sees_the_page_has_the_paper_and_it_names_no_price(
    wickerlark: House, agreed: Event, name: str, role: str
) -> None:
    text = words_on(paper(wickerlark, agreed, name, role))
    assert "Ring 6 ft" in text
    assert "$" not in text


@pytest.mark.parametrize("name", PAPERS)
def test_another_studios_event_and_one_that_is_not_there_are_not_found(
    wickerlark: House, federkorn: House, agreed: Event, name: str
) -> None:
    for house, number in ((federkorn, agreed.pk), (wickerlark, agreed.pk + 999)):
        assert house.client().post(house.url("events:paper-make", number, name)).status_code == 404
    theirs = wickerlark.url("events:paper-make", agreed.pk, name)
    assert federkorn.client().post(theirs).status_code == 404


def test_both_pages_lead_to_their_paper_where_there_are_lines(wickerlark: House, packed: Event) -> None:
    with wickerlark.enter():
        bare = take("Only asked for", client_email="bare@b.example")
    browser = wickerlark.client("crew")
    for name in PAPERS:
        for event, offered in ((packed, True), (bare, False)):
            there = f'action="{wickerlark.url("events:paper-make", event.pk, name)}"'
            shown = said_by(browser.get(wickerlark.url(f"events:{name}", event.pk)))
            assert (there in shown) is offered


# --- What stands on them ---


def test_the_load_out_list_stands_in_the_order_of_loading_with_count_shelf_and_purpose(
    wickerlark: House, packed: Event
) -> None:
    text = words_on(paper(wickerlark, packed, "load-out"))
    assert in_order(
        text, "Load first (needed last)", "12 Greenery loft", "Load next", "112 Oat 11 in",
        "Load last (needed first)", "1 Ring cover oat shelf F", "1 Ring 6 ft bay C2",
        "Keep within reach (spares, not inflated)", "8 Spare oat 11 in",
    )  # fmt: skip
    assert "Garland" in text


def test_the_return_list_stands_in_the_order_of_the_page(wickerlark: House, packed: Event) -> None:
    text = words_on(paper(wickerlark, packed, "return-list"))
    assert in_order(
        text, "Spares, not inflated", "8 Spare oat 11 in", "Unload first (loaded last)", "1 Ring 6 ft bay C2",
        "1 Ring cover oat shelf F", "Unload next", "112 Oat 11 in", "Garland · used up",
        "Unload last (loaded first)", "12 Greenery loft",
    )  # fmt: skip
    assert all(head in text for head in ("Repair", "Broken", "Lost", "Used"))
    with wickerlark.enter("crew"):
        from_the_van = [
            state.line.label for state in reversed(load_list.find_load_out_list(packed.pk).states)
        ]
    assert in_order(text, *from_the_van)


@pytest.mark.parametrize(
    ("name", "title", "moment"),
    [
        ("load-out", "Load-out list", "Load out"),
        ("return-list", "Strike and return list", "Strike from"),
    ],
)
def test_its_head_says_what_where_when_and_who_drives(
    wickerlark: House, packed: Event, name: str, title: str, moment: str
) -> None:
    text = words_on(paper(wickerlark, packed, name))
    driver = wickerlark.crew.name
    for words in (
        "Library centenary", title, moment, "Reading room", "Quay Street 3", "Lift at the back", "Blue van",
        "1 / 1", "ready by" if name == "load-out" else "back by",
    ):  # fmt: skip
        assert words in text, words
    assert f"{driver} drives" in text
    with wickerlark.enter():
        CrewCall.objects.update(answer=Answer.NO, asked_at=timezone.now())
        Van.objects.update(name="Green van")
    text = words_on(paper(wickerlark, packed, name))
    assert f"{driver} drives" not in text, "who said no doesn't drive"
    assert "Green van" in text


def test_on_a_round_it_is_said_with_whose_things_it_is_loaded(wickerlark: House, packed: Event) -> None:
    with wickerlark.enter():
        other = take("Bakery birthday", client_email="bakery@b.example")
        first = shifts.saved_shift(other, ShiftKind.INSTALL)
        Shift.objects.filter(event=packed, kind=ShiftKind.INSTALL).update(comes_from=first)
        from_clock = f"{first.starts_at.astimezone(packed.tz):%-I:%M %p}".lower()
    text = words_on(paper(wickerlark, packed, "load-out"))
    assert in_order(text, "Same tour as Bakery", "birthday", "loaded together from", from_clock)
    assert "Bakery" not in words_on(paper(wickerlark, packed, "return-list"))
    with wickerlark.enter():
        strike = shifts.saved_shift(other, ShiftKind.STRIKE)
        Shift.objects.filter(event=packed, kind=ShiftKind.STRIKE).update(comes_from=strike)
    assert "Comes directly from Bakery" in words_on(paper(wickerlark, packed, "return-list"))


@pytest.mark.parametrize("name", PAPERS)
def test_what_is_not_known_is_said_to_be_so(wickerlark: House, enquired: Event, name: str) -> None:
    text = words_on(paper(wickerlark, enquired, name))
    for words in ("Not known yet.", "No van chosen yet.", "made when the client agrees", "1 / 1"):
        assert words in text


@pytest.mark.parametrize("name", PAPERS)
def test_a_list_of_a_called_off_event_says_so(wickerlark: House, agreed: Event, name: str) -> None:
    with wickerlark.enter():
        calling_off.call_off(agreed.pk)
    assert "Called off." in words_on(paper(wickerlark, agreed, name))


def test_what_phones_said_by_then_stands_on_both(wickerlark: House, packed: Event) -> None:
    with wickerlark.enter("crew"):
        line = LoadOutLine.objects.get(event=packed, code="greenery")
        note = said(line, 0, TickKind.NOTE, text="One pot is cracked")
        ticks.save_ticks(packed.pk, [said(line, 7), note])
        assert "7 in already" in words_on(paper(wickerlark, packed, "load-out"))
        assert "One pot is cracked" in words_on(paper(wickerlark, packed, "load-out"))
        stages.reach(packed.pk, Stage.PREPARED)
        ticks.save_ticks(packed.pk, [said(line, 4, TickKind.BACK, broken=1)])
    text = words_on(paper(wickerlark, packed, "return-list"))
    assert "7 Greenery" in text, "what went out is due, not what was to go"
    assert "counted already: 4 back, 1 broken" in text


def test_each_line_has_an_empty_box_and_room_for_a_number(wickerlark: House, packed: Event) -> None:
    with wickerlark.enter("crew"):
        ticks.save_ticks(packed.pk, [said(line, 1) for line in LoadOutLine.objects.filter(event=packed)])
    side = 4.4 / 25.4 * 72 + 2 * 0.9
    for name, room in (("load-out", 26), ("return-list", 5 * 12)):
        with pdfplumber.open(io.BytesIO(paper(wickerlark, packed, name))) as document:
            (page,) = document.pages
            boxes = [
                each for each in page.rects if max(abs(each[way] - side) for way in ("width", "height")) < 0.2
            ]
            assert len(boxes) == 10, name
            free_from = page.width - 15 / 25.4 * 72 - room / 25.4 * 72
            for box in boxes:
                in_row = [char for char in page.chars if box["top"] < char["top"] < box["bottom"]]
                assert in_row
                assert not [char for char in in_row if char["x0"] < box["x1"] or char["x1"] > free_from]


# --- As a document ---


@pytest.mark.parametrize("name", PAPERS)
def test_it_is_tagged_titled_and_brings_its_fonts(wickerlark: House, packed: Event, name: str) -> None:
    reader = PdfReader(io.BytesIO(paper(wickerlark, packed, name)))
    root: Any = reader.trailer["/Root"]
    # ISO 14289-1: 7.1 marked and title shown, 7.2 language, 5 identification, 7.21.4 fonts embedded.
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert 'pdfuaid:part="1"' in root["/Metadata"].get_object().get_data().decode()
    assert reader.metadata is not None
    title = "Load-out list" if name == "load-out" else "Strike and return list"
    assert str(reader.metadata.title).startswith(f"{title}: Library centenary, ")
    fonts: Any = reader.pages[0]["/Resources"]["/Font"]  # type: ignore[index] # pypdf's objects
    inner = [font.get_object()["/DescendantFonts"][0].get_object() for font in fonts.values()]
    assert inner
    for each in inner:
        assert {"/FontFile2", "/FontFile3"} & each["/FontDescriptor"].get_object().keys()


@pytest.mark.parametrize("name", PAPERS)
def test_a_long_list_takes_several_pages_each_with_its_head_and_number(
    wickerlark: House, packed: Event, name: str
) -> None:
    with wickerlark.enter():
        lengthen(packed, 150)
    pages = pages_of(paper(wickerlark, packed, name))
    assert len(pages) > 3
    group, last = ("Load next", "Counted") if name == "load-out" else ("Unload next", "Used")
    for number, text in enumerate(pages, 1):
        assert f"{number} / {len(pages)}" in text
        if "Crate" in text:
            assert in_order(text, group, "What", last, "Crate")
    found = re.findall(r"Crate \d{3}", " ".join(pages))
    assert sorted(found) == [f"Crate {count:03}" for count in range(150)], "each once, none left out"


@pytest.mark.parametrize("name", PAPERS)
def test_long_names_and_any_script_stay_on_the_paper(wickerlark: House, packed: Event, name: str) -> None:
    with wickerlark.enter():
        line = LoadOutLine.objects.filter(event=packed, code="greenery")
        line.update(label="W" * 160, detail="m" * 200, shelf_place="Q" * 40, quantity=98765)
        LoadOutLine.objects.filter(event=packed, code="ring-6ft").update(label="Łuk Ольга さくら 김지우")
        Event.objects.filter(pk=packed.pk).update(title="Fest " + "x" * 115)
        Studio.objects.filter(pk=wickerlark.studio.pk).update(locale="pl_PL")
    content = paper(wickerlark, packed, name)
    text = words_on(content)
    for words in ("Łuk Ольга さくら 김지우", "98765"):
        assert words in text
    for letter, number in (("W", 160), ("m", 200), ("Q", 40)):
        assert sum(len(run) for run in re.findall(f"{letter}{{5,}}", text)) >= number - 8
    with pdfplumber.open(io.BytesIO(content)) as document:
        for page in document.pages:
            assert (round(page.width), round(page.height)) == (595, 842), (
                "A4 where the studio's country has it"
            )
            assert max(char["x1"] for char in page.chars) <= page.width - 30
            assert min(char["x0"] for char in page.chars) >= 30
            assert max(char["bottom"] for char in page.chars) <= page.height - 10


@pytest.mark.parametrize("name", PAPERS)
def test_it_takes_no_more_queries_with_more_lines_people_and_ticks(
    wickerlark: House, packed: Event, name: str
) -> None:
    browser, path = wickerlark.client("crew"), wickerlark.url("events:paper-make", packed.pk, name)
    counted_post(browser, path)
    with wickerlark.enter():
        Event.objects.update(notes="Other words are another paper.")
    few = counted_post(browser, path)
    with wickerlark.enter():
        lengthen(packed, 20)
        for role in ("owner", "staff"):
            number = Membership.objects.get(person=wickerlark.person(role)).pk
            for kind in (ShiftKind.INSTALL, ShiftKind.STRIKE):
                assigning.assign_person(packed.pk, kind, number, drives=True)
        lines = LoadOutLine.objects.filter(event=packed)
        ops: list[TickOp] = [said(line, 1) for line in lines]
        ticks.save_ticks(packed.pk, ops)
    assert counted_post(browser, path) == few
    assert few <= 19


def test_a_line_of_the_bill_that_the_shelf_does_not_know_is_on_both(wickerlark: House, packed: Event) -> None:
    with wickerlark.enter():
        agree(packed, key="v2", bill=(*SPARED, BillLine("easel", "Easel from the client", 1, "Sign")))
    for name in PAPERS:
        assert "1 Easel from the client" in words_on(paper(wickerlark, packed, name))
