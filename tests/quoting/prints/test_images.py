"""The studio's images are kept once, shrunk, and let go."""

from __future__ import annotations

import io

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.http import Http404
from PIL import Image

from quoting.models import PrintImage
from quoting.prints import images
from studio.models import StoredFile
from tests.people import House
from tests.quoting.prints.pictures import kept, upload


def test_an_image_is_kept_with_its_name_its_size_and_a_small_copy(wickerlark: House) -> None:
    with wickerlark.enter():
        image = kept()
        assert (image.name, image.width_px, image.height_px, image.aspect) == ("Forest", 600, 400, 1.5)
        assert images.find_file(image.digest).digest == image.digest
        with Image.open(io.BytesIO(bytes(image.small.content))) as small:
            assert small.format == "JPEG"
        assert len(image.small.content) <= images.SMALL_BYTES


def test_the_same_image_is_kept_once(wickerlark: House) -> None:
    with wickerlark.enter():
        assert kept().pk == kept(name="Again.png").pk
        assert PrintImage.objects.count() == 1
        assert StoredFile.objects.filter(name__startswith="print-").count() == 2


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"no picture", "no picture that can be read"),
        (upload()[:300], "no picture that can be read"),
        (b"\0" * (12 * 1024 * 1024 + 1), "at most 12 MB"),
        (upload(size=(5200, 5000), kind="PNG"), "at most 24 million"),
        (upload(size=(2100, 100)), "too long and thin"),
    ],
)
def test_what_is_broken_or_huge_is_refused(wickerlark: House, content: bytes, words: str) -> None:
    with wickerlark.enter(), pytest.raises(ValidationError, match=words):
        images.keep(io.BytesIO(content), size=len(content), name="x.png")


def test_one_too_many_is_refused_until_one_is_deleted(
    wickerlark: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(images, "MOST_IMAGES", 1)
    with wickerlark.enter():
        first = kept()
        with pytest.raises(ValidationError, match="1 images already"):
            kept("#112233")
        images.delete(first.digest)
        assert not StoredFile.objects.filter(name__startswith="print-").exists()
        assert kept("#112233").name == "Forest"


def test_another_studio_s_image_is_none(wickerlark: House, federkorn: House) -> None:
    with wickerlark.enter():
        digest = kept().digest
    with federkorn.enter():
        assert images.known([digest]) == {}
        for call in (images.find_file, images.delete):
            with pytest.raises(Http404):
                call(digest)


def test_the_database_refuses_a_second_row_and_a_digest_that_is_none(wickerlark: House) -> None:
    with wickerlark.enter():
        image = kept()
        for digest in (image.digest, "none"):
            image.pk, image.digest, image._state.adding = None, digest, True
            with pytest.raises(IntegrityError), transaction.atomic():
                image.save()
