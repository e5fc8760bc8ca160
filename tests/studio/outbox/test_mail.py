"""Letters: from whom they come, where an answer goes, and the picture that stands in one."""

from __future__ import annotations

import email
from email import policy
from email.message import EmailMessage
from typing import Any

import pytest
from django.core import mail as sent

from studio.outbox import mail
from studio.outbox.mail import Picture

PIXEL = bytes.fromhex(
    "89504e470d0a1a0a0000000d4948445200000001000000010802000000907753de"
    "0000000c49444154789c63f8cfc0000003010100c9fe92ef0000000049454e44ae426082"
)
SAID = {
    "studio": "Käthe & Co; Decor",
    "name": "Bea",
    "event": "Gala",
    "news": "moved",
    "shifts": [],
    "phone": "",
}


def letter(**more: Any) -> EmailMessage:
    """A letter as a mail program of the standard library reads what went out."""
    sent.outbox.clear()
    mail.send(template="crew_news", to="bea@example.org", context=SAID, **more)
    (made,) = sent.outbox
    read = email.message_from_bytes(made.message().as_bytes(), policy=policy.default)
    assert isinstance(read, EmailMessage)
    return read


@pytest.fixture(autouse=True)
def address(settings: Any) -> None:
    settings.DEFAULT_FROM_EMAIL = "Billowbook <post@mail.example>"


def test_a_letter_comes_from_the_studio_by_name_and_an_answer_goes_to_it() -> None:
    read = letter(sender="Käthe & Co; Decor", reply_to="hello@kaethe.example")
    (sender,) = read["From"].addresses
    assert (sender.display_name, sender.addr_spec) == ("Käthe & Co; Decor", "post@mail.example")
    assert read["Reply-To"] == "hello@kaethe.example"


def test_without_a_name_it_comes_from_the_product() -> None:
    assert str(letter()["From"]) == "Billowbook <post@mail.example>"


def test_a_name_of_several_lines_stays_one_header() -> None:
    read = letter(sender="Decor\nBcc: all@example.org")
    assert read["Bcc"] is None
    assert read["From"].addresses[0].addr_spec == "post@mail.example"


def test_no_program_answers_it() -> None:
    # RFC 3834, section 5: "auto-generated" for what a program sent by itself.
    assert letter()["Auto-Submitted"] == "auto-generated"


def test_a_picture_stands_beside_the_letter_under_an_id_of_its_own() -> None:
    picture = Picture(PIXEL, "png", "A garland", 502, 400)
    first, second = letter(picture=picture), letter(picture=picture)
    # RFC 2387: related parts, the letter first; RFC 2392: the id in angle brackets, unlike any other.
    assert first.get_content_type() == "multipart/related"
    words, image = first.iter_parts()
    assert words.get_content_type() == "multipart/alternative"
    assert [part.get_content_type() for part in words.iter_parts()] == ["text/plain", "text/html"]
    assert image.get_content_type() == "image/png"
    assert image["Content-Disposition"].content_disposition == "inline"
    assert image["Content-ID"].startswith("<")
    assert image["Content-ID"].endswith("@mail.example>")
    assert image["Content-ID"] != list(second.iter_parts())[1]["Content-ID"]


def test_a_file_that_comes_along_stays_a_file() -> None:
    picture = Picture(PIXEL, "png", "A garland", 502, 400)
    read = letter(picture=picture, attachments=[("offer.pdf", b"%PDF", "application/pdf")])
    assert read.get_content_type() == "multipart/mixed"
    assert [part.get_filename() for part in read.iter_attachments()] == ["picture.png", "offer.pdf"]
