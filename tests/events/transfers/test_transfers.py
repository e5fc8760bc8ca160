"""Pieces that come straight from another event: chosen, promised, said everywhere, undone or refused aloud."""

from __future__ import annotations

from contextlib import AbstractContextManager
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction
from django.http import Http404
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from events.booking import stages
from events.booking.enquiry import Wanted
from events.booking.event_times import EventWindows, windows_of
from events.contacts import drives, venues
from events.jobs import calling_off, changes, commitment
from events.jobs.commitment import BillLine, CannotCommit
from events.loadout import load_list, loadout_json, returns, ticks
from events.models import ComesStraight, Event, Stage, TickKind, Van
from events.planner import span
from events.schedule import run_sheet
from events.transfers import transfers
from stock.catalogue.items import Material
from stock.holds import holds
from stock.models import HandedOn, HoldLine
from studio import tenancy
from studio.measures.times import Window
from studio.tenancy.rights import Role
from tests.events.conftest import agree, days_ahead, said, said_by, stock_up, take
from tests.people import House

COVER = BillLine("cover-oat", "Ring cover oat", 1, "Ring", "covers")
COVERS = BillLine("cover-oat", "Ring cover oat", 2, "Ring", "covers")
RING = BillLine("ring-6ft", "Ring 6 ft", 1, "Ring", "frames")


def at(hour: int) -> datetime:
    return days_ahead(10, hour)


def bakery(*bill: BillLine, **more: Any) -> Event:
    """Ready by 10:00, out by 17:00, home at 18:30."""
    event = take("Bakery birthday", ready_by=at(10), **more)
    agree(event, key=f"bakery-{event.pk}", bill=bill)
    event.refresh_from_db()
    return event


def hall(*bill: BillLine, title: str = "Harbour hall", **more: Any) -> Event:
    """Access from 18:00, ready by 22:00; loaded from 16:30 on. Agreed where there is a bill."""
    event = take(
        title, ready_by=at(22), client_email=f"{title.split(maxsplit=1)[0].lower()}@hall.example", **more
    )
    if bill:
        agree(event, key=f"hall-{event.pk}", bill=bill)
        event.refresh_from_db()
    return event


def as_client(house: House) -> AbstractContextManager[tenancy.Tenant]:
    """Whoever holds a link to an offer."""
    return tenancy.entered(house.studio.pk, slug=house.studio.slug, role=Role.CLIENT, person_id=None)


def shown(moment: datetime, event: Event) -> str:
    """A moment as clocks at the event show it."""
    return f"{moment.astimezone(event.tz):%H:%M}"


def log_of(event: Event) -> str:
    return " ".join(event.log.values_list("text", flat=True))


@pytest.fixture
def both(wickerlark: House) -> tuple[Event, Event]:
    """A bakery and a hall have one of the two covers each; the bakery's goes straight on to the hall."""
    with wickerlark.enter():
        stock_up()
        first, second = bakery(COVER), hall(COVER)
        transfers.choose(second.pk, giver_id=first.pk, code="cover-oat", quantity=1)
        return first, second


