"""The picture in an offer's letter: the lifelike one if it is there, else the drawing.

The letter never waits for it, and isn't sent again when it comes.
"""

from __future__ import annotations

import io
from typing import Final

from PIL import Image

from quoting.offers.document_presenter import OfferShown, PieceShown
from quoting.offers.piece_image import drawing_of, photo_of
from studio.outbox.entries import log
from studio.outbox.mail import Picture
from studio.paper import images, raster

MOST_BYTES: Final = 150_000
WIDTH_PX: Final = 1120
"""Twice the width of a letter's text (setting)."""
SHOWN_PX: Final = 502
"""The width of a letter's text, in the frame of all letters."""


def for_letter(offer: OfferShown) -> Picture | None:
    """The picture of the first set piece that is chosen; None where the offer has none."""
    piece = next(iter(offer.chosen_pieces), None)
    if piece is None:
        return None
    try:
        content, kind = _content(piece)
    except ValueError as fault:
        log.error("The letter of offer %s goes without its picture: %s", offer.reference, fault)
        return None
    with Image.open(io.BytesIO(content)) as image:
        height_px = round(SHOWN_PX * image.height / image.width)
    return Picture(content, kind, piece.alt, SHOWN_PX, height_px)


# Private


def _content(piece: PieceShown) -> tuple[bytes, str]:
    """The picture and its kind."""
    if photo := photo_of(piece, small=True):
        return images.jpeg_within(photo, most_bytes=MOST_BYTES, width_px=WIDTH_PX), "jpeg"
    return raster.small_png(drawing_of(piece), width_px=WIDTH_PX, most_bytes=MOST_BYTES), "png"
