"""Pictures and papers with events and venues: kept, shown, let go, and refused in words."""

from __future__ import annotations

import io
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from events.booking import attachments
from events.contacts import venues
from events.models import Enclosure, Event, Venue
from studio.models import StoredFile
from tests.events.loadout.test_photos import jpeg
from tests.events.test_pages import counted
from tests.people import House

PDF = b"%PDF-1.7\n% a floor plan\n%%EOF\n"


def send(
    house: House,
    event: Event,
    content: bytes,
    name: str = "plan.pdf",
    role: str = "staff",
    follow: bool = True,
) -> Any:
    upload = SimpleUploadedFile(name, content, "application/octet-stream")
    return house.client(role).post(
        house.url("events:event-attachment-add", event.pk), {"file": upload}, follow=follow
    )


@pytest.fixture
def hall(wickerlark: House) -> Venue:
    with wickerlark.enter():
        return venues.add_venue(name="Hall")


def test_a_pdf_is_kept_as_it_came_and_taken_along_by_crew(wickerlark: House, enquired: Event) -> None:
    page = send(wickerlark, enquired, PDF)
    assert "plan.pdf attached." in page.content.decode()
    with wickerlark.enter():
        kept = Enclosure.objects.get()
    address = wickerlark.url("events:attachment", kept.pk)
    crew = wickerlark.client("crew")
    assert address in crew.get(wickerlark.url("events:event", enquired.pk)).content.decode()
    answer = crew.get(address)
    assert (answer.content, answer["Content-Type"]) == (PDF, "application/pdf")
    assert answer["Content-Disposition"] == 'attachment; filename="plan.pdf"'
    assert answer["X-Content-Type-Options"] == "nosniff"


def test_a_picture_of_a_venue_is_re_encoded_without_what_the_camera_wrote(
    wickerlark: House, hall: Venue
) -> None:
    exif = Image.Exif()
    exif.get_ifd(0x8825)[1] = "N"  # GPS (CIPA DC-008, Exif 2.3)
    upload = SimpleUploadedFile("dock.jpg", jpeg((2000, 1000), exif=exif))
    browser = wickerlark.client("staff")
    browser.post(wickerlark.url("events:venue-attachment-add", hall.pk), {"file": upload})
    with wickerlark.enter():
        kept = Enclosure.objects.get(venue=hall)
        picture = Image.open(io.BytesIO(bytes(kept.file.content)))
    assert (kept.is_picture, picture.size, dict(picture.getexif())) == (True, (1600, 800), {})
    assert (
        wickerlark.url("events:attachment", kept.pk)
        in browser.get(wickerlark.url("events:venue", hall.pk)).content.decode()
    )


@pytest.mark.parametrize(
    ("content", "name", "words"),
    [
        (b"MZ\x90 no paper at all", "plan.pdf", "Pictures (PNG, JPEG, WebP) and PDFs can be attached."),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "x.svg", "Pictures (PNG, JPEG, WebP) and PDFs can be attached."),
        (b"", "empty.pdf", "Pictures (PNG, JPEG, WebP) and PDFs can be attached."),
        (PDF + b"\0" * (11 * 1024 * 1024), "thick.pdf", "11 MB; PDFs of up to 10 MB"),
    ],
)  # fmt: skip
def test_anything_else_is_refused_in_words(
    wickerlark: House, enquired: Event, content: bytes, name: str, words: str
) -> None:
    assert words in send(wickerlark, enquired, content, name).content.decode()
    with wickerlark.enter():
        assert not Enclosure.objects.exists()
        assert not StoredFile.objects.exists()


def test_forty_are_kept_and_no_more(
    wickerlark: House, enquired: Event, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(attachments, "MOST_FILES", 1)
    send(wickerlark, enquired, PDF)
    assert "At most 1 files can be attached here." in send(wickerlark, enquired, PDF).content.decode()


def test_the_office_lets_one_go_with_its_content_and_crew_do_not(wickerlark: House, enquired: Event) -> None:
    send(wickerlark, enquired, PDF)
    assert send(wickerlark, enquired, PDF, role="crew").status_code == 403
    with wickerlark.enter():
        kept = Enclosure.objects.get()
    address = wickerlark.url("events:attachment-remove", kept.pk)
    assert wickerlark.client("crew").post(address).status_code == 403
    page = wickerlark.client("staff").post(address, follow=True)
    assert "plan.pdf removed." in page.content.decode()
    with wickerlark.enter():
        assert not StoredFile.objects.exists()


def test_another_studio_neither_sees_nor_adds(wickerlark: House, federkorn: House, enquired: Event) -> None:
    send(wickerlark, enquired, PDF)
    with wickerlark.enter():
        kept = Enclosure.objects.get()
    for name, number in (("attachment", kept.pk), ("attachment-remove", kept.pk)):
        browser = federkorn.client()
        ask = browser.get if name == "attachment" else browser.post
        assert ask(federkorn.url(f"events:{name}", number)).status_code == 404
    assert send(federkorn, enquired, PDF, follow=False).status_code == 404


def test_many_files_take_no_more_queries_than_one(wickerlark: House, enquired: Event) -> None:
    browser, path = wickerlark.client(), wickerlark.url("events:event", enquired.pk)
    send(wickerlark, enquired, PDF)
    few = counted(browser, path)
    for number in range(3):
        send(wickerlark, enquired, PDF, name=f"{number}.pdf")
    assert counted(browser, path) == few