def test_whoever_is_refused_hears_from_where_it_could_come_straight(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        bakery(COVERS)
        second = hall()
        with pytest.raises(CannotCommit) as refused:
            agree(second, bill=(COVER,))
        told_so = refused.value.messages
        assert told_so[0] == "Ring cover oat: 0 free of 1 needed."
        assert told_so[1].startswith("Ring cover oat could come straight from Bakery birthday, there by ")
        assert shown(at(18), second) in told_so[1]
        assert len(told_so) == 2


def test_no_client_nor_the_studio_in_its_stead_hears_of_other_events(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        bakery(COVERS)
        second = hall()
    for role in (Role.CLIENT, Role.SYSTEM):
        acting = tenancy.entered(wickerlark.studio.pk, slug=wickerlark.studio.slug, role=role)
        with acting, pytest.raises(CannotCommit) as refused:
            agree(second, bill=(COVER,))
        assert refused.value.messages == ["Ring cover oat: 0 free of 1 needed."]


def test_what_is_wished_for_is_promised_with_the_agreement(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        first, second = bakery(COVERS), hall()
        transfers.choose(second.pk, giver_id=first.pk, code="cover-oat", quantity=1)
        assert not HandedOn.objects.exists(), "before it is agreed nothing is promised"
        (wish,) = transfers.straights_of(second, wished=transfers.wishes(second)).wished
        assert (wish.words, wish.giver) == ("1 × Ring cover oat", "Bakery birthday")
    with as_client(wickerlark):
        agree(second, bill=(COVER,))
    with wickerlark.enter():
        second.refresh_from_db()
        (comes,) = transfers.straights_of(second).comes
        assert (comes.words, comes.other, comes.there_at) == ("1 × Ring cover oat", first, at(18))
        assert not ComesStraight.objects.exists()
        assert "1 × Ring cover oat comes straight from Bakery birthday." in log_of(second)
        assert "1 × Ring cover oat goes straight on to Harbour hall." in log_of(first)


def test_a_wish_that_no_longer_holds_is_refused_with_the_agreement(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        first, second = bakery(COVERS), hall()
        transfers.choose(second.pk, giver_id=first.pk, code="cover-oat", quantity=1)
        calling_off.call_off(first.pk)
        with pytest.raises(
            CannotCommit, match="was to come straight from Bakery birthday, which holds nothing"
        ):
            agree(second, bill=(COVER,))
        transfers.drop_wish(second.pk, ComesStraight.objects.get().pk)
        agree(second, bill=(COVER,))


def test_a_wish_for_what_is_not_in_the_bill_asks_for_nothing(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        first, second = bakery(COVERS), hall()
        transfers.choose(second.pk, giver_id=first.pk, code="cover-oat", quantity=1)
        agree(second, bill=(RING,))
        assert not HandedOn.objects.exists()


def test_what_is_wished_for_a_pencil_is_promised_when_it_is_made_firm(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        first, second = bakery(COVER), hall()
        until = timezone.now() + timedelta(days=2)
        commitment.keep(second.pk, bill=(COVER,), key="deposit", until=until)
        transfers.choose(second.pk, giver_id=first.pk, code="cover-oat", quantity=1)
        assert not HandedOn.objects.exists()
        agree(second, bill=(COVER,))
        second.refresh_from_db()
        assert second.hold is not None
        assert second.hold.state == "held"
        assert HandedOn.objects.get().taker_id == second.hold_id


def test_between_agreed_events_it_is_promised_at_once_and_said_on_both(
    both: tuple[Event, Event], wickerlark: House
) -> None:
    first, second = both
    with wickerlark.enter():
        (comes,) = transfers.straights_of(second).comes
        (goes,) = transfers.straights_of(first).goes
        assert (goes.other, goes.link) == (second, comes.link)
        assert comes.link.at == first.out_by
        assert (comes.there_at, comes.is_late, comes.is_too_late) == (at(18), False, False)
        rival = hall(COVER, title="Rival")
        assert rival.hold_id, "the other cover is free for another event now"


def test_undone_it_goes_by_way_of_the_studio_or_says_why_not(
    both: tuple[Event, Event], wickerlark: House
) -> None:
    first, second = both
    with wickerlark.enter():
        link = HandedOn.objects.get()
        rival = hall(COVER, title="Rival")
        with pytest.raises(
            transfers.CannotComeStraight, match="can’t go home from Bakery birthday in time for Harbour"
        ):
            transfers.drop(second.pk, link.pk)
        calling_off.call_off(rival.pk)
        transfers.drop(second.pk, link.pk)
        transfers.drop(second.pk, link.pk)
        assert not HandedOn.objects.exists()
        assert "comes by way of the studio after all" in log_of(second)
        assert "comes home, and doesn’t go straight on to Harbour hall" in log_of(first)


def test_what_is_not_cleaned_on_the_way_comes_only_knowingly(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        first, second, third = bakery(RING), hall(RING), hall(title="Third")
        for event in (second, third):
            with pytest.raises(transfers.CannotComeStraight) as refused:
                transfers.choose(event.pk, giver_id=first.pk, code="ring-6ft", quantity=1)
            assert refused.value.message_dict == {
                "unwashed": ["Ring 6 ft isn’t cleaned on the way. Say that it may come so."]
            }
        transfers.choose(second.pk, giver_id=first.pk, code="ring-6ft", quantity=1, unwashed=True)


def test_what_would_be_there_too_late_is_neither_offered_nor_taken(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        far = venues.add_venue(name="Far barn", drive_minutes=300)
        first, second = bakery(COVER), hall(COVER, venue_id=far.pk)
        assert transfers.choices(second) == []
        with pytest.raises(transfers.CannotComeStraight, match="Bakery birthday would be there only at"):
            transfers.choose(second.pk, giver_id=first.pk, code="cover-oat", quantity=1)
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
        (choice,) = transfers.choices(second)
        assert choice.there_at == at(17) + timedelta(minutes=20), "the drive between the two is what counts"


def test_what_comes_after_the_crew_is_offered_and_said_to_be_late(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        far = venues.add_venue(name="Far barn", drive_minutes=120)
        first, second = bakery(COVER), hall(COVER, venue_id=far.pk)
        (choice,) = transfers.choices(second)
        assert (choice.there_at, choice.is_late) == (at(17) + timedelta(minutes=150), True)
        transfers.choose(second.pk, giver_id=first.pk, code="cover-oat", quantity=1)
        assert transfers.straights_of(second).comes[0].is_late


def test_choices_are_what_the_other_can_let_go_and_this_one_needs(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        first = bakery(COVER, RING, BillLine("greenery", "Greenery", 12), BillLine("latex-11-oat", "Oat", 20))
        second, asked = hall(COVER, BillLine("greenery", "Greenery", 5)), hall(title="Asked")
        offered = {choice.item.code: choice.most for choice in transfers.choices(second)}
        assert offered == {"cover-oat": 1, "greenery": 5}
        assert {choice.item.code for choice in transfers.choices(asked)} == {
            "cover-oat",
            "ring-6ft",
            "greenery",
        }
        transfers.choose(second.pk, giver_id=first.pk, code="greenery", quantity=3)
        (changed,) = [choice for choice in transfers.choices(second) if choice.item.code == "greenery"]
        assert (changed.most, changed.now) == (5, 3)
        transfers.choose(second.pk, giver_id=first.pk, code="greenery", quantity=4)
        assert HandedOn.objects.get().quantity == 4
        assert transfers.choices(first) == [], "nothing goes back in time"


@pytest.mark.parametrize(
    ("code", "quantity", "field"),
    [
        ("cover-oat", 2, "quantity"),
        ("nothing", 1, "which"),
        ("latex-11-oat", 1, "quantity"),
        ("cover-oat", 0, "quantity"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(
    wickerlark: House, code: str, quantity: int, field: str
) -> None:
    with wickerlark.enter():
        stock_up()
        latex = BillLine("latex-11-oat", "Oat 11 in", 10)
        first, second = bakery(COVER, latex), hall(COVER, latex)
        with pytest.raises(transfers.CannotComeStraight) as refused:
            transfers.choose(second.pk, giver_id=first.pk, code=code, quantity=quantity)
        assert set(refused.value.message_dict) == {field}
        asked = hall(title="Asked")
        with pytest.raises(transfers.CannotComeStraight):
            transfers.choose(asked.pk, giver_id=first.pk, code=code, quantity=quantity)


def test_events_that_are_over_off_or_loaded_neither_give_nor_take(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        first, second = bakery(COVER), hall(COVER)
        asked = hall(title="Asked")
        with pytest.raises(transfers.CannotComeStraight, match="isn’t agreed"):
            transfers.choose(second.pk, giver_id=asked.pk, code="cover-oat", quantity=1)
        with pytest.raises(transfers.CannotComeStraight, match="the same event"):
            transfers.choose(second.pk, giver_id=second.pk, code="cover-oat", quantity=1)
        with pytest.raises(Http404):
            transfers.choose(second.pk, giver_id=10**9, code="cover-oat", quantity=1)
        transfers.choose(second.pk, giver_id=first.pk, code="cover-oat", quantity=1)
        stages.reach(second.pk, Stage.PREPARED)
        with pytest.raises(transfers.CannotComeStraight, match="loaded already"):
            transfers.choose(second.pk, giver_id=first.pk, code="cover-oat", quantity=1)
        with pytest.raises(transfers.CannotComeStraight, match="loaded already"):
            transfers.drop(second.pk, HandedOn.objects.get().pk)


def test_a_moved_first_event_takes_the_moment_along_or_is_refused(
    both: tuple[Event, Event], wickerlark: House
) -> None:
    first, second = both
    with wickerlark.enter():
        moved(first, hours=1)
        (comes,) = transfers.straights_of(second).comes
        assert (comes.link.at, comes.there_at, comes.is_late) == (at(18), at(19), True)
        with pytest.raises(changes.CannotMove, match="would be at Harbour hall only at") as refused:
            moved(first, hours=3)
        assert "by way of the studio first" in refused.value.messages[0]
        assert HandedOn.objects.get().at == at(18), "everything stays as it was"
        with pytest.raises(changes.CannotMove):
            moved(first, hours=24)


def test_a_moved_second_event_is_refused_where_the_pieces_come_too_late(
    both: tuple[Event, Event], wickerlark: House
) -> None:
    _, second = both
    with wickerlark.enter():
        moved(second, hours=1)
        with pytest.raises(changes.CannotMove, match="would be at Harbour hall only at"):
            moved(second, hours=-6)
        with pytest.raises(changes.CannotMove):
            moved(second, hours=-24)


def moved(event: Event, *, hours: int) -> Event:
    now = Event.objects.get(pk=event.pk)
    by = timedelta(hours=hours)
    was = windows_of(now)
    then = EventWindows(was.access_from + by, was.ready_by + by, None, was.strike_from + by, was.out_by + by)
    return changes.move(event.pk, then, seen_version=now.version)


@pytest.mark.parametrize("which", [0, 1])
def test_called_off_either_sends_the_pieces_by_way_of_the_studio(
    both: tuple[Event, Event], wickerlark: House, which: int
) -> None:
    with wickerlark.enter():
        calling_off.call_off(both[which].pk)
        assert not HandedOn.objects.exists()
        assert f"{both[which].title} is called off: 1 × Ring cover oat by way of the studio now." in log_of(
            both[1 - which]
        )
        still = Event.objects.get(pk=both[1 - which].pk)
        (line,) = HoldLine.objects.filter(hold=still.hold, standing=True)
        assert (line.busy_from, line.busy_until) == (still.load_out_at, still.back_at)


def test_an_event_that_another_waits_for_is_not_called_off_over_its_head(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        first, second = bakery(COVERS), hall()
        transfers.choose(second.pk, giver_id=first.pk, code="cover-oat", quantity=2)
        agree(second, bill=(COVERS,))
        hold_id = Event.objects.values_list("hold_id", flat=True).get(pk=second.pk)
        assert hold_id
        # The hall's van is loaded the day before, when the covers are lent out still: it has them only from the bakery.
        lent = Window(first.load_out_at - timedelta(hours=12), first.load_out_at)
        holds.hold(label="Lent out", window=lent, needs=[Material("cover-oat", 2)], key="lent")
        holds.change(hold_id, window=Window(lent.start, second.back_at), key="loaded early")
        with pytest.raises(calling_off.CannotCallOff, match="in time for Harbour hall"):
            calling_off.call_off(first.pk)
        assert Event.objects.get(pk=first.pk).is_agreed
    page = wickerlark.client().post(wickerlark.url("events:event-call-off", first.pk), follow=True)
    assert "This event can’t be called off yet." in page.content.decode()


def test_taken_up_again_it_hears_from_where_its_pieces_could_come(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        first, second = bakery(COVER), hall(COVER)
        transfers.choose(second.pk, giver_id=first.pk, code="cover-oat", quantity=1)
        calling_off.call_off(second.pk)
        hall(COVER, title="Rival")
        with pytest.raises(CannotCommit, match="could come straight from Bakery birthday"):
            calling_off.take_up_again(second.pk)
        transfers.choose(second.pk, giver_id=first.pk, code="cover-oat", quantity=1)
        calling_off.take_up_again(second.pk)
        assert HandedOn.objects.get().quantity == 1


# --- Lists and run sheets ---------------------------------------------------------------------------------------


@pytest.fixture
def on_lists(wickerlark: House) -> tuple[Event, Event]:
    """The bakery has two covers and a ring; one cover goes straight on to the hall, which has nothing else."""
    with wickerlark.enter():
        stock_up()
        first, second = bakery(COVERS, RING), hall()
        transfers.choose(second.pk, giver_id=first.pk, code="cover-oat", quantity=1)
        agree(second, bill=(COVER,))
        second.refresh_from_db()
        return first, second


def test_fewer_are_expected_back_where_some_go_on_and_none_is_looked_for_on_the_shelf(
    wickerlark: House, on_lists: tuple[Event, Event]
) -> None:
    first, second = on_lists
    with wickerlark.enter("crew"):
        lists = [load_list.load_out_list(event.pk) for event in on_lists]
        ours, theirs = ({state.line.code: state for state in each.states} for each in lists)
        assert (ours["cover-oat"].went_out, ours["cover-oat"].due_back, ours["cover-oat"].from_shelf) == (
            2,
            1,
            2,
        )
        assert (ours["ring-6ft"].went_out, ours["ring-6ft"].due_back) == (1, 1)
        assert (theirs["cover-oat"].from_shelf, theirs["cover-oat"].due_back) == (0, 1)
        for_phones = loadout_json.shown(lists[0])["lines"]
        assert isinstance(for_phones, dict)
        assert for_phones[str(ours["cover-oat"].line.pk)]["out"] == 1
    with wickerlark.enter():
        before = [loadout_json.revision(each) for each in lists]
        calling_off.call_off(second.pk)
        after = loadout_json.revision(load_list.load_out_list(first.pk))
        assert after != before[0], "phones fetch the list anew"


def test_what_went_on_is_counted_back_where_it_went(wickerlark: House, on_lists: tuple[Event, Event]) -> None:
    first, second = on_lists
    with wickerlark.enter():
        for event, back in ((first, {"cover-oat": 1, "ring-6ft": 1}), (second, {"cover-oat": 1})):
            stages.reach(event.pk, Stage.PREPARED)
            lines = list(event.load_out.filter(code__in=back, dropped=False))
            short = [said(line, back[line.code] - 1, TickKind.BACK) for line in lines]
            rest = [said(line, 1, TickKind.BACK) for line in event.load_out.exclude(code__in=back)]
            ticks.tick(event.pk, short + rest)
            with pytest.raises(returns.CannotCountBack, match="Ring cover oat: 0 of 1 accounted for"):
                returns.count_back(event.pk)
            ticks.tick(event.pk, [said(line, back[line.code], TickKind.BACK) for line in lines])
            counted = returns.count_back(event.pk)
            assert counted.losses == (), "what went on isn't missing"
        assert not HoldLine.objects.filter(standing=True).exists()


def test_run_sheets_and_lists_on_paper_say_it(wickerlark: House, on_lists: tuple[Event, Event]) -> None:
    first, second = on_lists
    with wickerlark.enter("crew"):
        ours, theirs = (
            {line.what: line for line in run_sheet.run_sheet(event, wickerlark.studio).lines}
            for event in on_lists
        )
    assert ours["1 × Ring cover oat goes on to Harbour hall"].at == first.strike_from
    assert ours["1 × Ring cover oat goes on to Harbour hall"].detail.startswith("Leave it in the van; there")
    assert theirs["Directly from Bakery birthday: 1 × Ring cover oat"].at == at(18)
    crew = wickerlark.client("crew")
    for event, name, words in (
        (second, "load-out", "<strong>comes directly from Bakery birthday</strong>, there by"),
        (first, "load-out", "1 going on to Harbour hall"),
        (second, "load-out-paper", "1 directly from Bakery birthday, there by"),
        (first, "load-out-paper", "1 going on to Harbour hall"),
        (first, "return-list-paper", "1 going on to Harbour hall: leave in the van"),
        (second, "return-list-paper", "1 came directly from Bakery birthday"),
        (first, "count-back", "<strong>1 going on to Harbour hall</strong>: leave in the van"),
        (second, "count-back", "1 came directly from Bakery birthday"),
        (first, "run-sheet", "goes on to Harbour hall"),
        (second, "run-sheet", "Directly from Bakery birthday"),
        (first, "event", "Goes on to"),
        (second, "event", "Comes directly from"),
    ):
        assert words in said_by(crew.get(wickerlark.url(f"events:{name}", event.pk))), (name, words)
    assert "shelf F" not in crew.get(wickerlark.url("events:load-out", second.pk)).content.decode()


def test_who_plans_a_weekend_is_told_that_the_second_waits_for_the_first(
    wickerlark: House, both: tuple[Event, Event]
) -> None:
    first, second = both
    with wickerlark.enter():
        Van.objects.create(name="Van 1", seats=2)
        day = first.ready_by.astimezone(wickerlark.studio.tz).date()
        found = span.of(day, day + timedelta(days=1), wickerlark.studio).problem.rounds
        told_so = [(each.first, each.then) for each in found if each.brings_pieces]
        assert told_so == [(f"{first.pk}-strike", f"{second.pk}-install")]
        transfers.drop(second.pk, HandedOn.objects.get().pk)
        found = span.of(day, day + timedelta(days=1), wickerlark.studio).problem.rounds
        assert not any(each.brings_pieces for each in found)


def test_lists_take_no_more_queries_with_more_pieces_and_events(wickerlark: House) -> None:
    def counted(event: Event, name: str) -> int:
        with CaptureQueriesContext(connection) as queries:
            assert browser.get(wickerlark.url(f"events:{name}", event.pk)).status_code == 200
        return sum("SAVEPOINT" not in query["sql"] for query in queries.captured_queries)

    names = ("event", "straight", "load-out", "count-back", "run-sheet")
    browser = wickerlark.client()
    with wickerlark.enter():
        stock_up()
        square, quay = venues.add_venue(name="Square"), venues.add_venue(name="Quay")
        first = bakery(COVERS, RING, BillLine("greenery", "Greenery", 30), venue_id=square.pk)
        second = hall(BillLine("greenery", "Greenery", 2), venue_id=quay.pk)
        transfers.choose(second.pk, giver_id=first.pk, code="greenery", quantity=1)
    few = [[counted(event, name) for name in names] for event in (first, second)]
    few = [[counted(event, name) for name in names] for event in (first, second)]
    with wickerlark.enter():
        transfers.choose(second.pk, giver_id=first.pk, code="greenery", quantity=2)
        for number in range(4):
            place = venues.add_venue(name=f"Barn {number}")
            other = hall(BillLine("greenery", "Greenery", 1), title=f"{number} hall", venue_id=place.pk)
            transfers.choose(other.pk, giver_id=first.pk, code="greenery", quantity=1)
    assert [[counted(event, name) for name in names] for event in (first, second)] == few


# --- The page ---------------------------------------------------------------------------------------------------


def test_it_is_chosen_and_undone_on_pages(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        first, second = bakery(RING), hall(RING)
    browser, path = wickerlark.client("staff"), wickerlark.url("events:straight", second.pk)
    assert "Ring 6 ft from Bakery birthday: up to 1, there by" in browser.get(path).content.decode()
    typed = {"which": f"{first.pk}:ring-6ft", "quantity": "1"}
    refused = browser.post(path, typed)
    more = browser.post(path, {**typed, "quantity": "2"})
    assert "Up to 1 × Ring 6 ft can come straight from Bakery birthday." in more.content.decode()
    assert refused.status_code == 422
    assert "isn’t cleaned on the way" in refused.content.decode()
    assert "selected" in refused.content.decode(), "what was chosen stays"
    assert browser.post(path, {**typed, "unwashed": "on"}).status_code == 302
    page = browser.get(wickerlark.url("events:event", second.pk)).content.decode()
    assert "Comes directly from" in page
    with wickerlark.enter():
        link = HandedOn.objects.get()
    undo = wickerlark.url("events:not-straight", second.pk, link.pk)
    assert "By way of the studio, then." in browser.post(undo, follow=True).content.decode()
    with wickerlark.enter():
        assert not HandedOn.objects.exists()


def test_a_wish_is_shown_to_the_office_and_dropped(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        first, second = bakery(COVER), hall()
        transfers.choose(second.pk, giver_id=first.pk, code="cover-oat", quantity=1)
        wish = ComesStraight.objects.get()
    page = wickerlark.client().get(wickerlark.url("events:event", second.pk)).content.decode()
    assert "Requested from" in page
    assert (
        "Requested from"
        not in wickerlark.client("crew").get(wickerlark.url("events:event", second.pk)).content.decode()
    )
    wickerlark.client().post(wickerlark.url("events:drop-wish", second.pk, wish.pk))
    with wickerlark.enter():
        assert not ComesStraight.objects.exists()


@pytest.mark.parametrize(
    "typed",
    [
        {},
        {"which": "1:nothing", "quantity": "1"},
        {"which": "x", "quantity": "1"},
        {"quantity": "one"},
        {"quantity": "-1"},
        {"quantity": "99999999999999999999"},
        {"which": "\x00", "quantity": "1"},
    ],
)
def test_bad_input_is_answered_at_its_field(wickerlark: House, typed: dict[str, str]) -> None:
    with wickerlark.enter():
        stock_up()
        bakery(COVER)
        second = hall(COVER)
    page = wickerlark.client().post(wickerlark.url("events:straight", second.pk), typed)
    assert page.status_code == (422 if typed else 200)


def test_the_page_is_for_who_edits_events_of_this_studio(
    wickerlark: House, federkorn: House, both: tuple[Event, Event]
) -> None:
    _, second = both
    with wickerlark.enter():
        link = HandedOn.objects.get()
    for name, more, method in (
        ("straight", (), "get"),
        ("not-straight", (link.pk,), "post"),
        ("drop-wish", (1,), "post"),
    ):
        path = wickerlark.url(f"events:{name}", second.pk, *more)
        assert getattr(wickerlark.client("crew"), method)(path).status_code == 403
        assert getattr(federkorn.client(), method)(path).status_code == 404
        theirs = federkorn.url(f"events:{name}", second.pk, *more)
        assert getattr(federkorn.client(), method)(theirs).status_code == 404
    for name, more in (("not-straight", (link.pk,)), ("drop-wish", (1,))):
        assert wickerlark.client().get(wickerlark.url(f"events:{name}", second.pk, *more)).status_code == 405
    with wickerlark.enter():
        assert HandedOn.objects.exists()


def test_a_wish_of_one_studio_cannot_speak_of_another(
    wickerlark: House, federkorn: House, both: tuple[Event, Event]
) -> None:
    first, second = both
    with wickerlark.enter():
        ComesStraight.objects.create(event=second, giver=first, code="cover-oat", label="Cover", quantity=1)
    with federkorn.enter():
        assert not ComesStraight.objects.exists()
        with pytest.raises(IntegrityError), transaction.atomic():
            ComesStraight.objects.create(event=second, giver=first, code="c", label="Cover", quantity=1)
            with connection.cursor() as cursor:
                cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
