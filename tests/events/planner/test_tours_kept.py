"""Two events on one tour: proposed, accepted, shown, and undone where one of them moves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from events.booking import enquiry, event_times
from events.contacts import drives, venues
from events.crew import assigning, people, rules, shifts
from events.jobs import calling_off, changes
from events.jobs.commitment import BillLine
from events.models import CrewCall, Event, Shift, ShiftKind, Van
from events.planner import proposal
from events.planner.accepting import accept_proposal
from events.planner.proposal import Proposal
from events.schedule import conflicts, run_sheet
from events.schedule.roster import read_roster
from events.transfers import changing
from stock.holds import transfers as handing_on
from stock.models import HoldLine
from tests.events.conftest import BILL, agree, stock_up
from tests.events.planner.test_views import membership
from tests.people import House

ROOM = timedelta(minutes=30)
"""For what slips before the crew goes."""

pytestmark = pytest.mark.django_db
HALF_AN_HOUR = timedelta(minutes=30)


@dataclass(frozen=True, slots=True)
class Evening:
    """Two agreed events an hour or two apart, in two halls a quarter of an hour from each other."""

    house: House
    first: Event
    then: Event

    @property
    def day(self) -> date:
        return self.first.ready_by.astimezone(self.house.studio.tz).date()

    def proposed(self) -> Proposal:
        return proposal.make_proposal(self.day, self.day, self.house.studio)

    def accepted(self, *, but: str = "") -> dict[str, Shift]:
        """Every shift as it is written down once all of the plan is accepted."""
        made = self.proposed()
        accept_proposal(made.sealed, [line.key for line in made.lines if line.key != but])
        return {f"{shift.event_id}-{shift.kind}": shift for shift in Shift.objects.select_related("event")}

    def key(self, event: Event, kind: ShiftKind) -> str:
        return f"{event.pk}-{kind.value}"


@pytest.fixture
def evening(wickerlark: House) -> Evening:
    noon = (timezone.now() + timedelta(days=20)).astimezone(wickerlark.studio.tz).replace(
        hour=12, minute=0, second=0, microsecond=0
    )  # fmt: skip
    with wickerlark.enter():
        stock_up()
        for role in ("crew", "staff"):
            people.change_person(
                people.find_person(membership(wickerlark, role)), is_called=True, lead=True, driver=True
            )
        people.save_van(Van(), name="Van 1", seats=3)
        rules.change_rules(daily_rest_hours=Decimal(8))
        halls = [venues.add_venue(name=name, drive_minutes=30) for name in ("Corn hall", "Boat house")]
        drives.set_drive(halls[0], halls[1], 15)

        return Evening(
            wickerlark,
            agreed("Bakery birthday", noon, venue_id=halls[0].pk),
            agreed("Rowing supper", noon + timedelta(hours=2), venue_id=halls[1].pk),
        )


def test_one_van_and_crew_build_two_events_on_one_tour_and_strike_them_on_another(evening: Evening) -> None:
    with evening.house.enter():
        made = evening.proposed()
        lines = {line.key: line for line in made.lines}
        install, strike = (
            lines[evening.key(evening.then, kind)] for kind in (ShiftKind.INSTALL, ShiftKind.STRIKE)
        )
        assert [line.lacks for line in made.reasons] == []
        assert install.comes_from == strike.comes_from == "Bakery birthday"
        assert lines[evening.key(evening.first, ShiftKind.INSTALL)].goes_on_to == "Rowing supper"
        drives.set_drive(evening.first.venue, evening.then.venue, None)  # type: ignore[arg-type]
        assert len(evening.proposed().reasons) > 0  # by way of the studio one van can't do both


def test_accepted_the_tour_is_written_down_and_nobody_is_in_two_places(evening: Evening) -> None:
    with evening.house.enter():
        rows = evening.accepted()
        first, then = (rows[evening.key(event, ShiftKind.INSTALL)] for event in (evening.first, evening.then))
        assert then.comes_from_id == first.pk
        # Loading for both before the usual hour; the first ends on its site, the next begins with the drive there.
        began, ended = shifts_as_planned(evening)[evening.first.pk]["install"]
        longer = first.ends_at - first.starts_at - (ended - began)
        assert (
            timedelta(minutes=30) <= longer < timedelta(minutes=45)
        )  # an hour's loading more, half an hour home less
        assert first.starts_at + timedelta(hours=2, minutes=30) >= evening.first.access_from
        assert first.ends_at <= evening.first.ready_by + ROOM
        assert first.ends_at <= then.starts_at
        arrives = then.starts_at + timedelta(minutes=15)
        assert evening.then.access_from <= arrives < evening.then.access_from + timedelta(hours=1)
        known = read_roster(evening.first.hold_window(), evening.house.studio)
        assert conflicts.find_conflicts(known) == {}
        again = evening.proposed()
        assert [line for line in again.lines if line.is_new] == []


def test_what_goes_along_on_a_tour_is_held_from_when_it_is_loaded_until_it_is_back(evening: Evening) -> None:
    with evening.house.enter():
        rows = evening.accepted()
        first, then = (Event.objects.get(pk=event.pk) for event in (evening.first, evening.then))
        assert (
            then.load_out_at
            == rows[evening.key(first, ShiftKind.INSTALL)].starts_at
            < evening.then.load_out_at
        )
        assert first.back_at == rows[evening.key(then, ShiftKind.STRIKE)].ends_at > evening.first.back_at
        for event in (first, then):
            for line in HoldLine.objects.filter(hold=event.hold_id):
                assert line.busy_from <= event.load_out_at
                assert line.busy_until >= event.back_at


def test_a_tour_is_refused_where_a_piece_is_needed_elsewhere_meanwhile(evening: Evening) -> None:
    with evening.house.enter():
        made = evening.proposed()
        # Both rings leave again two hours after the first event's is back as promised.
        back = evening.first.back_at + timedelta(hours=2, minutes=5)
        access = back + timedelta(hours=1, minutes=30)
        ready = access + timedelta(hours=1)
        agreed("Early bird", access, stays=ready - access)
        with pytest.raises(proposal.CannotPlan, match="would be out longer"):
            accept_proposal(made.sealed, [line.key for line in made.lines])
        assert not Shift.objects.filter(comes_from__isnull=False).exists()
        assert not CrewCall.objects.exists()
        assert Event.objects.get(pk=evening.first.pk).back_at == evening.first.back_at


def test_half_a_tour_is_not_accepted(evening: Evening) -> None:
    with evening.house.enter():
        for event in (evening.first, evening.then):
            with pytest.raises(proposal.CannotPlan, match="accept both, or neither"):
                evening.accepted(but=evening.key(event, ShiftKind.STRIKE))
        evening.accepted()
        made = evening.proposed()
        with pytest.raises(proposal.CannotPlan, match="accept both, or neither"):
            accept_proposal(made.sealed, [evening.key(evening.first, ShiftKind.STRIKE)])


def test_an_event_that_moves_or_is_called_off_leaves_the_other_its_own_way(evening: Evening) -> None:
    with evening.house.enter():
        usual = shifts_as_planned(evening)
        evening.accepted()
        first = Event.objects.get(pk=evening.first.pk)
        later = event_times.usual(
            ready_by=first.ready_by + HALF_AN_HOUR, access_from=first.access_from + HALF_AN_HOUR,
            strike_from=first.strike_from + HALF_AN_HOUR,
        )  # fmt: skip
        changes.move(first.pk, later, seen_version=first.version)
        assert not Shift.objects.filter(comes_from__isnull=False).exists()
        assert shifts_written(evening.then) == usual[evening.then.pk]
        moved = Event.objects.get(pk=first.pk)
        assert moved.back_at == evening.first.back_at + HALF_AN_HOUR


def test_calling_one_off_parts_the_tour(evening: Evening) -> None:
    with evening.house.enter():
        usual = shifts_as_planned(evening)
        evening.accepted()
        calling_off.call_off(evening.first.pk)
        assert not Shift.objects.filter(comes_from__isnull=False).exists()
        assert shifts_written(evening.then) == usual[evening.then.pk]


def test_times_set_by_hand_and_a_press_part_the_tour(evening: Evening) -> None:
    with evening.house.enter():
        usual = shifts_as_planned(evening)
        rows = evening.accepted()
        strike = rows[evening.key(evening.first, ShiftKind.STRIKE)]
        assigning.set_times(
            evening.first.pk, ShiftKind.STRIKE, strike.starts_at - HALF_AN_HOUR, strike.ends_at
        )
        assert not Shift.objects.filter(comes_from__isnull=False).exists()
    answer = evening.house.client().post(evening.house.url("events:event-tours-end", evening.then.pk))
    assert answer.status_code == 302
    with evening.house.enter():
        assert shifts_written(evening.then) == usual[evening.then.pk]


def test_a_plan_without_the_tour_gives_back_the_usual_hours(evening: Evening) -> None:
    with evening.house.enter():
        evening.accepted()
        people.save_van(Van(), name="Van 2", seats=3)
        drives.set_drive(evening.first.venue, evening.then.venue, None)  # type: ignore[arg-type]
        evening.accepted()
        assert not Shift.objects.filter(comes_from__isnull=False).exists()
        for before in (evening.first, evening.then):
            now = Event.objects.get(pk=before.pk)
            assert (now.load_out_at, now.back_at) == (before.load_out_at, before.back_at)


def test_another_van_or_person_on_half_a_tour_is_a_conflict(evening: Evening) -> None:
    with evening.house.enter():
        rows = evening.accepted()
        call = CrewCall.objects.filter(shift=rows[evening.key(evening.then, ShiftKind.INSTALL)]).first()
        assert call is not None
        assigning.remove_person(call.pk)
        people.save_van(Van(), name="Van 2", seats=3)
        assigning.assign_van(evening.first.pk, ShiftKind.INSTALL, Van.objects.get(name="Van 2").pk)
        wrong = conflicts.find_conflicts(read_roster(evening.first.hold_window(), evening.house.studio))
    texts = {key: " ".join(wrong.get(rows[key].pk, ())) for key in rows}
    assert "comes directly from Bakery birthday" in texts[evening.key(evening.then, ShiftKind.INSTALL)]
    assert "same van and people" in texts[evening.key(evening.first, ShiftKind.INSTALL)]
    assert "transfer-choose" not in texts[evening.key(evening.first, ShiftKind.STRIKE)]


def test_both_run_sheets_and_pages_tell_of_the_tour(evening: Evening) -> None:
    with evening.house.enter():
        evening.accepted()
        sheets = run_sheet.find_run_sheets(list(Event.objects.select_related("venue")), evening.house.studio)
    said = {pk: [line.what for line in sheet.lines] for pk, sheet in sheets.items()}
    first, then = said[evening.first.pk], said[evening.then.pk]
    assert first.count("On to Boat house: Rowing supper") == 2
    assert "Load for Rowing supper as well" in first
    assert "Drive back" not in first
    assert then.count("Directly from Bakery birthday to Boat house") == 2
    assert "Load the van" not in then
    arrives = {line.what: line.until for line in sheets[evening.then.pk].lines}
    with evening.house.enter():
        install = Shift.objects.get(event=evening.then, kind=ShiftKind.INSTALL)
        leaves = Shift.objects.get(event=evening.first, kind=ShiftKind.INSTALL).ends_at
    work = [line.at for line in sheets[evening.then.pk].lines if line.step and line.kind == ShiftKind.INSTALL]
    straight = "Directly from Bakery birthday to Boat house"
    assert arrives[straight] is not None
    assert min(work) == install.starts_at + timedelta(minutes=15)
    on = [line.at for line in sheets[evening.first.pk].lines if line.what.startswith("On to")]
    assert leaves in on
    washed = [line.at for line in sheets[evening.first.pk].lines if line.what == "Wash and dry covers"]
    assert washed == [sheets[evening.first.pk].event.back_at]
    browser = evening.house.client()
    page = browser.get(evening.house.url("events:event-crew", evening.then.pk)).content.decode()
    assert "Directly from <a" in page
    assert "Return to the studio in between" in page


def test_pieces_that_go_straight_on_are_planned_on_one_tour(evening: Evening) -> None:
    """The ring that is struck at five in the corn hall is built the same evening elsewhere."""
    with evening.house.enter():
        struck = evening.first.strike_from
        hall = venues.add_venue(name="Mill", drive_minutes=30)
        assert evening.first.venue is not None
        drives.set_drive(evening.first.venue, hall, 20)
        late = agreed(
            "Night wedding", struck + HALF_AN_HOUR, stays=timedelta(hours=4), venue_id=hall.pk, bill=()
        )
        calling_off.call_off(evening.then.pk)
        commit = (replace(BILL[2], quantity=2),)
        changing.set_transfer(late.pk, giver_id=evening.first.pk, code="ring-6ft", quantity=1, unwashed=True)
        agree(late, key="agreed-late", bill=commit)
        made = evening.proposed()
        (line,) = [each for each in made.lines if each.key == evening.key(late, ShiftKind.INSTALL)]
        assert line.comes_from == "Bakery birthday"
        accept_proposal(made.sealed, [each.key for each in made.lines])
        (link,) = handing_on.list_transfers([Event.objects.get(pk=late.pk).hold_id or 0])
        assert link.quantity == 1
        # There is more than one line of the ring now: that which comes straight, and that from the shelf.
        kept = HoldLine.objects.filter(hold=link.taker_id, item=link.item)
        assert sorted((each.quantity, each.handed_on_id is not None) for each in kept) == [
            (1, False),
            (1, True),
        ]


def test_pieces_that_cannot_come_in_time_by_any_van_are_told(evening: Evening) -> None:
    with evening.house.enter():
        struck = evening.first.strike_from
        far = venues.add_venue(name="Lighthouse", drive_minutes=90)
        late = agreed(
            "Beacon supper", struck + HALF_AN_HOUR, stays=timedelta(hours=4), venue_id=far.pk, bill=()
        )
        calling_off.call_off(evening.then.pk)
        changing.set_transfer(late.pk, giver_id=evening.first.pk, code="ring-6ft", quantity=1, unwashed=True)
        agree(late, key="agreed-late", bill=(BILL[2],))
        people.save_van(Van.objects.get(), seats=1)  # too few for a crew of two on one tour
        made = evening.proposed()
    assert [each for each in made.reasons if "come directly from Bakery birthday" in each.lacks]


# --- Private ---


def agreed(
    title: str,
    access: datetime,
    *,
    stays: timedelta = timedelta(hours=2),
    bill: Sequence[BillLine] = BILL[2:],
    **more: Any,
) -> Event:
    """An agreed event whose crew has so long to build, and that is struck three hours after."""
    ready = access + stays
    moments = event_times.usual(ready_by=ready, access_from=access, strike_from=ready + timedelta(hours=3))
    event = enquiry.take_enquiry(
        title=title,
        event_windows=moments,
        client_name="Mrs Adeyo",
        client_email="adeyo@library.example",
        **more,
    )
    if bill:
        agree(event, key=f"agreed-{title}", bill=tuple(bill))
    return Event.objects.get(pk=event.pk)


def shifts_written(event: Event) -> dict[str, tuple[datetime, datetime]]:
    rows = Shift.objects.filter(event=event, kind__in=(ShiftKind.INSTALL, ShiftKind.STRIKE))
    return {shift.kind: (shift.starts_at, shift.ends_at) for shift in rows}


def shifts_as_planned(evening: Evening) -> dict[int, dict[str, tuple[datetime, datetime]]]:
    """The hours of each event's own way, as its plan has them."""
    from events.day_plan.work_plan import work_plan

    return {
        event.pk: {
            kind.value: (span.start, span.end)
            for kind, span in shifts.planned_windows(work_plan(event, evening.house.studio)).items()
            if kind != ShiftKind.PREP
        }
        for event in (evening.first, evening.then)
    }
