"""Set pieces as models that can be turned, with what each balloon of them is."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace

from django.http import Http404

from quoting.craft.picture.elevation import description
from quoting.craft.solid.glb import glb
from quoting.craft.solid.scene import scene_of
from quoting.models import SetPiece
from quoting.set_pieces.worked import in_units, taken_off
from studio.tenancy.access import require
from studio.tenancy.rights import Right


@dataclass(frozen=True, slots=True)
class Turned:
    """A piece to be turned: what it shows in words, and its balloons by name with their number, the most first."""

    piece: SetPiece
    words: str
    balloons: tuple[tuple[str, str, int], ...]


def find_piece(quote_id: int, piece_id: int) -> SetPiece:
    """A set piece of a quote of this studio; 404 for any other."""
    require(Right.SEE_QUOTES)
    found = SetPiece.objects.select_related("quote__event").filter(pk=piece_id, quote_id=quote_id).first()
    if found is None:
        raise Http404
    return found


def model_of(piece: SetPiece) -> bytes:
    """The piece as a binary glTF file, from the same take-off as its count and its price."""
    return glb(replace(scene_of(taken_off(piece.read_design())), name=piece.name))


def turned(quote_id: int, piece_id: int, units: str) -> Turned:
    """A piece with what its page says. Raises ``Http404``."""
    piece = find_piece(quote_id, piece_id)
    takeoff = taken_off(piece.read_design())
    scene = scene_of(takeoff)
    counted = Counter((ball.name, scene.paints[ball.colour].hex) for ball in scene.balls)
    balloons = sorted(
        ((name, code, count) for (name, code), count in counted.items()), key=lambda row: -row[2]
    )
    return Turned(piece, in_units(description(takeoff), units), tuple(balloons))
