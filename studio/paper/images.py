"""Pictures that people upload: checked, shrunk, re-encoded."""

from __future__ import annotations

import hashlib
import io
import warnings
from dataclasses import dataclass
from typing import BinaryIO, Final

import numpy as np
from django.core.exceptions import ValidationError
from PIL import Image, ImageFile, ImageOps, UnidentifiedImageError

from studio.trade.ranges import FloatArray

LARGEST_UPLOAD_BYTES: Final = 5 * 1024 * 1024
LARGEST_PHOTO_BYTES: Final = 12 * 1024 * 1024
LARGEST_PIXELS: Final = 24_000_000
PHOTO_QUALITY: Final = 82
READABLE: Final = ("PNG", "JPEG", "WEBP")


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
    return Picture(png, hashlib.sha256(png).hexdigest())


def photo(upload: BinaryIO, *, size: int, longest_side_px: int) -> PhotoPicture:
    """The uploaded photo as a fresh JPEG without metadata (no place, no camera), no side longer than asked.

    Up to 12 MB; refuses otherwise as :func:`reencoded` does.
    """
    upright = _upright(upload, size=size, largest=LARGEST_PHOTO_BYTES, mode="RGB", side=longest_side_px)
    out = io.BytesIO()
    upright.save(out, "JPEG", quality=PHOTO_QUALITY, optimize=True, progressive=True)
    jpeg = out.getvalue()
    return PhotoPicture(jpeg, *upright.size, hashlib.sha256(jpeg).hexdigest())


def pixels(upload: BinaryIO, *, size: int, longest_side_px: int) -> FloatArray:
    """The uploaded picture, upright, as sRGB from 0 to 1, shape (height, width, 3); nothing of it is kept.

    Up to 12 MB; refuses otherwise as :func:`reencoded` does.
    """
    upright = _upright(upload, size=size, largest=LARGEST_PHOTO_BYTES, mode="RGB", side=longest_side_px)
    return np.asarray(upright, dtype=np.float64) / 255


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
                upright = ImageOps.exif_transpose(image).convert(mode)
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, Warning) as fault:
        if isinstance(fault, ValidationError):
            raise
        raise ValidationError("This file is no picture that can be read; send a PNG, JPEG or WebP.") from None
    upright.thumbnail((side, side))
    # Pillow writes an upload's comment, XMP and the like along; only the colours' profile belongs to the picture.
    upright.info = {name: value for name, value in upright.info.items() if name == "icc_profile"}
    return upright
