"""Safety things go along by rule: beside the bill, from the shelf where it has them, asked for by height and house."""

from __future__ import annotations

from decimal import Decimal

import pytest

from events.booking.enquiry import Wanted
from events.contacts import venues
from events.jobs import changes, commitment
from events.loadout import load_list, returns
from events.models import Event, LoadOutLine, LoadPlace
from stock.catalogue.items import add_item
from stock.ledger import movements
from stock.models import Kind, MovementKind
from tests.events.conftest import BILL, WORK, agree, stock_up, take
from tests.people import House


def on_list(event: Event) -> dict[str, LoadOutLine]:
    codes = {line.code for line in BILL}
    return {
        state.line.code: state.line
        for state in load_list.find_load_out_list(event.pk).states
        if state.line.code not in codes
    }


ALWAYS = {"along-first-aid", "along-pump", "along-scissors", "along-tape"}
"""What goes along to balloons of whatever height."""


def test_a_first_aid_box_goes_along_to_every_event(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        listed = on_list(agreed)
    line = listed["along-first-aid"]
    assert set(listed) == ALWAYS
    assert (line.code, line.label, line.quantity, line.place) == (
        "along-first-aid", "First-aid box", 1, LoadPlace.LAST,
    )  # fmt: skip


def test_the_shelfs_own_is_named_with_its_place(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        add_item(kind=Kind.TOOL, name="First aid, green box", code="box-7", place="by the door")
        event = take()
        agree(event)
        line = on_list(event)["box-7"]
    assert (line.code, line.label, line.shelf_place) == ("box-7", "First aid, green box", "by the door")


def test_height_and_house_ask_for_more_whenever_they_are_known(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        hall = venues.add_venue(name="Hall", fire_rules="An extinguisher stands beside every fabric.")
        event = take(venue_id=hall.pk)
        agree(event)
        assert set(on_list(event)) == ALWAYS | {"along-extinguisher"}
        event.refresh_from_db()
        changes.change_details(
            event.pk, title=event.title, venue_id=hall.pk, notes="", seen_version=event.version,
            wanted=Wanted(width_m=None, height_m=Decimal("2.5"), ceiling_m=None),
        )  # fmt: skip
        assert set(on_list(event)) == ALWAYS | {"along-extinguisher", "along-ladder"}
        agree(event, key="quote-1-v2")
        assert set(on_list(event)) == ALWAYS | {"along-extinguisher", "along-ladder"}


def test_a_box_that_is_on_the_bill_is_there_once(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        box = add_item(kind=Kind.TOOL, name="First-aid box", code="first-aid-box")
        movements.write_movements([(box, MovementKind.OPENING, 2)])
        event = take()
        agree(event, bill=(*BILL, type(BILL[0])(box.code, box.name, 2, "Extra", "tools")))
        listed = on_list(event)
    assert listed["first-aid-box"].quantity == 2
    assert "along-first-aid" not in listed


def test_what_goes_along_comes_home_though_the_shelf_does_not_have_it(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        event = take()
        agree(event)
        home = {
            each.state.line.code: each.comes_back
            for each in returns.list_returns(load_list.find_load_out_list(event.pk))
        }
    assert home["along-first-aid"] is True
    assert home["latex-11-oat"] is False


@pytest.mark.parametrize(
    ("height_m", "climbed"),
    [
        ("1.8", set()),
        ("1.81", {"along-step-stool"}),
        ("2.2", {"along-step-stool"}),
        ("2.21", {"along-ladder"}),
    ],
)
def test_the_height_that_was_agreed_decides_on_stool_and_ladder(
    wickerlark: House, height_m: str, climbed: set[str]
) -> None:
    """Whatever height was wished for."""
    with wickerlark.enter():
        stock_up()
        event = take(wanted=Wanted(width_m=None, height_m=Decimal(4), ceiling_m=None))
        commitment.commit(event.pk, bill=BILL, work=WORK, key="quote-1-v1", height_m=Decimal(height_m))
        assert set(on_list(event)) == ALWAYS | climbed


def test_the_shelfs_own_pump_goes_along_whatever_it_is_called(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        add_item(kind=Kind.TOOL, name="Electric inflator", code="blower-2", place="shelf J1")
        event = take()
        agree(event)
        line = on_list(event)["blower-2"]
        assert (line.label, line.shelf_place) == ("Electric inflator", "shelf J1")
        add_item(kind=Kind.TOOL, name="Hand pump", code="hand-pump")
        agree(event, key="quote-1-v2")
        assert "hand-pump" in on_list(event), "it needs no power on site"
        assert "blower-2" not in on_list(event)


def test_no_balloons_need_no_pump(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        event = take()
        agree(event, bill=BILL[2:4])
        assert {code for code in on_list(event) if code.startswith("along-")} == {"along-first-aid"}
