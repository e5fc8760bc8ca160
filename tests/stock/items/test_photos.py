"""The photo of an item: taken in clean, refused where it is none, one at a time; and which frame a cover fits."""

from __future__ import annotations

import io
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from stock.catalogue import items
from stock.models import ItemPhoto, Kind
from studio.models import StoredFile
from tests.people import House
from tests.stock.conftest import COVER, RING, Stocked


def picture(colour: str = "teal", size: tuple[int, int] = (1600, 900), kind: str = "PNG") -> bytes:
    out = io.BytesIO()
    Image.new("RGB", size, colour).save(out, kind)
    return out.getvalue()


def sent(stocked: Stocked, content: bytes, role: str = "staff") -> Any:
    upload = SimpleUploadedFile("ring.png", content, content_type="image/png")
    address = stocked.house.url("stock:item-photo-save", stocked.item(RING).pk)
    return stocked.house.client(role).post(address, {"photo-photo": upload})


def test_a_photo_is_shrunk_shown_and_replaced(stocked: Stocked) -> None:
    ring, house = stocked.item(RING), stocked.house
    assert sent(stocked, picture()).status_code == 302
    assert sent(stocked, picture("brown")).status_code == 302
    with house.enter():
        assert ItemPhoto.objects.count() == 1
        assert StoredFile.objects.count() == 1, "the one before is gone"
    page = house.client("crew").get(house.url("stock:item", ring.pk)).content.decode()
    assert f"{house.url('stock:item-photo', ring.pk)}?v=" in page
    shown = house.client("crew").get(house.url("stock:item-photo", ring.pk))
    assert shown["Content-Type"] == "image/jpeg"
    with Image.open(io.BytesIO(shown.content)) as kept:
        assert kept.size == (1200, 675)
    assert house.client().post(house.url("stock:item-photo-remove", ring.pk)).status_code == 302
    assert house.client().get(house.url("stock:item-photo", ring.pk)).status_code == 404
    with house.enter():
        assert not StoredFile.objects.exists()


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"<svg onload=alert(1)>", "no picture"),
        (b"GIF89a" + b"x" * 200, "no picture"),
        (picture()[:400], "no picture"),
        (b"", "empty"),
        (b"\xff\xd8" + b"x" * 14_000_000, "at most 12 MB"),
    ],
    ids=["a drawing that runs", "another kind", "cut off", "empty", "14 MB"],
)
def test_what_is_no_picture_or_too_large_is_said_at_its_field(
    stocked: Stocked, content: bytes, words: str
) -> None:
    answer = sent(stocked, content)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    with stocked.house.enter():
        assert not StoredFile.objects.exists()


def test_crew_change_no_photo_and_another_studio_finds_none(stocked: Stocked, federkorn: House) -> None:
    assert sent(stocked, picture(), role="crew").status_code == 403
    sent(stocked, picture())
    ring = stocked.item(RING)
    assert federkorn.client().get(federkorn.url("stock:item-photo", ring.pk)).status_code == 404


def test_a_cover_says_which_frame_it_fits(stocked: Stocked) -> None:
    house, ring, cover = stocked.house, stocked.item(RING), stocked.item(COVER)
    address = house.url("stock:item-change", cover.pk)
    facts = {"name": "Ring cover", "turnaround_hours": "30", "fits_frame": ring.pk}
    assert house.client().post(address, facts).status_code == 302
    page = house.client("crew").get(house.url("stock:item", cover.pk)).content.decode()
    assert "Ring 6 ft</a>" in page
    with house.enter():
        tool = items.add_item(kind=Kind.TOOL, name="Pump")
    assert house.client().post(address, {**facts, "fits_frame": tool.pk}).status_code == 422
    form = house.client().get(house.url("stock:item-change", tool.pk)).content.decode()
    assert "fits_frame" not in form
