"""Pictures that people upload: checked, shrunk, re-encoded."""

from __future__ import annotations

import hashlib
import io
import warnings
from dataclasses import dataclass
from typing import BinaryIO, Final

import numpy as np
from django.core.exceptions import ValidationError
from PIL import Image, ImageCms, ImageFile, ImageOps, UnidentifiedImageError

from studio.trade.ranges import FloatArray

LARGEST_UPLOAD_BYTES: Final = 5 * 1024 * 1024
LARGEST_PHOTO_BYTES: Final = 12 * 1024 * 1024
LARGEST_PIXELS: Final = 24_000_000
PHOTO_QUALITY: Final = 82
READABLE: Final = ("PNG", "JPEG", "WEBP")
GREY: Final = ("1", "L", "LA", "I", "F")
SMALLER_AND_SMALLER: Final = ((720, 78), (640, 65), (480, 60), (360, 55), (240, 50), (160, 40))
"""Sides and qualities that a small copy is tried in (setting)."""


@dataclass(frozen=True)
class Picture:
    """A re-encoded PNG and the SHA-256 of its bytes, hexadecimal."""

    png: bytes
    digest: str


@dataclass(frozen=True)
class PhotoPicture:
    """A re-encoded JPEG, its size in pixels, and the SHA-256 of its bytes, hexadecimal."""

    content: bytes
    width_px: int
    height_px: int
    digest: str


def reencoded(upload: BinaryIO, *, size: int, longest_side_px: int) -> Picture:
    """The uploaded picture as a fresh PNG without metadata, no side longer than ``longest_side_px``.

    ``size`` is the upload's length in bytes. Refuses, with :class:`ValidationError`, what is too large, has too
    many pixels (looked at before decoding) or is no PNG, JPEG or WebP picture, whatever its name says.
    """
    upright = _upright(upload, size=size, largest=LARGEST_UPLOAD_BYTES, mode="RGBA", side=longest_side_px)
    out = io.BytesIO()
    upright.save(out, "PNG", optimize=True)
    png = out.getvalue()
    return Picture(png, digest_of(png))


def photo(upload: BinaryIO, *, size: int, longest_side_px: int) -> PhotoPicture:
    """The uploaded photo as a fresh JPEG without metadata (no place, no camera), no side longer than asked.

    Up to 12 MB; refuses otherwise as :func:`reencoded` does.
    """
    upright = _upright(upload, size=size, largest=LARGEST_PHOTO_BYTES, mode="RGB", side=longest_side_px)
    out = io.BytesIO()
    upright.save(out, "JPEG", quality=PHOTO_QUALITY, optimize=True, progressive=True)
    jpeg = out.getvalue()
    return PhotoPicture(jpeg, *upright.size, digest_of(jpeg))


def pixels(upload: BinaryIO, *, size: int, longest_side_px: int) -> FloatArray:
    """The uploaded picture, upright, as sRGB from 0 to 1, shape (height, width, 3); nothing of it is kept.

    Up to 12 MB; refuses otherwise as :func:`reencoded` does.
    """
    upright = _upright(upload, size=size, largest=LARGEST_PHOTO_BYTES, mode="RGB", side=longest_side_px)
    return np.asarray(upright, dtype=np.float64) / 255


def digest_of(content: bytes) -> str:
    """The SHA-256 of a file's bytes, hexadecimal."""
    return hashlib.sha256(content).hexdigest()


def small_copy(picture: PhotoPicture, *, most_bytes: int) -> bytes:
    """A copy of a photo as a JPEG of at most so many bytes. Raises ``ValueError`` where even a tiny one has more."""
    with Image.open(io.BytesIO(picture.content), formats=("JPEG",)) as image:
        whole = image.convert("RGB")
    whole.info = {}
    for side, quality in SMALLER_AND_SMALLER:
        whole.thumbnail((side, side))
        out = io.BytesIO()
        whole.save(out, "JPEG", quality=quality, optimize=True, progressive=True)
        if out.tell() <= most_bytes:
            return out.getvalue()
    raise ValueError(f"No picture fits into {most_bytes} bytes.")


def jpeg_within(content: bytes, *, most_bytes: int, width_px: int) -> bytes:
    """One of our own pictures as a JPEG at most so wide and of at most so many bytes: itself where it fits.

    Raises ``ValueError`` where even a tiny one has more bytes.
    """
    with Image.open(io.BytesIO(content), formats=("JPEG",)) as image:
        if image.width <= width_px and len(content) <= most_bytes:
            return content
        image.draft("RGB", (width_px, width_px))
        whole = image.convert("RGB")
    whole.info = {}
    whole.thumbnail((width_px, 4 * width_px))
    out = io.BytesIO()
    whole.save(out, "JPEG", quality=PHOTO_QUALITY, optimize=True, progressive=True)
    if out.tell() <= most_bytes:
        return out.getvalue()
    return small_copy(PhotoPicture(out.getvalue(), *whole.size, ""), most_bytes=most_bytes)


# --- Private ---


def _upright(upload: BinaryIO, *, size: int, largest: int, mode: str, side: int) -> Image.Image:
    if size > largest:
        raise ValidationError(f"The picture is {size / 1048576:.1f} MB; at most {largest // 1048576} MB fit.")
    # WeasyPrint switches this on for the whole process; a picture that is cut off must not pass as whole.
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(upload, formats=READABLE) as image:
                if image.width * image.height > LARGEST_PIXELS:
                    raise ValidationError(
                        f"The picture has {image.width} × {image.height} pixels; at most 24 million fit."
                    )
                image.draft("RGB", (side * 2, side * 2))
                upright = _in_mode(ImageOps.exif_transpose(image), mode)
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, Warning) as fault:
        if isinstance(fault, ValidationError):
            raise
        raise ValidationError("This file is no picture that can be read; send a PNG, JPEG or WebP.") from None
    upright.thumbnail((side, side))
    return upright


def _in_mode(image: Image.Image, mode: str) -> Image.Image:
    """The picture in these channels, on white where it was clear and loses that. Pillow writes an upload's comment, XMP
    and the like along: only the colours' profile belongs to the picture, and none that is for inks or grey."""
    if image.mode == "I;16":  # Pillow would cut it off at 255
        image = Image.fromarray((np.asarray(image) >> 8).astype(np.uint8))
    profile = image.info.get("icc_profile")
    if image.mode == "CMYK":
        image, profile = _without_inks(image, profile), None
    elif image.mode in GREY:
        profile = None
    if mode == "RGB" and image.has_transparency_data:
        clear = image.convert("RGBA")
        image = Image.alpha_composite(Image.new("RGBA", clear.size, "white"), clear)
    converted = image.convert(mode)
    converted.info = {"icc_profile": profile} if profile else {}
    return converted


def _without_inks(image: Image.Image, profile: bytes | None) -> Image.Image:
    """A picture in inks as sRGB, by its profile where it has one that can be read."""
    if profile:
        try:
            inks, screen = ImageCms.ImageCmsProfile(io.BytesIO(profile)), ImageCms.createProfile("sRGB")
            found = ImageCms.profileToProfile(image, inks, screen, outputMode="RGB")
        except (ImageCms.PyCMSError, OSError):
            found = None
        if found is not None:
            return found
    return image.convert("RGB")
