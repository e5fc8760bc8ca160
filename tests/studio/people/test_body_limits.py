"""Bodies are refused by their length, before a byte of them is read."""

from __future__ import annotations

import io
import re
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from studio.people.body_limits import FORM_BYTES, PHOTO_BYTES, PICTURE_BYTES, TABLE_BYTES
from tests.people import House
from tests.studio.test_addresses import patterns

HUGE = 300 * 1024 * 1024


class Untouched(io.RawIOBase):
    """A body that nobody may read."""

    def read(self, size: int = -1) -> bytes:
        raise AssertionError("the body was read")


def sent(browser: Client, address: str, length: int, **headers: str) -> Any:
    """A POST that says it is so long; its body may not be read."""
    return browser.request(
        **{
            "PATH_INFO": address,
            "REQUEST_METHOD": "POST",
            "CONTENT_TYPE": "multipart/form-data; boundary=x",
            "CONTENT_LENGTH": str(length),
            "wsgi.input": Untouched(),
            **headers,
        }
    )


def every_address() -> list[str]:
    """Every address of the site, each kind of id filled with something that fits."""
    found = [re.sub(r"<(?:int:)\w+>", "1", pattern) for pattern, _ in patterns()]
    return ["/" + re.sub(r"<[^>]+>", "x", each).replace("\\Z", "").strip("^$") for each in found]


def test_a_body_without_end_is_refused_at_every_address_before_it_is_read(db: None) -> None:
    browser = Client()
    answers = {address: sent(browser, address, HUGE).status_code for address in every_address()}
    assert len(answers) > 150
    assert {address for address, status in answers.items() if status != 413} == set()


def test_whoever_is_signed_in_is_refused_as_well(wickerlark: House) -> None:
    browser = wickerlark.client()
    answers = {sent(browser, address, HUGE).status_code for address in every_address()}
    assert answers == {413}


def test_the_refusal_says_what_fits_and_carries_the_usual_headers(wickerlark: House) -> None:
    answer = sent(
        wickerlark.client(), wickerlark.url("stock:catalogue-import"), HUGE, HTTP_ACCEPT="text/html"
    )
    assert answer["Content-Type"].startswith("text/html")
    page = answer.content.decode()
    assert "at most 4 MB" in page
    assert "Nothing was changed" in page
    assert "frame-ancestors 'none'" in answer["Content-Security-Policy"]
    for name, value in (
        ("Cache-Control", "private, no-store"),
        ("X-Frame-Options", "DENY"),
        ("X-Content-Type-Options", "nosniff"),
        ("Referrer-Policy", "same-origin"),
    ):
        assert answer[name] == value
    assert "Permissions-Policy" in answer


def test_a_program_is_told_in_plain_text(db: None) -> None:
    answer = sent(Client(), "/account/login/", HUGE, HTTP_ACCEPT="text/plain")
    assert answer["Content-Type"] == "text/plain; charset=utf-8"
    assert (
        answer.content.decode() == "This is too large: at most 1 MB can be sent here. Nothing was changed.\n"
    )


def test_a_body_without_a_length_is_refused(db: None) -> None:
    answer = Client().request(
        **{
            "PATH_INFO": "/account/login/",
            "REQUEST_METHOD": "POST",
            "HTTP_TRANSFER_ENCODING": "chunked",
            "CONTENT_TYPE": "application/x-www-form-urlencoded",
            "wsgi.input": Untouched(),
        }
    )
    assert answer.status_code == 411
    assert "Content-Security-Policy" in answer


def test_only_uploads_take_more_than_a_form_and_only_of_who_may_send_them(wickerlark: House) -> None:
    larger = {
        entry.name: entry.callback.largest_body
        for _, entry in patterns()
        if hasattr(entry.callback, "largest_body")
    }
    assert larger == {
        "profile": PICTURE_BYTES,
        "photo-add": PICTURE_BYTES,
        "event-attachment-add": PICTURE_BYTES,
        "venue-attachment-add": PICTURE_BYTES,
        "item-photo-save": PICTURE_BYTES,
        "like-a-picture": PICTURE_BYTES,
        "table-act": PICTURE_BYTES,
        "catalogue-import": TABLE_BYTES,
        "website-form": PHOTO_BYTES,
        "clients-import": TABLE_BYTES,
        "bookings-import": TABLE_BYTES,
    }
    photos = wickerlark.url("events:photo-add", 1)
    assert sent(Client(), photos, FORM_BYTES + 1).status_code == 413
    assert sent(wickerlark.client(), photos, PICTURE_BYTES + 1).status_code == 413


def test_a_phone_with_an_open_link_sends_photos_and_one_whose_link_has_ended_does_not(
    wickerlark: House,
) -> None:
    from events.crew_phones import phone_links as crew_phones
    from tests.events.conftest import take

    with wickerlark.enter():
        event = take()
        given = crew_phones.give(event.pk, whose="Rosa")
    phone = Client()
    assert phone.post(given.address.split("testserver")[1]).status_code == 302
    photos = wickerlark.url("events:photo-add", event.pk)
    upload = SimpleUploadedFile("a.jpg", b"\xff" * (FORM_BYTES + 1), "image/jpeg")
    answer = phone.post(photos, {"by": "script", "photo": upload})
    assert answer.status_code == 422, "it was read and looked at"
    with wickerlark.enter():
        crew_phones.end(event.pk, given.phone.pk)
    assert sent(phone, photos, FORM_BYTES + 2).status_code == 413


@pytest.mark.parametrize("length", [FORM_BYTES, 10])
def test_what_fits_is_read(db: None, length: int) -> None:
    answer = Client().post(
        reverse("account_login"),
        "login=" + "x" * (length - 6),
        content_type="application/x-www-form-urlencoded",
    )
    assert answer.status_code == 200
