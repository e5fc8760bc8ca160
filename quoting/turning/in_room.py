"""Models for a phone's own viewer, which stands them in a room: it fetches the file by itself, without the cookie of
the page. So the address says by itself what it opens, for an hour, signed by this site."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import Final

from django.core import signing
from django.http import HttpResponse
from django.urls import reverse

from quoting.craft.design.records import Design
from quoting.turning import turned

LASTS: Final = timedelta(hours=1)  # setting
Parts = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class RoomModel:
    """The addresses of one model: for viewers that read glTF, and for those that read USDZ."""

    glb: str
    usdz: str


class Ended(Exception):
    """The address was good once."""


def addresses(name: str, *parts: str | int) -> RoomModel:
    """Addresses of the view ``name`` that open what ``parts`` say, for :data:`LASTS`."""
    token = signing.dumps(parts, salt=name)
    return RoomModel(reverse(name, args=[token, "glb"]), reverse(name, args=[token, "usdz"]))


def read(name: str, token: str) -> Parts | None:
    """What an address opens; None where this site never made it. Raises :class:`Ended` after its time."""
    try:
        return tuple(signing.loads(token, salt=name, max_age=LASTS))
    except signing.SignatureExpired as late:
        raise Ended from late
    except signing.BadSignature:
        return None


def response(kind: str, design: Design, name: str) -> HttpResponse:
    """The model as the ``kind`` of file that was asked for."""
    if kind == "usdz":
        return turned.file_response(name, turned.usdz_of(design, name), "usdz", "model/vnd.usdz+zip")
    return turned.model_response(name, turned.model_of(design, name))


def ended_response() -> HttpResponse:
    """What a viewer is told whose address is too old, or whose offer's link was closed."""
    return HttpResponse(
        "This model is no longer shown.", status=410, content_type="text/plain; charset=utf-8"
    )
