"""Which items of other events are offered for a transfer."""

from __future__ import annotations

from datetime import timedelta

import pytest

from events.booking.enquiry import Wanted
from events.contacts import drives, venues
from events.jobs import calling_off, changes
from events.jobs.commitment import BillLine, CannotCommit
from events.models import Event
from events.transfers import changing, choices, transfers
from stock.models import AgreedTransfer
from studio import tenancy
from studio.tenancy.rights import Role
from tests.events.conftest import agree, stock_up
from tests.events.transfers.conftest import COVER, COVERS, RING, at, bakery, hall, shown
from tests.people import House


def test_a_refusal_names_the_event_that_the_item_could_be_transferred_from(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        bakery(COVERS)
        second = hall()
        with pytest.raises(CannotCommit) as refused:
            agree(second, bill=(COVER,))
        sentences = refused.value.messages
        assert sentences[0] == "Ring cover oat: 0 free of 1 needed."
        assert sentences[1].startswith("Ring cover oat could be transferred from Bakery birthday, there by ")
        assert shown(at(18), second) in sentences[1]
        assert len(sentences) == 2


def test_clients_hear_nothing_of_other_events(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        bakery(COVERS)
        second = hall()
    for role in (Role.CLIENT, Role.SYSTEM):
        acting = tenancy.entered(wickerlark.studio.pk, slug=wickerlark.studio.slug, role=role)
        with acting, pytest.raises(CannotCommit) as refused:
            agree(second, bill=(COVER,))
        assert refused.value.messages == ["Ring cover oat: 0 free of 1 needed."]


def test_an_item_that_arrives_too_late_is_neither_offered_nor_taken(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        far = venues.add_venue(name="Far barn", drive_minutes=300)
        first, second = bakery(COVER), hall(COVER, venue_id=far.pk)
        assert choices.find_choices(second) == []
        with pytest.raises(transfers.CannotTransfer, match="Bakery birthday would arrive only on"):
            changing.set_transfer(second.pk, giver_id=first.pk, code="cover-oat", quantity=1)
        near = venues.add_venue(name="Near barn", drive_minutes=300)
        drives.set_drive(far, near, 20)
        changes.change_details(
            first.pk,
            title=first.title,
            venue_id=near.pk,
            wanted=Wanted(),
            notes="",
            seen_version=Event.objects.get(pk=first.pk).version,
        )
        (choice,) = choices.find_choices(second)
        assert choice.arrives_at == at(17) + timedelta(minutes=20), "the drive between the two is what counts"


def test_an_item_that_arrives_after_the_crew_is_offered_as_late(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        far = venues.add_venue(name="Far barn", drive_minutes=120)
        first, second = bakery(COVER), hall(COVER, venue_id=far.pk)
        (choice,) = choices.find_choices(second)
        assert (choice.arrives_at, choice.is_late) == (at(17) + timedelta(minutes=150), True)
        changing.set_transfer(second.pk, giver_id=first.pk, code="cover-oat", quantity=1)
        assert transfers.find_event_transfers(second).incoming[0].is_late


def test_choices_are_what_the_other_event_releases_and_this_one_needs(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        first = bakery(COVER, RING, BillLine("greenery", "Greenery", 12), BillLine("latex-11-oat", "Oat", 20))
        second, asked = hall(COVER, BillLine("greenery", "Greenery", 5)), hall(title="Asked")
        offered = {choice.item.code: choice.most for choice in choices.find_choices(second)}
        assert offered == {"cover-oat": 1, "greenery": 5}
        assert {choice.item.code for choice in choices.find_choices(asked)} == {
            "cover-oat",
            "ring-6ft",
            "greenery",
        }
        changing.set_transfer(second.pk, giver_id=first.pk, code="greenery", quantity=3)
        (changed,) = [choice for choice in choices.find_choices(second) if choice.item.code == "greenery"]
        assert (changed.most, changed.now) == (5, 3)
        changing.set_transfer(second.pk, giver_id=first.pk, code="greenery", quantity=4)
        assert AgreedTransfer.objects.get().quantity == 4
        assert choices.find_choices(first) == [], "nothing goes back in time"


def test_restoring_an_event_names_the_transfer_that_would_help(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        first, second = bakery(COVER), hall(COVER)
        changing.set_transfer(second.pk, giver_id=first.pk, code="cover-oat", quantity=1)
        calling_off.call_off(second.pk)
        hall(COVER, title="Rival")
        with pytest.raises(CannotCommit, match="could be transferred from Bakery birthday"):
            calling_off.take_up_again(second.pk)
        changing.set_transfer(second.pk, giver_id=first.pk, code="cover-oat", quantity=1)
        calling_off.take_up_again(second.pk)
        assert AgreedTransfer.objects.get().quantity == 1
