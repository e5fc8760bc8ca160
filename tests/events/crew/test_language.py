"""Calls, their letters and the calendar in the language of whoever reads them; the office reads English."""

from __future__ import annotations

import re
from urllib.parse import urlsplit

import pytest
from django.core import mail
from django.test import Client as Browser
from icalendar import Calendar

from events.crew import assigning, calls, feed, people
from events.jobs import calling_off
from events.models import CrewCall, Event, ShiftKind
from studio.models import Membership, OutboxEntry, Person
from studio.tasks import send_mail
from tests import pseudo
from tests.people import House

pytestmark = pytest.mark.django_db


@pytest.fixture
def asked(wickerlark: House, agreed: Event) -> CrewCall:
    """Somebody who reads German is asked for the install."""
    Person.objects.filter(pk=wickerlark.crew.pk).update(language="de")
    with wickerlark.enter():
        number = Membership.objects.get(person=wickerlark.crew).pk
        people.change_person(people.find_person(number), is_called=True)
        call = assigning.assign_person(agreed.pk, ShiftKind.INSTALL, number)
        calls.ask(agreed.pk)
        calls.mail_call(call.pk)
    return call


def link() -> str:
    found = re.search(r"https?://\S+", str(mail.outbox[-1].body))
    assert found
    return urlsplit(found[0]).path


def page_of(browser: Browser) -> str:
    return browser.get(link(), follow=True).content.decode()


def test_a_call_is_german_from_the_letter_to_the_answer(wickerlark: House, asked: CrewCall) -> None:
    letter = mail.outbox[-1]
    assert "Können Sie kommen?" in letter.subject
    assert "Ja oder Nein antworten:" in str(letter.body)
    browser = Browser()
    page = page_of(browser)
    assert '<html lang="de"' in page
    assert "Ja, ich komme" in page
    address = browser.get(link())["Location"]
    assert "Tippen Sie auf Ja oder Nein." in browser.post(address, {"answer": "maybe"}).content.decode()
    browser.post(address, {"answer": f"yes-{asked.pk}"})
    assert "Sie haben zugesagt." in browser.get(address).content.decode()
    with wickerlark.enter():
        entry = asked.shift.event.log.order_by("-pk").first()
        assert entry
        assert "yes to load out and install" in entry.text


def test_news_of_a_shift_are_german(wickerlark: House, agreed: Event, asked: CrewCall) -> None:
    with wickerlark.enter():
        calling_off.call_off(agreed.pk)
        entry = OutboxEntry.objects.get(arguments__template="crew_news")
    send_mail(studio_id=wickerlark.studio.pk, entry_id=entry.pk)
    letter = mail.outbox[-1]
    assert letter.subject == "Library centenary: abgesagt"
    assert "Sie müssen nicht kommen:" in str(letter.body)


def test_a_persons_calendar_says_until_when_in_their_language(wickerlark: House, asked: CrewCall) -> None:
    with wickerlark.enter("crew"):
        address = feed.open_feed(Membership.objects.get(person=wickerlark.crew).pk)
    content = Browser().get(urlsplit(address).path).content.decode()
    (entry,) = Calendar.from_ical(content).walk("VEVENT")
    assert str(entry["DESCRIPTION"]).startswith("Fertig bis ")


def test_every_sentence_of_a_call_can_be_translated(wickerlark: House, asked: CrewCall, marked: None) -> None:
    with wickerlark.enter():
        calls.mail_call(asked.pk)
    studio = wickerlark.studio
    typed = (
        studio.name,
        studio.phone,
        studio.email,
        wickerlark.crew.get_short_name(),
        "Library centenary",
        "am",
        "pm",
    )
    assert pseudo.unmarked(page_of(Browser()), (*typed, *pseudo.CALENDAR)) == []
