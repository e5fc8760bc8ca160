"""The picture of an offered set piece where it leaves the page: the lifelike one if it is there, else the drawing."""

from __future__ import annotations

import io

from PIL import Image

from quoting.models import StillState
from quoting.offers.document_presenter import PieceShown
from quoting.set_pieces.print_picture import left_out
from quoting.stills import stills
from studio.paper import raster


def photo_of(piece: PieceShown, *, small: bool = False) -> bytes | None:
    """The lifelike picture as a JPEG; None while there is none.

    It shows every option, so it is none of a piece that goes without one of its parts.
    """
    still = None if piece.without else stills.of_keys([piece.still]).get(piece.still)
    if still is None or still.state != StillState.READY:
        return None
    return bytes(stills.picture(still, small=small).content)


def drawing_of(piece: PieceShown) -> str:
    """The drawing as SVG, without the parts that are left out."""
    return left_out(piece.svg, piece.without)


def image_of(piece: PieceShown, photo: bytes | None, *, width_px: int) -> Image.Image:
    """The picture, dot by dot: the photo as it is, or the drawing so wide. Raises ``ValueError`` where it fails."""
    content = photo or raster.png(drawing_of(piece), width_px=width_px)
    with Image.open(io.BytesIO(content)) as image:
        return image.convert("RGB")
