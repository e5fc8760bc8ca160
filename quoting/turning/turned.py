"""Set pieces as models that can be turned, with what each balloon of them is."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from django.http import HttpResponse
from django.utils.text import slugify

from quoting.craft.design.records import Design
from quoting.craft.picture.elevation import description
from quoting.craft.solid.glb import glb
from quoting.craft.solid.scene import scene_of
from quoting.craft.solid.usdz import usdz
from quoting.design_library import library
from quoting.models import SetPiece
from quoting.prints import images
from quoting.set_pieces.worked import in_units, taken_off
from studio.trade.latex import round_name

VIEWER_STYLE: Final = "'sha256-PXtZZkJMMyc18o/DN1ZEFOJ2qEGq95IQbVaJFMOXOb0='"
"""The one style sheet that the viewer writes into the page, by its hash."""


@dataclass(frozen=True, slots=True)
class Turned:
    """A piece to be turned: what it shows in words, and its balloons as the quote counts them, by name with number.

    ``differs``: how many balloons the model shows, where the quote was worked out by earlier rules and counts others.
    """

    piece: SetPiece
    words: str
    balloons: tuple[tuple[str, str, int], ...]
    differs: int | None


def model_of(design: Design, name: str) -> bytes:
    """A piece as a binary glTF file, as its design is worked out today."""
    scene = replace(scene_of(taken_off(design)), name=name)
    return glb(scene, prints=images.whole_prints(design))


def model_response(name: str, model: bytes) -> HttpResponse:
    """A model as an answer, under a file name."""
    return file_response(name, model, "glb", "model/gltf-binary")


def usdz_of(design: Design, name: str) -> bytes:
    """A piece as a USDZ file, as its design is worked out today."""
    return usdz(replace(scene_of(taken_off(design)), name=name))


def file_response(name: str, data: bytes, ending: str, kind: str) -> HttpResponse:
    """A file that is shown where it can be; whoever asks again gets it as it is then."""
    response = HttpResponse(data, content_type=kind)
    response["Content-Disposition"] = f'inline; filename="{slugify(name)[:60] or "set-piece"}.{ending}"'
    response["Cache-Control"] = "private, no-cache"
    return response


def turned(quote_id: int, piece_id: int, units: str) -> Turned:
    """A piece with what its page says. Raises ``Http404``."""
    piece = library.set_piece(quote_id, piece_id)
    takeoff, kept = taken_off(piece.read_design()), piece.takeoff
    balloons = tuple((round_name(one.size_in, one.name), one.hex, one.placed) for one in kept.counts)
    shown = len(takeoff.balloons)
    differs = None if shown == kept.balloons else shown
    return Turned(piece, in_units(description(takeoff), units), balloons, differs)
