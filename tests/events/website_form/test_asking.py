"""Clients write enquiries on the studio's website: without a cookie, once, and no program gets far."""

from __future__ import annotations

import io
import re
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.core import signing
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client as Browser
from PIL import Image

from events.models import Client, Enclosure, Event, Wishes
from events.website_form import forms, receiving
from studio.models import OutboxEntry
from studio.tenancy.counters import Limit
from tests.people import House

pytestmark = pytest.mark.django_db

DAY = (datetime.now(UTC) + timedelta(days=60)).date()
SAID = {
    "name": "Hanna Weiss",
    "email": "Hanna@Weiss.example",
    "phone": "",
    "occasion": "Harvest supper",
    "day": DAY.isoformat(),
    "starts_at": "17:00",
    "place": "Old Granary",
    "guests": "80",
    "colours": "sage and cream",
    "budget": "600",
    "words": "Something eight feet wide.",
}


@pytest.fixture
def asking(wickerlark: House, monkeypatch: pytest.MonkeyPatch) -> str:
    """The address of an open form, which nobody need wait for."""
    monkeypatch.setattr(forms, "LEAST_SECONDS", -1)
    wickerlark.client().post(
        wickerlark.url("events:website-form"), {"is_open": "on", "greeting": "We answer within a day."}
    )
    return f"/ask/{wickerlark.studio.slug}/"


def opened(address: str) -> str:
    page = Browser().get(address).content.decode()
    found = re.search(r'name="opened" value="([^"]+)"', page)
    assert found
    return found[1]


def send(address: str, **said: Any) -> Any:
    return Browser().post(address, {**SAID, "opened": opened(address), **said})


def test_the_form_is_closed_until_the_studio_opens_it(wickerlark: House) -> None:
    assert Browser().get(f"/ask/{wickerlark.studio.slug}/").status_code == 404
    assert Browser().post(f"/ask/{wickerlark.studio.slug}/", SAID).status_code == 404
    assert wickerlark.client("staff").post(
        wickerlark.url("events:website-form"), {"is_open": "on"}
    ).status_code == 403  # fmt: skip


def test_the_form_may_stand_in_another_site_and_sets_no_cookie(asking: str) -> None:
    answer = Browser().get(asking)
    assert "We answer within a day." in answer.content.decode()
    assert "frame-ancestors *" in answer["Content-Security-Policy"]
    assert "X-Frame-Options" not in answer
    assert not answer.cookies
    assert not send(asking).cookies
    assert not send(asking, day="").cookies


def test_neither_a_closed_form_nor_a_refusal_sets_a_cookie(asking: str, wickerlark: House) -> None:
    refused = [send(asking, name=f"Hanna {number}") for number in range(13)][-1]
    assert refused.status_code == 429
    assert not refused.cookies
    wickerlark.client().post(wickerlark.url("events:website-form"), {"greeting": ""})
    closed = Browser().get(asking)
    assert closed.status_code == 404
    assert not closed.cookies


def test_an_enquiry_comes_with_its_wishes_and_two_letters(asking: str, wickerlark: House) -> None:
    with wickerlark.enter():
        wickerlark.studio.email = "hello@wickerlark.example"
        wickerlark.studio.save(update_fields=["email"])
    assert "Thank you" in send(asking).content.decode()
    with wickerlark.enter():
        event = Event.objects.select_related("client").get(title="Harvest supper: Hanna Weiss")
        wishes = Wishes.objects.get(event=event)
        letters = [entry.arguments for entry in OutboxEntry.objects.filter(task="studio.send_mail")]
    zone = ZoneInfo("America/New_York")
    assert event.client.email == "hanna@weiss.example"
    # By hand: guests at five, ready an hour before.
    assert event.guests_from is not None
    assert event.guests_from.astimezone(zone).hour == 17
    assert event.ready_by.astimezone(zone).hour == 16
    assert (wishes.guests, wishes.colours, wishes.source) == (80, "sage and cream", "website")
    assert wishes.budget == 600
    assert {letter["to"] for letter in letters} == {"hanna@weiss.example", "hello@wickerlark.example"}
    page = wickerlark.client().get(wickerlark.url("events:event", event.pk)).content.decode()
    for words in ("sage and cream", "$600.00", "our website", "Nobody checked who wrote it", "Old Granary"):
        assert words in page


def test_sent_twice_it_is_one_enquiry(asking: str, wickerlark: House) -> None:
    said = {**SAID, "opened": opened(asking)}
    for _ in range(2):
        assert "Thank you" in Browser().post(asking, said).content.decode()
    with wickerlark.enter():
        assert Event.objects.filter(title__startswith="Harvest supper").count() == 1


