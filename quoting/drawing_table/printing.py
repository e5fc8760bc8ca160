"""Forms for an image that is printed on a frame's cover."""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping
from typing import Final

from django.core.files.uploadedfile import UploadedFile

from quoting.craft.design.prints import takes_print
from quoting.craft.design.records import FITS, CoverPrint, Design, Frame
from quoting.craft.table.shelf import Shelf
from quoting.craft.table.things import Thing, ref_of
from quoting.drawing_table.forms import UPLOAD, ActForm
from quoting.drawing_table.panel import FormGroup, Forms
from quoting.prints import images
from studio.tenancy import fair_share

ACT: Final = "print"
NO_IMAGE: Final = ("", "no image")
GONE: Final = "an image that was deleted"
FIT_WORDS: Final[Mapping[str, str]] = {"cover": "fills the cover", "contain": "all of it is seen"}
NOTE: Final = (
    "It is printed on a cover of its own, which the quote has made. Keep the original file for the printer."
)


def print_group(design: Design, thing: Thing, shelf: Shelf, make: Forms) -> FormGroup | None:
    """Forms that choose an image for a frame's cover and lay it, or bring a new one; None for what has no cover."""
    if not isinstance(thing, Frame) or not takes_print(thing):
        return None
    forms = tuple(_forms(thing, shelf, make))
    laid = thing.cover_print
    is_open = laid is not None or make.sent.get("act") == ACT
    kept = laid.digest if laid and laid.digest in shelf.prints else ""
    return FormGroup(ACT, "Image on the cover", forms, note=NOTE, is_open=is_open, image=kept)


def with_kept_image(sent: Mapping[str, str], upload: object) -> dict[str, str]:
    """What was sent, with the image that came along kept and chosen. Raises ``ValidationError`` for what is none."""
    if sent.get("act") != ACT or not isinstance(upload, UploadedFile):
        return dict(sent)
    with fair_share.turn(fair_share.PICTURES):
        content = io.BytesIO(upload.read())
        kept = images.keep(content, size=len(content.getvalue()), name=upload.name or "")
    return {**sent, "image": kept.digest}


# Private


def _forms(frame: Frame, shelf: Shelf, make: Forms) -> Iterator[ActForm]:
    laid = frame.cover_print
    if laid or shelf.prints:
        yield make.make(
            ACT, _fields(laid), thing=ref_of(frame),
            choices={"image": _images(laid, shelf), "fit": [(fit, FIT_WORDS[fit]) for fit in FITS]},
        )  # fmt: skip
    yield make.make(ACT, {UPLOAD: None}, thing=ref_of(frame), verb="Add", key="print-upload")


def _fields(laid: CoverPrint | None) -> dict[str, object]:
    """The choice of an image, and how the present one is laid."""
    if laid is None:
        return {"image": ""}
    shares = {"x_share": laid.x_share, "y_share": laid.y_share}
    return {"image": laid.digest, "fit": laid.fit, "bleed_m": laid.bleed_m, **shares}


def _images(laid: CoverPrint | None, shelf: Shelf) -> list[tuple[str, str]]:
    known = {digest: image.label for digest, image in shelf.prints.items()}
    if laid:
        known.setdefault(laid.digest, GONE)
    return [NO_IMAGE, *known.items()]
