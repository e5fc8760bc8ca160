"""The picture that a client may post: when, of what, under whose name."""

from __future__ import annotations

import io
from typing import Any

import numpy as np
import pytest
from django.test import Client
from PIL import Image, ImageDraw

from events.models import Event
from quoting.models import Offer
from quoting.offers import cards
from quoting.offers.document_presenter import present_offer
from studio.models import Studio
from tests.people import House
from tests.quoting.offer_scenes import as_shown, offered, open_link

pytestmark = pytest.mark.django_db
LINK = "Download a picture to share"


def allow(house: House) -> None:
    with house.enter():
        Studio.objects.filter(pk=house.studio.pk).update(share_before_agreed=True)


def opened(content: bytes) -> Image.Image:
    return Image.open(io.BytesIO(content)).convert("RGB")


def test_before_the_client_agrees_the_studio_must_allow_it(wickerlark: House) -> None:
    browser, address = open_link(offered(wickerlark).address)
    assert LINK not in browser.get(address).content.decode()
    assert browser.get(f"{address}share/1.jpg").status_code == 404
    allow(wickerlark)
    assert LINK in browser.get(address).content.decode()
    assert browser.get(f"{address}share/1.jpg").status_code == 200


def test_after_the_client_agreed_it_can_be_downloaded(wickerlark: House) -> None:
    made = offered(wickerlark)
    browser, address = open_link(made.address)
    assert browser.post(f"{address}agree", as_shown(made.offer)).status_code == 302
    assert LINK in browser.get(address).content.decode()
    response = browser.get(f"{address}share/1.jpg")
    assert response["Content-Type"] == "image/jpeg"
    assert response["Content-Disposition"] == 'attachment; filename="wickerlark-decor-1.jpg"'
    assert opened(response.content).width == cards.SHARED_PX
    for place in (0, 2, 99):
        assert browser.get(f"{address}share/{place}.jpg").status_code == 404
    assert Client().get(f"{address}share/1.jpg").status_code == 404


def test_a_called_off_event_has_no_picture_to_post(wickerlark: House) -> None:
    made = offered(wickerlark)
    allow(wickerlark)
    browser, address = open_link(made.address)
    with wickerlark.enter():
        Event.objects.filter(pk=made.offer.quote.event_id).update(status="CANCELLED")
    assert browser.get(f"{address}share/1.jpg").status_code == 404


def drawn(house: House, offer: Offer, **studio: Any) -> Image.Image:
    with house.enter():
        piece = present_offer(offer.frozen).pieces[0]
        return opened(cards.share_picture(piece, Studio(name="Wickerlark Decor", **studio)))


def band(image: Image.Image) -> np.ndarray[tuple[int, ...], np.dtype[np.uint8]]:
    return np.asarray(image)[-cards.BAND_PX + 6 :]


def test_the_name_stands_below_the_picture(wickerlark: House) -> None:
    image = drawn(wickerlark, offered(wickerlark).offer)
    dark = (band(image) < 90).all(axis=-1)
    columns = np.flatnonzero(dark.any(axis=0))
    assert columns[0] >= cards.PAD_PX - 2
    assert 300 < columns[-1] < cards.SHARED_PX - cards.PAD_PX


def test_a_long_name_is_written_smaller(wickerlark: House) -> None:
    offer = offered(wickerlark).offer
    with wickerlark.enter():
        piece = present_offer(offer.frozen).pieces[0]
        image = opened(cards.share_picture(piece, Studio(name="Wickerlark Decor and Daughters " * 3)))
    columns = np.flatnonzero((band(image) < 90).all(axis=-1).any(axis=0))
    assert columns[-1] <= cards.SHARED_PX - cards.PAD_PX + 2


def test_the_logo_stands_before_the_name(wickerlark: House) -> None:
    mark = Image.new("RGBA", (200, 200), (0, 0, 0, 0))
    ImageDraw.Draw(mark).ellipse((0, 0, 199, 199), fill=(200, 20, 20, 255))
    out = io.BytesIO()
    mark.save(out, "PNG")
    image = drawn(wickerlark, offered(wickerlark).offer, logo=out.getvalue(), logo_digest="red")
    red = (band(image)[..., 0] > 150) & (band(image)[..., 1] < 70)
    columns = np.flatnonzero(red.any(axis=0))
    assert columns[0] >= cards.PAD_PX - 2
    assert columns[-1] < 260
