"""Designs, the list of quotes, starting one, and the rates."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from events.booking import event_sections
from events.calendar import agenda
from quoting.craft.design.design_file import read_design
from quoting.design_library import library
from quoting.models import DesignTemplate, Quote, QuoteState, Rates
from quoting.offers import offering
from quoting.pricing import rates as rating
from quoting.quotes import sheet
from studio.measures.times import Window
from studio.models import Studio
from tests.people import House
from tests.quoting import scenes
from tests.quoting.quote_page.test_quote_page import MOST_QUERIES, counted

D = Decimal


def template(house: House) -> DesignTemplate:
    with house.enter():
        return scenes.starter(house.studio)


def test_an_empty_page_teaches_and_brings_in_the_starters(wickerlark: House) -> None:
    client = wickerlark.client("staff")
    assert "No designs yet" in client.get(wickerlark.url("quoting:designs")).content.decode()
    client.post(wickerlark.url("quoting:starters-add"))
    html = client.get(wickerlark.url("quoting:designs")).content.decode()
    with wickerlark.enter():
        names = [design.name for design in library.templates()]
    assert len(names) == len(list(library.STARTERS.glob("*.json")))
    assert all(name in html for name in names)
    assert html.count("picture.svg") == len(names)


def test_starters_that_are_added_on_the_way_to_a_quote_lead_back_to_it(wickerlark: House) -> None:
    with wickerlark.enter():
        event = scenes.event()
    answer = wickerlark.client().post(wickerlark.url("quoting:starters-add"), {"event": event.pk})
    assert answer["Location"] == wickerlark.url("quoting:quote-start", event.pk)
    for odd in ("x", "9" * 4000, "٣"):
        answer = wickerlark.client().post(wickerlark.url("quoting:starters-add"), {"event": odd})
        assert answer["Location"] == wickerlark.url("quoting:designs")


def test_a_picture_is_an_image_of_its_own_with_its_description_in_the_studio_s_units(
    wickerlark: House,
) -> None:
    design = template(wickerlark)
    answer = wickerlark.client().get(wickerlark.url("quoting:design-picture", design.pk))
    assert answer["Content-Type"] == "image/svg+xml"
    assert answer["Cache-Control"].startswith("private")
    drawn = answer.content.decode()
    assert "ft" in re.search(r'aria-label="([^"]*)"', drawn)[1]  # type: ignore[index] # it matches, or the test fails
    assert "<script" not in drawn
    assert "style=" not in drawn


def test_another_studio_s_design_is_not_found(wickerlark: House, federkorn: House) -> None:
    design = template(wickerlark)
    client = federkorn.client()
    assert client.get(federkorn.url("quoting:design-picture", design.pk)).status_code == 404
    for name in ("design-retire", "design-restore"):
        assert client.post(federkorn.url(f"quoting:{name}", design.pk)).status_code == 404


def test_a_design_is_retired_and_brought_back(wickerlark: House) -> None:
    design = template(wickerlark)
    client = wickerlark.client()
    page = wickerlark.url("quoting:designs")
    told = client.post(wickerlark.url("quoting:design-retire", design.pk), follow=True).content.decode()
    assert f"{design.name} was retired." in told
    assert wickerlark.url("quoting:design-restore", design.pk) in told, "the notice brings it back"
    assert "picture.svg" not in client.get(page).content.decode()
    client.post(wickerlark.url("quoting:design-restore", design.pk))
    assert "picture.svg" in client.get(page).content.decode()


def test_a_design_whose_name_was_taken_meanwhile_stays_retired(wickerlark: House) -> None:
    design = template(wickerlark)
    with wickerlark.enter():
        library.retire(design.pk)
        library.keep_design(read_design(design.design), wickerlark.studio)
    answer = wickerlark.client().post(wickerlark.url("quoting:design-restore", design.pk), follow=True)
    assert "has that name now" in answer.content.decode()
    with wickerlark.enter():
        assert DesignTemplate.objects.filter(retired_at=None).count() == 1


def test_a_quote_is_started_from_the_event(wickerlark: House) -> None:
    design = template(wickerlark)
    with wickerlark.enter():
        event = scenes.event(width_m=D("2.8"), height_m=D("2.3"))
    client, address = wickerlark.client("staff"), wickerlark.url("quoting:quote-start", event.pk)
    assert "asked for 9 ft 2¼ in wide" in client.get(address).content.decode()
    answer = client.post(address, {"template": str(design.pk)})
    with wickerlark.enter():
        made = Quote.objects.get()
    assert answer["Location"] == wickerlark.url("quoting:quote", made.pk)


def test_a_name_that_is_taken_is_refused(wickerlark: House) -> None:
    with wickerlark.enter():
        design = scenes.starter(wickerlark.studio)
        with pytest.raises(ValidationError, match="Another design is called"):
            library.keep_design(
                replace(read_design(design.design), name=design.name.upper()), wickerlark.studio
            )


@pytest.mark.parametrize("junk", ["", "abc", "0", "987654", "9" * 40])
def test_a_design_that_is_not_there_starts_nothing(junk: str, wickerlark: House) -> None:
    with wickerlark.enter():
        event = scenes.event()
    answer = wickerlark.client().post(wickerlark.url("quoting:quote-start", event.pk), {"template": junk})
    assert answer.status_code == 404
    with wickerlark.enter():
        assert not Quote.objects.exists()


def test_no_quote_is_started_for_another_studio_s_event(wickerlark: House, federkorn: House) -> None:
    with wickerlark.enter():
        event = scenes.event()
    assert federkorn.client().get(federkorn.url("quoting:quote-start", event.pk)).status_code == 404


def test_the_list_says_what_waits_for_whom_and_hides_what_is_done(wickerlark: House) -> None:
    with wickerlark.enter():
        waiting, agreed = scenes.quote(wickerlark), scenes.quote(wickerlark, title="Bakery opening")
        scenes.set_state(agreed, QuoteState.AGREED)
    client, address = wickerlark.client("staff"), wickerlark.url("quoting:quotes")
    html = client.get(address).content.decode()
    assert "Library centenary" in html
    assert "not offered yet" in html
    assert f"${waiting.priced_total:,.2f}" in html
    assert "Bakery opening" not in html
    assert "Bakery opening" in client.get(address, {"show": "all"}).content.decode()


def test_lists_ask_the_database_as_often_with_more_rows(wickerlark: House) -> None:
    with wickerlark.enter():
        scenes.quote(wickerlark)
    client = wickerlark.client()
    addresses = [wickerlark.url(f"quoting:{name}") for name in ("quotes", "designs")]
    few = [counted(client, address) for address in addresses]
    with wickerlark.enter():
        for number in range(4):
            scenes.quote(wickerlark, title=f"Event {number}")
            starter = read_design(scenes.starter(wickerlark.studio).design)
            library.keep_design(replace(starter, name=f"Design {number}"), wickerlark.studio)
    assert [counted(client, address) for address in addresses] == few
    assert max(few) <= MOST_QUERIES


@pytest.mark.parametrize(("role", "shown"), [("owner", True), ("staff", True), ("crew", False)])
def test_an_event_s_page_lists_its_quotes_for_those_who_see_prices(
    role: str, shown: bool, wickerlark: House
) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
    with wickerlark.enter(role):
        rows = [
            row
            for section in event_sections.sections(quote.event)
            for row in section.rows
            if section.title == "Quotes"
        ]
    assert [row.title for row in rows] == (["Library centenary"] if shown else [])


def test_an_offer_about_to_lapse_is_due_for_those_who_see_prices(wickerlark: House) -> None:
    with wickerlark.enter():
        made = offering.offer(scenes.quote(wickerlark)).offer
        lapses = made.expires_at
    week = Window(lapses - timedelta(days=3), lapses + timedelta(days=4))
    later = Window(lapses + timedelta(minutes=1), lapses + timedelta(days=7))
    with wickerlark.enter("staff"):
        (item,) = [item for item in agenda.due(week) if item.what == "Offer lapses"]
        assert (item.about, item.at) == ("Library centenary", lapses)
        assert item.address == wickerlark.url("quoting:offer", made.pk)
        assert not [item for item in agenda.due(later) if item.what == "Offer lapses"]
    with wickerlark.enter("crew"):
        assert not [item for item in agenda.due(week) if item.what == "Offer lapses"]


def test_rates_are_the_owner_s(wickerlark: House) -> None:
    address = wickerlark.url("quoting:rates")
    assert wickerlark.client("staff").get(address).status_code == 403
    assert wickerlark.client("crew").post(address).status_code == 403
    assert wickerlark.client().get(address).status_code == 200


RATES = {
    "prep_hour": "20", "install_hour": "$25.00", "strike_hour": "22", "drive_hour": "18", "minimum_call_hours": "2",
    "van_distance": "0.7", "distance_unit": "mile", "van_hour": "0", "overhead_percent": "12", "markup_percent": "80",
    "loss_percent": "8", "service_percent": "95", "latex_by": "bag", "frame_care": "1.50",
    "cover_care": "6",
    "print_m2": "45",
    "price_by": "markup", "margin_percent": "40", "rush_percent": "20", "minimum_order": "0",
    "margin_floor_percent": "25",
}  # fmt: skip


def test_kept_rates_price_the_next_sketch(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
    answer = wickerlark.client().post(wickerlark.url("quoting:rates"), RATES)
    assert answer.status_code == 302
    with wickerlark.enter():
        kept = Rates.objects.get()
        tape = sheet.read_sheet(quote, wickerlark.studio).tape
    assert (kept.install_hour, kept.latex_by, kept.service_percent) == (D(25), "bag", D(95))
    assert [line.key for line in tape.lines if line.part == "hands"] == ["hands"]
    assert wickerlark.client().post(wickerlark.url("quoting:rates"), RATES).status_code == 302, (
        "kept twice, one row"
    )


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("prep_hour", "-1"),
        ("prep_hour", "many"),
        ("overhead_percent", "900"),
        ("loss_percent", "51"),
        ("service_percent", "49.9"),
        ("service_percent", "100"),
        ("latex_by", "kg"),
    ],
)
def test_wrong_rates_are_refused_at_the_field(field: str, typed: str, wickerlark: House) -> None:
    answer = wickerlark.client().post(wickerlark.url("quoting:rates"), RATES | {field: typed})
    assert answer.status_code == 422
    with wickerlark.enter():
        assert not Rates.objects.exists()


def test_placeholders_suit_units_and_currency(wickerlark: House) -> None:
    with wickerlark.enter():
        assert rating.rates_of(wickerlark.studio).distance_unit == "mile"
        yen = Studio(units="metric", currency="JPY")
        rates = rating.rates_of(yen)
    assert (rates.distance_unit, rates.prep_hour) == ("km", D(1800))


def test_a_design_is_added_to_a_quote_from_the_designs_page(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        design = scenes.starter(wickerlark.studio)
    client = wickerlark.client()
    html = client.get(wickerlark.url("quoting:designs"), {"for": str(quote.pk)}).content.decode()
    address = wickerlark.url("quoting:quote-add-piece", quote.pk, design.pk)
    assert address in html
    assert client.post(address, {"version": "1"}).status_code == 302
    with wickerlark.enter():
        assert quote.pieces.count() == 2


@pytest.mark.parametrize(
    ("typed", "words"), [(" \x00 ", "Enter a name"), ("n" * (library.LONGEST_NAME + 1), "Use at most")]
)
def test_a_name_that_is_none_or_too_long_is_refused_at_the_name(typed: str, words: str) -> None:
    with pytest.raises(ValidationError, match=words) as refused:
        library.clean_name(typed)
    assert set(refused.value.message_dict) == {"name"}
    assert library.clean_name("  Two \n arches ") == "Two arches"