def test_other_words_from_the_same_page_are_another_enquiry(asking: str, wickerlark: House) -> None:
    said = {**SAID, "opened": opened(asking)}
    Browser().post(asking, said)
    Browser().post(asking, {**said, "words": "Or rather ten feet wide."})
    with wickerlark.enter():
        assert Event.objects.filter(title__startswith="Harvest supper").count() == 2


def test_what_a_program_sends_is_refused_and_a_person_gets_through_at_the_second_try(
    asking: str, wickerlark: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    said = {**SAID, "opened": opened(asking)}
    answer = Browser().post(asking, {**said, "more": "https://spam.example"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "a program had sent it" in page
    assert "spam.example" not in page
    assert "Something eight feet wide." in page
    monkeypatch.setattr(forms, "LEAST_SECONDS", 3)
    assert Browser().post(asking, said).status_code == 422
    with wickerlark.enter():
        assert not Event.objects.exists()
        assert not OutboxEntry.objects.exists()
    monkeypatch.setattr(forms, "LEAST_SECONDS", -1)
    assert "Thank you" in Browser().post(asking, said).content.decode()


@pytest.mark.parametrize("odd", ["", "made up", "signed for something else"])
def test_a_form_that_is_not_ours_is_refused(asking: str, wickerlark: House, odd: str) -> None:
    # Signed only now: a test must have the same name in every process.
    answer = send(asking, opened=signing.dumps(odd, salt="another") if odd.startswith("signed") else odd)
    assert answer.status_code == 422
    assert "Something eight feet wide." in answer.content.decode()
    with wickerlark.enter():
        assert not Event.objects.exists()


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("email", "no address", "valid email"),
        ("day", "2001-01-01", "This day is past"),
        ("guests", "-4", "greater than or equal to 1"),
        ("budget", "much", "much"),
        ("day", "", "required"),
        ("words", "\x00", "Null characters"),
        ("guests", "9" * 4400, ""),
    ],
)
def test_what_cannot_be_is_told_at_its_field_and_the_rest_stays(
    asking: str, wickerlark: House, field: str, value: str, said: str
) -> None:
    answer = send(asking, **{field: value})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert said in page
    assert "Hanna Weiss" in page
    with wickerlark.enter():
        assert not Event.objects.exists()


def photo() -> SimpleUploadedFile:
    out = io.BytesIO()
    Image.new("RGB", (900, 600), (180, 160, 120)).save(out, "JPEG")
    return SimpleUploadedFile("party.jpg", out.getvalue(), "image/jpeg")


def test_a_photo_is_attached_and_what_is_none_is_refused(asking: str, wickerlark: House) -> None:
    answer = send(asking, photo=SimpleUploadedFile("party.jpg", b"<svg onload='x'/>", "image/jpeg"))
    assert answer.status_code == 422
    assert "Thank you" in send(asking, photo=photo()).content.decode()
    with wickerlark.enter():
        (enclosure,) = Enclosure.objects.all()
    assert enclosure.is_picture


def test_a_stranger_changes_no_known_client(asking: str, wickerlark: House) -> None:
    with wickerlark.enter():
        known = Client.objects.create(name="Hanna", email="hanna@weiss.example")
    send(asking, phone="(617) 555-0123")
    with wickerlark.enter():
        known.refresh_from_db()
        assert (known.name, known.phone) == ("Hanna", "")
        assert Event.objects.get().client_id == known.pk


def test_one_address_sends_twelve_an_hour(asking: str, wickerlark: House) -> None:
    answers = [send(asking, name=f"Hanna {number}").status_code for number in range(14)]
    assert answers == [200] * 12 + [429] * 2
    with wickerlark.enter():
        assert Event.objects.count() == 12


def test_a_studio_takes_so_many_a_day_and_says_so(
    asking: str, wickerlark: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(receiving, "A_DAY", Limit(tries=2, window_seconds=86_400))
    codes = [send(asking, name=f"Hanna {number}").status_code for number in range(3)]
    assert codes == [200, 200, 422]
    with wickerlark.enter():
        assert Event.objects.count() == 2


def test_without_an_hour_four_stands_in_and_the_log_says_so(asking: str, wickerlark: House) -> None:
    send(asking, starts_at="")
    with wickerlark.enter():
        event = Event.objects.get()
    assert event.ready_by.astimezone(ZoneInfo("America/New_York")).hour == 16
    page = wickerlark.client().get(wickerlark.url("events:event", event.pk)).content.decode()
    assert "No time was given" in page
