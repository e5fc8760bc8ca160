"""Pictures of an offered piece that are made to be passed on: the card of its link, and one for the client to post.

Neither says a price. A card stands behind the link's own secret; the picture to post bears the studio's name.
"""

from __future__ import annotations

import hashlib
import io
from collections.abc import Callable
from typing import Final

import numpy as np
from django.contrib.staticfiles import finders
from django.core.cache import cache
from PIL import Image, ImageDraw, ImageFilter, ImageFont

from quoting.models import Offer, OfferState
from quoting.offers.document_presenter import OfferShown, PieceShown
from quoting.offers.piece_image import image_of, photo_of
from studio import tenancy
from studio.models import Studio

CARD: Final = (1200, 630)
"""Wide enough for the large form of a preview, in the proportions that most programs show (setting)."""
SHARED_PX: Final = 1600
BAND_PX: Final = 170
PAD_PX: Final = 44
PAPER: Final = "#FAF6EF"
INK: Final = "#1D2528"
LETTERS: Final = "studio/pdf/fraunces-600.ttf"
LARGEST_LETTERS: Final = 62
BLUR_PX: Final = 36
QUALITY: Final = 86
AN_HOUR: Final = 3600


def may_be_shared(offer: Offer, studio: Studio) -> bool:
    """Whether the client may post a picture: once it is agreed, or before if the studio allows it."""
    if offer.quote.event.is_off:
        return False
    standing = offer.standing
    return standing == OfferState.AGREED or (standing == OfferState.OPEN and studio.share_before_agreed)


def preview_card(offer: OfferShown) -> bytes | None:
    """The picture of the first chosen piece as a JPEG of the card's size; None where the offer has none."""
    piece = next(iter(offer.chosen_pieces), None)
    if piece is None:
        return None
    return _kept(
        "card", piece, "", lambda photo: _fitted(image_of(piece, photo, width_px=CARD[0]), bool(photo))
    )


def share_picture(piece: PieceShown, studio: Studio) -> bytes:
    """The picture of a piece over a band with the studio's logo and name, as a JPEG."""
    logo = bytes(studio.logo) if studio.logo else b""
    head = f"{studio.name}{studio.logo_digest}"
    return _kept(
        "share", piece, head,
        lambda photo: _with_band(image_of(piece, photo, width_px=SHARED_PX), studio.name, logo),
    )  # fmt: skip


# Private


def _kept(kind: str, piece: PieceShown, head: str, draw: Callable[[bytes | None], Image.Image]) -> bytes:
    """The picture as a JPEG, drawn once an hour at most for the same piece, parts and head."""
    photo = photo_of(piece)
    shows = [piece.still if photo else str(piece.svg), *piece.without, head]
    digest = hashlib.sha256("\n".join(shows).encode()).hexdigest()
    key = f"{kind}-{tenancy.current_studio_id()}-{digest}"
    return bytes(cache.get_or_set(key, lambda: _jpeg(draw(photo)), AN_HOUR) or b"")


def _fitted(image: Image.Image, is_photo: bool) -> Image.Image:
    """The whole picture in the card's size: a drawing's room goes on to the sides, a photo stands before itself."""
    whole = image.copy()
    whole.thumbnail(CARD, Image.Resampling.LANCZOS)
    if whole.height < CARD[1] and whole.width < CARD[0]:
        scale = min(CARD[0] / image.width, CARD[1] / image.height)
        whole = image.resize(
            (round(image.width * scale), round(image.height * scale)), Image.Resampling.LANCZOS
        )
    left, top = (CARD[0] - whole.width) // 2, (CARD[1] - whole.height) // 2
    if is_photo:
        ground = _cover(image).filter(ImageFilter.GaussianBlur(BLUR_PX))
        ground.paste(whole, (left, top))
        return ground
    right, below = CARD[0] - whole.width - left, CARD[1] - whole.height - top
    return Image.fromarray(np.pad(np.asarray(whole), ((top, below), (left, right), (0, 0)), mode="edge"))


def _cover(image: Image.Image) -> Image.Image:
    scale = max(CARD[0] / image.width, CARD[1] / image.height)
    large = image.resize((round(image.width * scale), round(image.height * scale)), Image.Resampling.BILINEAR)
    left, top = (large.width - CARD[0]) // 2, (large.height - CARD[1]) // 2
    return large.crop((left, top, left + CARD[0], top + CARD[1]))


def _with_band(image: Image.Image, name: str, logo: bytes) -> Image.Image:
    height = round(image.height * SHARED_PX / image.width)
    whole = Image.new("RGB", (SHARED_PX, height + BAND_PX), PAPER)
    whole.paste(image.resize((SHARED_PX, height), Image.Resampling.LANCZOS), (0, 0))
    left = PAD_PX
    if logo:
        left += _put_logo(whole, logo, height) + PAD_PX // 2
    letters = _letters(name, SHARED_PX - left - PAD_PX)
    ImageDraw.Draw(whole).text((left, height + BAND_PX / 2), name, fill=INK, font=letters, anchor="lm")
    return whole


def _put_logo(whole: Image.Image, logo: bytes, top: int) -> int:
    """Put the logo into the band; its width."""
    with Image.open(io.BytesIO(logo), formats=("PNG",)) as image:
        mark = image.convert("RGBA")
    mark.thumbnail((SHARED_PX // 3, BAND_PX - PAD_PX))
    whole.paste(mark, (PAD_PX, top + (BAND_PX - mark.height) // 2), mark)
    return mark.width


def _letters(name: str, room_px: float) -> ImageFont.FreeTypeFont:
    """Letters in which the name fits into the room."""
    letters = ImageFont.truetype(str(finders.find(LETTERS)), LARGEST_LETTERS)
    wide = letters.getlength(name)
    return letters if wide <= room_px else letters.font_variant(size=int(LARGEST_LETTERS * room_px / wide))


def _jpeg(image: Image.Image) -> bytes:
    out = io.BytesIO()
    image.save(out, "JPEG", quality=QUALITY, optimize=True, progressive=True)
    return out.getvalue()
