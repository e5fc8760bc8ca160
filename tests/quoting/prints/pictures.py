"""Images as people upload them, and a quote with one printed on its covers."""

from __future__ import annotations

import io
from dataclasses import replace
from functools import cache

from PIL import Image

from quoting.craft.design.design_file import STARTERS, load_design
from quoting.craft.design.records import CoverPrint, Design
from quoting.models import PrintImage, Quote
from quoting.prints import images
from quoting.quotes import sketch
from tests.people import House
from tests.quoting import offer_scenes


@cache
def upload(colour: str = "#9FB2C2", size: tuple[int, int] = (600, 400), kind: str = "PNG") -> bytes:
    """A file of one color; made once, as large ones take a second."""
    out = io.BytesIO()
    Image.new("RGB", size, colour).save(out, kind)
    return out.getvalue()


def kept(colour: str = "#9FB2C2", name: str = "Forest.png") -> PrintImage:
    """An image of the entered studio."""
    content = upload(colour)
    return images.keep(io.BytesIO(content), size=len(content), name=name)


def printed(design: Design, image: PrintImage) -> Design:
    """A design with this image on each of its covers."""
    laid = CoverPrint(digest=image.digest, aspect=image.aspect)
    frames = tuple(replace(one, cover_print=laid if one.cover else None) for one in design.frames)
    return replace(design, frames=frames)


def design() -> Design:
    """A garland over two covered arches."""
    return load_design(STARTERS / "garland-nested-arches.json")


def quote_with(house: House, image: PrintImage) -> Quote:
    """A quote whose piece has the image on its covers, everything that it lacks planned."""
    quote = offer_scenes.with_gaps(house)
    piece = quote.pieces.get()
    sketch._keep(piece, printed(piece.read_design(), image), piece.width_m, piece.height_m)
    offer_scenes.plan_all(quote)
    return quote
