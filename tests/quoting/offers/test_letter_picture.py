"""The picture in an offer's letter: there at once, and never a second letter for a better one."""

from __future__ import annotations

import io
from email.mime.image import MIMEImage
from typing import Any

import numpy as np
import pytest
from bs4 import BeautifulSoup
from django.core import mail
from django.core.mail import EmailMultiAlternatives
from PIL import Image

from quoting.models import Offer
from quoting.offers import letter_picture
from quoting.tasks import mail_offer, render_offer_pdf, render_still, renew_offer_pdf
from studio.paper import raster
from tests import worker
from tests.people import House
from tests.quoting import offer_scenes
from tests.quoting.stills.conftest import renderer as renderer  # noqa: PLC0414 # a fixture

pytestmark = pytest.mark.django_db


def letters(house: House) -> list[EmailMultiAlternatives]:
    """What goes to the client when the worker does its mails."""
    mail.outbox.clear()
    worker.do_tasks(house, mail_offer)
    return [one for one in mail.outbox if isinstance(one, EmailMultiAlternatives)]


def picture_in(letter: EmailMultiAlternatives) -> MIMEImage:
    (part,) = letter.attachments
    assert isinstance(part, MIMEImage)
    return part


def bytes_of(part: MIMEImage) -> bytes:
    content = part.get_payload(decode=True)
    assert isinstance(content, bytes)
    return content


def html_of(letter: EmailMultiAlternatives) -> BeautifulSoup:
    return BeautifulSoup(str(letter.alternatives[0][0]), "lxml")


def test_the_letter_shows_the_drawing_where_no_still_is_made(wickerlark: House) -> None:
    made = offer_scenes.offered(wickerlark)
    (letter,) = letters(wickerlark)
    part = picture_in(letter)
    content = bytes_of(part)
    assert part.get_content_type() == "image/png"
    assert len(content) <= 150_000
    with Image.open(io.BytesIO(content)) as image:
        assert image.width >= 500
        # Not an empty room: a drawing of balloons has hundreds of colours, a room two.
        assert len(np.unique(np.asarray(image.convert("RGB")).reshape(-1, 3), axis=0)) > 100
    shown = html_of(letter).find("img")
    assert shown is not None
    assert f"<{str(shown['src']).removeprefix('cid:')}>" == part["Content-ID"]
    assert "balloons" in str(shown["alt"])
    assert "cid:" not in str(letter.body)
    assert made.offer.total is not None


def test_a_still_that_is_there_stands_in_the_letter(wickerlark: House, renderer: list[Any]) -> None:
    offer_scenes.offered(wickerlark)
    worker.do_tasks(wickerlark, render_still)
    (letter,) = letters(wickerlark)
    part = picture_in(letter)
    assert part.get_content_type() == "image/jpeg"
    with Image.open(io.BytesIO(bytes_of(part))) as image:
        assert image.size == (80, 62)


def test_the_letter_doesnt_wait_and_no_second_one_follows(wickerlark: House, renderer: list[Any]) -> None:
    offer_scenes.offered(wickerlark)
    (letter,) = letters(wickerlark)
    assert picture_in(letter).get_content_type() == "image/png"
    worker.do_tasks(wickerlark, render_still, render_offer_pdf, renew_offer_pdf)
    assert renderer
    assert letters(wickerlark) == []


def test_a_piece_without_one_of_its_parts_is_drawn_without_it(
    wickerlark: House, renderer: list[Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    made = offer_scenes.offered(wickerlark)
    worker.do_tasks(wickerlark, render_still)
    drawn: list[str] = []

    def note(svg: str, **sizes: int) -> bytes:
        drawn.append(svg)
        return raster.png(svg, width_px=sizes["width_px"])

    monkeypatch.setattr(raster, "small_png", note)
    with wickerlark.enter():
        offer = Offer.objects.get(pk=made.offer.pk)
        shown = offer_scenes.shown_without(offer, "florals")
        picture = letter_picture.for_letter(shown)
    assert picture is not None
    assert picture.kind == "png"
    assert 'data-part="garland"' in drawn[0]
    assert 'data-part="florals"' not in drawn[0]


def test_a_letter_goes_out_though_its_picture_cant_be_made(
    wickerlark: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    offer_scenes.offered(wickerlark)

    def fail(*_: object, **__: object) -> bytes:
        raise ValueError("no drawing")

    monkeypatch.setattr(raster, "small_png", fail)
    (letter,) = letters(wickerlark)
    assert letter.attachments == []
    assert html_of(letter).find("img") is None


def test_the_letter_comes_from_the_studio(wickerlark: House) -> None:
    offer_scenes.offered(wickerlark)
    (letter,) = letters(wickerlark)
    assert letter.from_email.startswith(wickerlark.studio.name)
    assert letter.reply_to == ([wickerlark.studio.email] if wickerlark.studio.email else [])
