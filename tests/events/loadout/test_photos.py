"""Photos from the phone: re-encoded, kept once, refused clearly."""

from __future__ import annotations

import io
import uuid
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from PIL import Image

from events.booking import stages
from events.loadout import photos
from events.models import Event, Photo, Stage
from studio.models import StoredFile
from tests.people import House

ORIENTATION, GPS = 0x0112, 0x8825
"""Exif tags (CIPA DC-008, Exif 2.3, tables 4 and 6)."""


def jpeg(size: tuple[int, int] = (400, 300), **options: Any) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", size, "#9B2C2C").save(out, "JPEG", **options)
    return out.getvalue()


def send(house: House, event: Event, content: bytes, name: str | None = None, role: str = "crew") -> Any:
    """As the page's script sends it."""
    facts = {"by": "script", "uuid": name or str(uuid.uuid4()), "made_at": timezone.now().isoformat()}
    photo = SimpleUploadedFile("photo.jpg", content, "image/jpeg")
    return house.client(role).post(house.url("events:photo-add", event.pk), {**facts, "photo": photo})


def test_a_photo_is_re_encoded_upright_and_without_what_the_camera_wrote(
    wickerlark: House, agreed: Event
) -> None:
    exif = Image.Exif()
    exif[ORIENTATION] = 6
    exif.get_ifd(GPS)[1] = "N"
    assert send(wickerlark, agreed, jpeg((2000, 1000), exif=exif)).status_code == 200
    with wickerlark.enter():
        photo = Photo.objects.get()
        assert (photo.width_px, photo.height_px) == (800, 1600)
        kept = Image.open(io.BytesIO(bytes(photo.file.content)))
    assert (kept.format, kept.size, dict(kept.getexif())) == ("JPEG", (800, 1600), {})
    with wickerlark.enter():
        stages.reach(agreed.pk, Stage.PREPARED)
    page = wickerlark.client("crew").get(wickerlark.url("events:event", agreed.pk)).content.decode()
    assert wickerlark.url("events:photo", photo.pk) in page
    answer = wickerlark.client("crew").get(wickerlark.url("events:photo", photo.pk))
    assert (answer.status_code, answer["Content-Type"]) == (200, "image/jpeg")


def test_the_same_photo_sent_again_is_one(wickerlark: House, agreed: Event) -> None:
    name = str(uuid.uuid4())
    for _ in range(2):
        assert send(wickerlark, agreed, jpeg(), name).json() == {"kept": [name]}
    with wickerlark.enter():
        assert (Photo.objects.count(), StoredFile.objects.filter(media_type="image/jpeg").count()) == (1, 1)


@pytest.mark.parametrize(
    ("content", "why"),
    [
        (b"\xff\xd8\xff" + b"\0" * (13 * 1024 * 1024), "The picture is 13.0 MB; at most 12 MB fit."),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "This file is no picture that can be read"),
        (jpeg()[:900], "This file is no picture that can be read"),
        (b"", "This file is no picture that can be read"),
    ],
    ids=["13 MB", "fake", "cut off", "empty"],
)
def test_what_is_no_photo_is_refused_in_words(
    wickerlark: House, agreed: Event, content: bytes, why: str
) -> None:
    answer = send(wickerlark, agreed, content)
    assert answer.status_code == 422
    assert why in answer.json()["error"]
    with wickerlark.enter():
        assert not Photo.objects.exists()


def test_without_script_the_form_keeps_it_too_and_says_what_is_wrong(
    wickerlark: House, agreed: Event
) -> None:
    browser, address = wickerlark.client("crew"), wickerlark.url("events:photo-add", agreed.pk)
    page = browser.post(address, {"photo": SimpleUploadedFile("a.jpg", b"no")}, follow=True)
    assert "This file is no picture that can be read" in page.content.decode()
    page = browser.post(address, {"photo": SimpleUploadedFile("a.jpg", jpeg())}, follow=True)
    assert "Photo saved." in page.content.decode()


def test_another_studio_neither_sees_nor_adds_photos(
    wickerlark: House, federkorn: House, agreed: Event
) -> None:
    send(wickerlark, agreed, jpeg())
    with wickerlark.enter():
        photo = Photo.objects.get()
    assert federkorn.client().get(federkorn.url("events:photo", photo.pk)).status_code == 404
    assert send(federkorn, agreed, jpeg(), role="owner").status_code == 404


def test_an_event_keeps_so_many_photos_and_says_so(
    wickerlark: House, agreed: Event, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(photos, "MOST_PHOTOS", 1)
    name = str(uuid.uuid4())
    assert send(wickerlark, agreed, jpeg(), name).status_code == 200
    refused = send(wickerlark, agreed, jpeg())
    assert (refused.status_code, "keeps 1 photos at most" in refused.content.decode()) == (422, True)
    assert send(wickerlark, agreed, jpeg(), name).json() == {"kept": [name]}, (
        "what is kept already is no other"
    )
