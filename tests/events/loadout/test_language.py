"""The language of the crew's pages: every sentence of ours can be translated, and each reader chooses theirs."""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from events.models import Event
from studio.models import CrewPhone, Person
from tests import pseudo
from tests.events import conftest
from tests.events.conftest import BILL, WORK, address, printed, words_on
from tests.events.crew_phones.test_views import on_a_phone
from tests.people import House

pytestmark = pytest.mark.django_db

PAGES = ("load-out", "return-list", "run-sheet")
NAMED: tuple[str, ...] = (
    "Deutsch",
    "English",
    "Library centenary",
    "Mrs Adeyo",
    "Rosa's phone",
    "bay C2",
    "shelf F",
    "loft",
)


def typed(house: House) -> Iterable[str]:
    """What people typed, and the names of things and of tasks."""
    rows = [(row.label, row.part, row.group) for row in BILL]
    tasks = [each for work in WORK for each in (work.task, work.task.capitalize())]
    studio = house.studio
    return [
        studio.name,
        studio.phone,
        studio.email,
        house.crew.name,
        *NAMED,
        *pseudo.CALENDAR,
        *tasks,
        *sum(rows, ()),
    ]


@pytest.mark.parametrize("name", PAGES)
def test_every_sentence_of_the_crews_pages_can_be_translated(
    wickerlark: House, agreed: Event, marked: None, name: str
) -> None:
    phone = on_a_phone(wickerlark, agreed)
    with wickerlark.enter():
        CrewPhone.objects.update(language="de")
    page = phone.get(address(wickerlark, name, agreed)).content.decode()
    assert '<html lang="de"' in page
    assert pseudo.unmarked(page, typed(wickerlark)) == []


def test_each_reader_chooses_a_language_and_the_office_stays_english(
    wickerlark: House, agreed: Event
) -> None:
    crew, office = wickerlark.client("crew"), wickerlark.client("staff")
    page = address(wickerlark, "load-out", agreed)
    chosen = crew.post(address(wickerlark, "crew-language", agreed), {"language": "de", "back": "run-sheet"})
    assert chosen["Location"] == address(wickerlark, "run-sheet", agreed)
    assert "<h1>Laden</h1>" in crew.get(page).content.decode()
    assert "<h1>Load out</h1>" in office.get(page, headers={"Accept-Language": "de"}).content.decode()
    assert (
        '<html lang="en"'
        in crew.get(wickerlark.url("events:crew-member", wickerlark.crew.pk)).content.decode()
    )
    assert Person.objects.get(pk=wickerlark.crew.pk).language == "de"


def test_a_phone_with_a_link_chooses_too_and_nothing_else_is_taken(wickerlark: House, agreed: Event) -> None:
    phone = on_a_phone(wickerlark, agreed)
    for asked, heading in (("de", "Laden"), ("xx", "Laden"), ("en", "Load out")):
        phone.post(address(wickerlark, "crew-language", agreed), {"language": asked, "back": "//elsewhere"})
        assert f"<h1>{heading}</h1>" in phone.get(address(wickerlark, "load-out", agreed)).content.decode()


def test_a_german_studios_crew_reads_german_days_hours_and_paper(federkorn: House) -> None:
    with federkorn.enter():
        conftest.stock_up()
        event = conftest.take()
        conftest.agree(event)
    browser = federkorn.client("crew")
    page = browser.get(address(federkorn, "load-out", event)).content.decode()
    assert "Zuerst laden (zuletzt gebraucht)" in page
    words = words_on(printed(federkorn, browser, event, "load-out"))
    assert "Ladeliste" in words
    assert "Gedruckt" in words
    assert " pm" not in words
