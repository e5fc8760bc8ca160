"""What the page of the room shows: the picture, a row a piece, and what stands in the way."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from quoting.room_scene.forms import PlaceForm
from quoting.room_scene.scene import Scene, seen_in
from studio.measures import lengths


@dataclass(frozen=True, slots=True)
class PieceRow:
    """A piece with its form and its size in words."""

    piece_id: int
    key: str
    name: str
    size: str
    form: PlaceForm


def piece_rows(found: Scene, units: str, refused: dict[int, PlaceForm] | None = None) -> list[PieceRow]:
    """A row a piece; ``refused``: forms that came back with an error, by the piece's id."""
    rows = []
    for row, piece in zip(found.rows, found.pieces, strict=True):
        size = piece.takeoff.dimensions
        words = " × ".join(
            lengths.written(Decimal(str(side)), units) for side in (size.width_m, size.height_m)
        )
        form = (refused or {}).get(row.pk) or PlaceForm(
            units=units,
            initial={
                "version": found.quote.version,
                "x_m": Decimal(str(round(piece.x_m, 3))),
                "back_m": row.room_back_m,
            },
            prefix=piece.key,
        )
        rows.append(PieceRow(row.pk, piece.key, row.name, words, form))
    return rows


def in_the_way(found: Scene, units: str) -> list[str]:
    """What can't stand like this, in sentences."""
    words = [
        f"{one.first} and {one.second} stand in one another: {_written(min(one.across_m, one.deep_m), units)}."
        for one in found.overlaps
    ]
    if found.past_the_walls_m > 0.005:
        words.append(
            f"The pieces reach {_written(found.past_the_walls_m, units)} past the clear width of the room."
        )
    return words


def camera_words(found: Scene, units: str) -> str:
    """How high the camera was by the marks: whoever took the photo sees whether that can be."""
    if found.photo is None:
        return ""
    high = _written(seen_in(found.photo).camera_height_m, units)
    return f"By these marks the camera was {high} above the floor. If it was not, move the floor line or the horizon."


# Private


def _written(metres: float, units: str) -> str:
    return lengths.written(Decimal(str(round(metres, 4))), units)
