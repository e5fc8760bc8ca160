"""Uploaded pictures are checked, shrunk and encoded anew."""

from __future__ import annotations

import hashlib
import io

import pytest
from django.core.exceptions import ValidationError
from PIL import Image

from studio.paper import images


def picture(width: int, height: int, kind: str = "PNG", **options: object) -> io.BytesIO:
    out = io.BytesIO()
    Image.new("RGB", (width, height), (11, 90, 94)).save(out, kind, **options)
    out.seek(0)
    return out


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "WEBP"])
def test_a_picture_becomes_a_fresh_png_of_the_asked_size(kind: str) -> None:
    upload = picture(900, 300, kind)
    made = images.reencoded(upload, size=len(upload.getvalue()), longest_side_px=480)
    with Image.open(io.BytesIO(made.png)) as again:
        assert (again.format, again.size) == ("PNG", (480, 160))
    assert made.digest == hashlib.sha256(made.png).hexdigest()


def test_what_was_hidden_in_the_file_is_gone() -> None:
    exif = Image.Exif()
    exif[0x010E] = "a secret place"
    upload = picture(20, 20, "JPEG", exif=exif)
    assert b"a secret place" in upload.getvalue()
    made = images.reencoded(upload, size=len(upload.getvalue()), longest_side_px=480)
    assert b"a secret place" not in made.png


XMP = b'<x:xmpmeta xmlns:x="adobe:ns:meta/">a secret place</x:xmpmeta>'


@pytest.mark.parametrize("hidden", [{"comment": b"a secret place"}, {"xmp": XMP}])
def test_comments_and_the_like_are_gone_from_photos_and_pictures(hidden: dict[str, bytes]) -> None:
    upload = picture(20, 20, "JPEG", **hidden)
    whole = upload.getvalue()
    assert b"a secret place" in whole
    assert b"a secret place" not in images.photo(upload, size=len(whole), longest_side_px=480).content
    upload.seek(0)
    assert b"a secret place" not in images.reencoded(upload, size=len(whole), longest_side_px=480).png


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"not a picture at all",
        b"<svg xmlns='http://www.w3.org/2000/svg'/>",
        b"\x89PNG\r\n\x1a\n" + b"\0" * 40,
        b"GIF89a\x01\x00\x01\x00\x00\x00\x00;",
        b"%PDF-1.7",
    ],
)
def test_a_fake_picture_is_refused(content: bytes) -> None:
    with pytest.raises(ValidationError, match="no picture that can be read"):
        images.reencoded(io.BytesIO(content), size=len(content), longest_side_px=480)


def test_a_cut_off_picture_is_refused() -> None:
    whole = picture(600, 600, "JPEG").getvalue()
    with pytest.raises(ValidationError, match="no picture that can be read"):
        images.reencoded(io.BytesIO(whole[: len(whole) // 2]), size=len(whole) // 2, longest_side_px=480)


def test_a_file_that_is_too_large_is_refused_before_it_is_read() -> None:
    with pytest.raises(ValidationError, match=r"40\.0 MB; at most 5 MB"):
        images.reencoded(io.BytesIO(b""), size=40 * 1024 * 1024, longest_side_px=480)


def test_too_many_pixels_are_refused_before_they_are_decoded() -> None:
    upload = picture(6000, 5000)
    with pytest.raises(ValidationError, match="6000 × 5000 pixels; at most 24 million"):
        images.reencoded(upload, size=1000, longest_side_px=480)
