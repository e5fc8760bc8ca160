"""Images go along in a design file and are kept where it is brought in."""

from __future__ import annotations

import base64
import html
import io
import json
from typing import Any

import jsonschema
import pytest
from PIL import Image

from quoting.craft.design.design_file import design_schema, read_design
from quoting.design_library import files, library
from quoting.models import DesignTemplate, PrintImage
from quoting.prints import images
from quoting.prints.pictures import HEAD
from tests.people import House
from tests.quoting.prints.pictures import design, kept, printed, upload


def shared(house: House) -> dict[str, Any]:
    """The file of a design with a printed cover, as the studio shares it."""
    with house.enter():
        template = library.keep_design(printed(design(), kept()), house.studio)
    answer = house.client().get(house.url("quoting:design-file", template.pk))
    found: dict[str, Any] = json.loads(answer.content)
    return found


def brought_in(house: House, document: dict[str, Any], **fields: str) -> Any:
    text = json.dumps(document)
    return house.client().post(house.url("quoting:design-import"), {"text": text, **fields})


def test_a_shared_file_carries_a_small_copy_and_keeps_to_the_schema(wickerlark: House) -> None:
    document = shared(wickerlark)
    jsonschema.Draft202012Validator(design_schema()).validate(document)
    (carried,) = document["images"]
    assert carried["name"] == "Forest"
    with Image.open(io.BytesIO(base64.b64decode(carried["jpeg"]))) as small:  # Pillow reads it back
        assert (small.format, small.size) == ("JPEG", (600, 400))


def test_another_studio_brings_the_image_in_with_the_design(wickerlark: House, federkorn: House) -> None:
    document = shared(wickerlark)
    looked = brought_in(federkorn, document)
    assert looked.status_code == 200
    assert HEAD in looked.content.decode()
    with federkorn.enter():
        assert not PrintImage.objects.exists()
    assert brought_in(federkorn, document, keep="1", name="Theirs").status_code == 302
    with federkorn.enter():
        image = PrintImage.objects.get()
        template = DesignTemplate.objects.get(name="Theirs")
        assert (image.name, image.width_px) == ("Forest", 600)
        assert HEAD in template.picture
        read = read_design(template.design)
        assert {frame.cover_print.digest for frame in read.frames if frame.cover_print} == {image.digest}
        assert read.images == ()


def test_the_studio_that_shared_it_keeps_its_whole_image(wickerlark: House) -> None:
    document = shared(wickerlark)
    assert brought_in(wickerlark, document, keep="1", name="Again").status_code == 302
    with wickerlark.enter():
        assert PrintImage.objects.count() == 1


def test_a_design_without_a_print_carries_nothing(wickerlark: House) -> None:
    with wickerlark.enter():
        assert "images" not in json.loads(files.written(design()))


HUGE = base64.b64encode(upload(size=(5200, 5000))).decode()


@pytest.mark.parametrize(
    ("jpeg", "words"),
    [
        ("AAAA", "no picture that can be read"),
        ("AAAAA", "no base64"),
        (base64.b64encode(upload(kind="JPEG")[:400]).decode(), "no picture that can be read"),
        (base64.b64encode(upload(size=(2100, 100))).decode(), "too long and thin"),
        (HUGE[:60_000], "at most 24 million fit"),
        ("A" * 60_004, "has 60004 characters"),
        ('"><script>', "a small copy as JPEG"),
    ],
)
def test_a_broken_or_huge_image_is_refused_at_its_field(wickerlark: House, jpeg: str, words: str) -> None:
    document = shared(wickerlark)
    document["images"][0]["jpeg"] = jpeg
    answer = brought_in(wickerlark, document, keep="1", name="Other")
    text = html.unescape(answer.content.decode())
    assert answer.status_code == 422
    assert "<code>images[0].jpeg</code>" in text
    assert words in text


def test_two_images_of_one_digest_are_refused(wickerlark: House) -> None:
    document = shared(wickerlark)
    document["images"] *= 2
    assert "images[1].digest" in brought_in(wickerlark, document).content.decode()


def test_a_studio_with_as_many_images_as_it_can_have_keeps_nothing(
    wickerlark: House, federkorn: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    document = shared(wickerlark)
    monkeypatch.setattr(images, "MOST_IMAGES", 0)
    answer = brought_in(federkorn, document, keep="1", name="Theirs")
    assert answer.status_code == 422
    assert "images already" in answer.content.decode()
    with federkorn.enter():
        assert not DesignTemplate.objects.filter(name="Theirs").exists()
