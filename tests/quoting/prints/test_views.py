"""The address of an image."""

from __future__ import annotations

import io

import pytest
from PIL import Image

from tests.people import House
from tests.quoting.prints.pictures import kept


@pytest.mark.parametrize("role", ["owner", "staff"])
def test_an_image_is_sent_once_and_kept_by_the_browser(wickerlark: House, role: str) -> None:
    with wickerlark.enter():
        image = kept()
    answer = wickerlark.client(role).get(wickerlark.url("quoting:print-image", image.digest))
    assert (answer.status_code, answer["Content-Type"]) == (200, "image/jpeg")
    assert answer["Cache-Control"] == "private, max-age=31536000, immutable"
    assert answer.content.startswith(b"\xff\xd8")


def test_a_foreign_or_unknown_image_is_not_found(wickerlark: House, federkorn: House) -> None:
    with wickerlark.enter():
        digest = kept().digest
    for asked in (digest, "0" * 64, "none"):
        answer = federkorn.client("owner").get(federkorn.url("quoting:print-image", asked))
        assert answer.status_code == 404
        with Image.open(io.BytesIO(answer.content)) as clear:  # a browser draws this: nothing is seen
            assert clear.convert("RGBA").getpixel((0, 0)) == (0, 0, 0, 0)


def test_who_may_not_see_quotes_is_refused(wickerlark: House) -> None:
    with wickerlark.enter():
        digest = kept().digest
    assert wickerlark.client("crew").get(wickerlark.url("quoting:print-image", digest)).status_code == 403
