"""Images inside a design file: a small copy of each goes along, and is kept where the file is brought in."""

from __future__ import annotations

import base64
import binascii
import io
from collections.abc import Mapping, Sequence
from dataclasses import replace

from django.core.exceptions import ValidationError
from django.db import transaction

from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.records import MOST_CARRIED, CarriedImage, Design, Frame
from quoting.models import PrintImage
from quoting.prints import images
from studio.paper.images import PhotoPicture, photo, small_copy


def carrying(design: Design) -> Design:
    """The design with small copies of its images, as its file has them. One query where it has any."""
    known = images.known(_digests(design))
    carried = [_carried(known[digest]) for digest in _digests(design) if digest in known]
    return replace(design, images=tuple(carried[:MOST_CARRIED]))


def checked(design: Design) -> Design:
    """The design out of a file, each image in it read and encoded anew. ``DesignError`` at each that is none."""
    faults: list[Fault] = []
    read = [_checked(one, f"images[{k}].jpeg", faults) for k, one in enumerate(design.images)]
    if faults:
        raise DesignError(*faults)
    return replace(design, images=tuple(one for one in read if one))


def taken_in(design: Design) -> Design:
    """The design with the images that came along kept among the studio's; one that it has already stays whole.

    Raises ``ValidationError`` where the studio has as many as it can.
    """
    wanted = _digests(design)
    own = images.known(wanted)
    with transaction.atomic():
        kept = {
            one.digest: images.keep_picture(_picture(one), one.name).digest
            for one in design.images
            if one.digest in wanted and one.digest not in own
        }
    frames = _renamed(design.frames, kept)
    chosen = design.chosen and replace(design.chosen, frames=_renamed(design.chosen.frames, kept))
    return replace(design, frames=frames, chosen=chosen, images=())


# Private


def _digests(design: Design) -> list[str]:
    """The digests of the images on its covers, each once, in order."""
    chosen = design.chosen.frames if design.chosen else ()
    laid = [frame.cover_print for frame in (*design.frames, *chosen)]
    return list(dict.fromkeys(one.digest for one in laid if one))


def _carried(image: PrintImage) -> CarriedImage:
    return CarriedImage(digest=image.digest, name=image.name, jpeg=_as_text(bytes(image.small.content)))


def _as_text(jpeg: bytes) -> str:
    return base64.b64encode(jpeg).decode()


def _checked(one: CarriedImage, path: str, faults: list[Fault]) -> CarriedImage | None:
    try:
        small = small_copy(_picture(one), most_bytes=images.SMALL_BYTES)
    except ValidationError as refusal:
        faults.append(Fault(code=FaultCode.NO_PICTURE, field=path, what=" ".join(refusal.messages)))
        return None
    return replace(one, jpeg=_as_text(small))


def _picture(one: CarriedImage) -> PhotoPicture:
    """The image decoded and encoded anew. Raises ``ValidationError`` where it is none."""
    try:
        content = base64.b64decode(one.jpeg, validate=True)
    except binascii.Error:
        raise ValidationError("The text is no base64.") from None
    picture = photo(io.BytesIO(content), size=len(content), longest_side_px=images.LONGEST_SIDE_PX)
    images.refuse_thin(picture)
    return picture


def _renamed(frames: Sequence[Frame], digests: Mapping[str, str]) -> tuple[Frame, ...]:
    """The frames with their images under other digests."""
    return tuple(
        replace(frame, cover_print=replace(frame.cover_print, digest=digests[frame.cover_print.digest]))
        if frame.cover_print and frame.cover_print.digest in digests
        else frame
        for frame in frames
    )
