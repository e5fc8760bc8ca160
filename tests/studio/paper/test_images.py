"""Uploaded pictures are checked, shrunk and encoded anew."""

from __future__ import annotations

import hashlib
import io

import numpy as np
import pytest
from django.core.exceptions import ValidationError
from PIL import Image, ImageCms

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


def as_photo(image: Image.Image, kind: str, **options: object) -> Image.Image:
    """What an upload becomes, as Pillow reads it again."""
    out = io.BytesIO()
    image.save(out, kind, **options)
    made = images.photo(io.BytesIO(out.getvalue()), size=out.tell(), longest_side_px=200)
    return Image.open(io.BytesIO(made.content))


@pytest.mark.parametrize(
    ("mode", "kind", "colour", "seen"),
    [
        ("CMYK", "JPEG", (0, 255, 255, 0), (255, 0, 0)),
        ("L", "PNG", 128, (128, 128, 128)),
        ("LA", "PNG", (128, 255), (128, 128, 128)),
        ("I;16", "PNG", 128 * 256, (128, 128, 128)),
        ("RGBA", "PNG", (0, 0, 0, 0), (255, 255, 255)),
    ],
)
def test_inks_grey_and_clear_pictures_come_out_in_plain_colours(
    mode: str, kind: str, colour: float | tuple[int, ...], seen: tuple[int, int, int]
) -> None:
    again = as_photo(Image.new(mode, (40, 30), colour), kind)
    assert (again.mode, again.size) == ("RGB", (40, 30))
    assert again.getpixel((20, 15)) == pytest.approx(seen, abs=4)


@pytest.mark.parametrize(("mode", "kept"), [("CMYK", False), ("L", False), ("RGB", True)])
def test_a_profile_of_other_channels_is_not_written_along(mode: str, *, kept: bool) -> None:
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    out = io.BytesIO()
    Image.new(mode, (20, 20)).save(out, "JPEG", icc_profile=profile)
    made = images.reencoded(io.BytesIO(out.getvalue()), size=out.tell(), longest_side_px=200)
    with Image.open(io.BytesIO(made.png)) as again:
        assert ("icc_profile" in again.info) == kept


@pytest.mark.parametrize("is_noise", [False, True])
def test_a_small_copy_keeps_to_its_bytes_and_proportions(is_noise: bool) -> None:
    grain = np.random.default_rng(7).integers(0, 256, (900, 1500, 3), dtype=np.uint8)
    out = io.BytesIO()
    (Image.fromarray(grain) if is_noise else Image.new("RGB", (1500, 900), "#9FB2C2")).save(out, "PNG")
    whole = images.photo(io.BytesIO(out.getvalue()), size=out.tell(), longest_side_px=1500)
    small = images.small_copy(whole, most_bytes=44_000)
    assert len(small) <= 44_000
    with Image.open(io.BytesIO(small)) as again:  # Pillow reads it back
        again.load()
        assert (again.format, again.mode) == ("JPEG", "RGB")
        assert again.width / again.height == pytest.approx(5 / 3, rel=0.01)
