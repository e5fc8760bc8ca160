"""The month and the week's lanes: what stands where, narrowed, with conflicts, in few queries."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from events.calendar import month
from events.calendar.lanes import Lanes
from events.calendar.month import Filters
from events.calendar.week import find_week
from events.contacts import venues
from events.crew import assigning, people
from events.models import Client, CrewMember, Event, ShiftKind, Van
from studio.models import Membership
from tests.events.conftest import take
from tests.events.test_pages import counted
from tests.people import House


def membership(house: House, role: str) -> int:
    return Membership.objects.get(person=house.person(role)).pk


def titles(shown: month.Month) -> list[str]:
    return [on.event.title for week in shown.weeks for day in week for on in day.events]


@pytest.mark.parametrize(
    ("day", "weeks", "first", "last"),
    [
        (date(2027, 2, 14), 4, date(2027, 2, 1), date(2027, 2, 28)),  # a February of four whole weeks
        (date(2026, 8, 1), 6, date(2026, 7, 27), date(2026, 9, 6)),
        (date(2028, 2, 29), 5, date(2028, 1, 31), date(2028, 3, 5)),
    ],
)
def test_a_month_is_whole_weeks_from_monday(
    wickerlark: House, day: date, weeks: int, first: date, last: date
) -> None:
    with wickerlark.enter():
        shown = month.find_month(day, wickerlark.studio)
    assert len(shown.weeks) == weeks
    assert (shown.weeks[0][0].date, shown.weeks[-1][-1].date) == (first, last)
    assert shown.earlier == (day.replace(day=1) - timedelta(days=1)).replace(day=1)
    assert shown.later.day == 1


def test_an_event_stands_on_its_day_by_the_studios_clocks(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        day = agreed.ready_by.astimezone(wickerlark.studio.tz).date()
        shown = month.find_month(day, wickerlark.studio)
    (cell,) = (cell for week in shown.weeks for cell in week if cell.events)
    assert cell.date == day


def test_it_narrows_to_a_van_a_person_or_a_piece(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        take("Another", days=10, client_email="other@x.example")
        van = people.save_van(Van(), name="Van 1", seats=3)
        assigning.assign_van(agreed.pk, ShiftKind.STRIKE, van.pk)
        assigning.assign_person(agreed.pk, ShiftKind.INSTALL, membership(wickerlark, "crew"))
        assigning.assign_person(agreed.pk, ShiftKind.STRIKE, membership(wickerlark, "crew"))
        member = CrewMember.objects.get(person=wickerlark.crew)
        day = agreed.ready_by.astimezone(wickerlark.studio.tz).date()
        everything = titles(month.find_month(day, wickerlark.studio))
        assert sorted(everything) == ["Another", "Library centenary"]
        for only in (Filters(van_id=van.pk), Filters(member_id=member.pk), Filters(frame_code="ring-6ft")):
            assert titles(month.find_month(day, wickerlark.studio, only)) == ["Library centenary"], only
        assert titles(month.find_month(day, wickerlark.studio, Filters(van_id=van.pk + 1))) == []


def test_a_conflict_shows_on_its_day(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        people.change_person(people.find_person(membership(wickerlark, "crew")), is_called=True)
        assigning.assign_person(agreed.pk, ShiftKind.INSTALL, membership(wickerlark, "crew"))
        day = agreed.ready_by.astimezone(wickerlark.studio.tz).date()
    page = wickerlark.client().get(wickerlark.url("events:month") + f"?day={day}")
    assert b"conflict" in page.content
    assert b"Nobody on it has the skill" in page.content


@pytest.mark.parametrize("asked", ["day=2026-13-01", "day=nonsense", "van=x", "who=1e9", "day=1890-01-01"])
def test_nonsense_in_the_address_is_not_found(wickerlark: House, asked: str) -> None:
    assert wickerlark.client().get(wickerlark.url("events:month") + "?" + asked).status_code == 404


def test_the_weeks_lanes_are_vans_people_or_frames(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        van = people.save_van(Van(), name="Van 1", seats=3, load_m3=Decimal(9))
        assigning.assign_van(agreed.pk, ShiftKind.INSTALL, van.pk)
        assigning.assign_person(agreed.pk, ShiftKind.STRIKE, membership(wickerlark, "crew"))
        day = agreed.ready_by.astimezone(wickerlark.studio.tz).date()
        by_crew = find_week(day, wickerlark.studio, Lanes.CREW).lanes
        assert [bar.work for lane in by_crew for bar in lane.bars] == ["strike"]
        names = {by: [lane.name for lane in find_week(day, wickerlark.studio, by).lanes] for by in Lanes}
    assert names == {
        Lanes.STATUS: ["Agreed"],
        Lanes.VAN: ["Van 1"],
        Lanes.CREW: [wickerlark.crew.name],
        Lanes.PIECE: ["Ring 6 ft"],
    }
    page = wickerlark.client().get(wickerlark.url("events:week") + "?by=moon")
    assert page.status_code == 404


def many(house: House, number: int) -> None:
    """So many events within the coming days, half of them agreed in all but name, one in five with crew."""
    with house.enter():
        place = venues.add_venue(name=f"Hall {number}")
        client = Client.objects.create(name=f"Client {number}")
        now = timezone.now().replace(minute=0, second=0, microsecond=0)
        rows = []
        for count in range(number):
            ready = now + timedelta(hours=6 + count % 48)
            rows.append(
                Event(
                    title=f"Event {count}",
                    client=client,
                    venue=place,
                    zone="UTC",
                    load_out_at=ready - timedelta(hours=5),
                    access_from=ready - timedelta(hours=4),
                    ready_by=ready,
                    strike_from=ready + timedelta(hours=5),
                    out_by=ready + timedelta(hours=7),
                    back_at=ready + timedelta(hours=9),
                )
            )
        made = Event.objects.bulk_create(rows)
        who = membership(house, "crew")
        for event in made[::20]:
            assigning.assign_person(event.pk, ShiftKind.INSTALL, who)


def test_a_month_and_a_week_need_no_more_queries_with_more_events(wickerlark: House) -> None:
    browser = wickerlark.client()
    many(wickerlark, 60)
    pages = [wickerlark.url("events:month")] + [
        wickerlark.url("events:week") + f"?by={by}" for by in Lanes.values
    ]
    few = [counted(browser, path) for path in pages]
    many(wickerlark, 140)
    assert [counted(browser, path) for path in pages] == few
