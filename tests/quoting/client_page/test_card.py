"""The card of an offer's link: a picture for who has the link, nothing for who hasn't, and never a price."""

from __future__ import annotations

import io
from typing import Any
from urllib.parse import urlsplit

import numpy as np
import pytest
from bs4 import BeautifulSoup
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from quoting.models import Offer, OfferState
from quoting.offers.document_presenter import present_offer
from quoting.offers.offering import Offered
from quoting.tasks import render_still
from studio.models import LinkPurpose
from studio.people import public_links
from tests import worker
from tests.people import House
from tests.quoting.offer_scenes import offered
from tests.quoting.stills.conftest import renderer as renderer  # noqa: PLC0414 # a fixture

pytestmark = pytest.mark.django_db


def path_of(made: Offered) -> str:
    return urlsplit(made.address).path


def read_card(made: Offered) -> dict[str, str]:
    """What a program without cookies reads of the link: its Open Graph properties (ogp.me)."""
    response = Client().get(path_of(made))
    assert response.status_code == 200
    soup = BeautifulSoup(response.content, "lxml")
    return {str(tag["property"]): str(tag["content"]) for tag in soup.select("meta[property^=og]")}


def test_the_card_says_studio_event_and_picture(wickerlark: House, settings: Any) -> None:
    settings.SITE_URL = "https://decor.example"
    made = offered(wickerlark)
    said = read_card(made)
    # The four that the protocol asks of every page: ogp.me, "Basic Metadata".
    assert {"og:title", "og:type", "og:image", "og:url"} <= set(said)
    assert said["og:site_name"] == wickerlark.studio.name
    assert said["og:title"] == "Library centenary"
    assert said["og:image"] == f"https://decor.example{path_of(made)}/card.jpg"
    assert said["og:url"] == f"https://decor.example{path_of(made)}"
    assert "balloons" in said["og:image:alt"]


def test_the_card_says_no_price_no_client_and_no_place(wickerlark: House) -> None:
    made = offered(wickerlark)
    page = Client().get(path_of(made)).content.decode()
    with wickerlark.enter():
        offer = Offer.objects.select_related("quote__event__venue").get(pk=made.offer.pk)
        venue = offer.quote.event.venue
    for secret in ("$", str(offer.total), offer.client_name, venue.name if venue else "no venue"):
        assert secret not in page
    assert '<meta name="robots" content="noindex, nofollow">' in page


def test_a_browser_goes_on_at_once_and_one_that_doesnt_say_so_by_itself(wickerlark: House) -> None:
    made = offered(wickerlark)
    browser = Client()
    response = browser.get(path_of(made), headers={"sec-fetch-mode": "navigate"})
    assert response.status_code == 302
    assert response["Referrer-Policy"] == "no-referrer"
    older = Client()
    response = older.get(path_of(made))
    refresh = BeautifulSoup(response.content, "lxml").select_one("meta[http-equiv=refresh]")
    assert refresh is not None
    address = str(refresh["content"]).removeprefix("0; url=")
    assert older.get(address).status_code == 200
    assert response["Referrer-Policy"] == "no-referrer"


def picture(made: Offered) -> Image.Image:
    response = Client().get(f"{path_of(made)}/card.jpg")
    assert response.status_code == 200
    assert "private" in response["Cache-Control"]
    assert len(response.content) < 300_000
    return Image.open(io.BytesIO(response.content)).convert("RGB")


def test_the_picture_is_the_drawing_in_a_room_that_goes_on(wickerlark: House) -> None:
    made = offered(wickerlark)
    image = np.asarray(picture(made)).astype(int)
    assert image.shape == (630, 1200, 3)
    piece = present_offer(made.offer.frozen).pieces[0]
    wide = 630 * piece.width / piece.height
    assert 600 < wide < 1150, "a drawing that leaves room at both sides"
    left = round((1200 - wide) / 2)
    # Beside the drawing each row is as its edge is: the wall goes on as wall, the floor as floor.
    for edge, beside in ((left + 2, image[:, : left - 8]), (1200 - left - 3, image[:, 1200 - left + 8 :])):
        assert np.abs(beside - image[:, edge : edge + 1]).max() <= 24
    assert np.abs(image[20, 2] - image[625, 2]).max() > 12, "wall above, floor below"


def test_the_picture_is_the_still_as_soon_as_there_is_one(wickerlark: House, renderer: list[Any]) -> None:
    made = offered(wickerlark)
    before = picture(made).tobytes()
    worker.do_tasks(wickerlark, render_still)
    after = picture(made)
    assert after.size == (1200, 630)
    assert after.tobytes() != before


def test_without_the_link_there_is_nothing(wickerlark: House) -> None:
    made = offered(wickerlark)
    token = path_of(made).rsplit("/", 1)[1]
    for wrong in (token[:-1], token + "x", "card"):
        assert Client().get(reverse("offer-card", args=[wrong])).status_code == 404
        assert Client().get(reverse("open-offer", args=[wrong])).status_code == 404
    with wickerlark.enter():
        public_links.revoke(LinkPurpose.OFFER, subject_id=made.offer.pk)
    assert Client().get(f"{path_of(made)}/card.jpg").status_code == 404


def test_an_offer_that_is_over_shows_nothing_any_more(wickerlark: House) -> None:
    made = offered(wickerlark)
    with wickerlark.enter():
        Offer.objects.filter(pk=made.offer.pk).update(state=OfferState.WITHDRAWN, closed_at=timezone.now())
    said = read_card(made)
    assert "og:image" not in said
    assert said["og:title"] == wickerlark.studio.name
    assert Client().get(f"{path_of(made)}/card.jpg").status_code == 404
