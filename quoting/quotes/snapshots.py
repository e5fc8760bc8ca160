"""How a quote stood: taken before each change, put back by undo.

What is kept follows from the models: every field but those named in ``NOT_SKETCHED``. A new field is kept by itself.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from decimal import Decimal
from typing import Final, TypedDict, TypeVar, cast

from django.db.models import Field, Model

from quoting.models import FreeLine, Quote, SetPiece

Row = TypeVar("Row", SetPiece, FreeLine)
Restored = TypeVar("Restored", bound=Model)
Kept = dict[str, object]
"""The columns of a row by their names, as JSON takes them."""
Keep = Callable[[SetPiece], None]

NOT_SKETCHED: Final[dict[type[Model], set[str]]] = {
    Quote: {
        "id", "studio", "event", "state", "version", "made_at", "changed_at", "changed_by", "priced_net",
        "priced_total", "variant_of", "variant_name",
    },
    SetPiece: {"studio", "quote", "takeoff", "picture", "still_room", "still_turn_deg"},
    FreeLine: {"studio", "quote"},
}  # fmt: skip
"""What stays as it is, what a change counts or dates itself, and what follows from the design or
the price. How a piece is pictured is no step of the sketch."""


class Snapshot(TypedDict):
    """How a quote stood, its pieces and its lines by hand."""

    quote: Kept
    pieces: list[Kept]
    free_lines: list[Kept]


def take(quote: Quote, pieces: Iterable[SetPiece], free_lines: Iterable[FreeLine]) -> Snapshot:
    """The quote, its pieces and its lines as they stand, for JSON."""
    return {
        "quote": _kept(quote),
        "pieces": [_kept(piece) for piece in pieces],
        "free_lines": [_kept(line) for line in free_lines],
    }


def put_back(quote: Quote, snapshot: Snapshot, keep: Keep) -> None:
    """Make quote, pieces and lines as they were then, under the ids that they had; the quote itself isn't saved.

    ``keep`` works a piece's take-off and picture out of its design, and saves it.
    """
    _set(quote, snapshot["quote"])
    for piece in _rows(quote, SetPiece, quote.pieces.all(), snapshot["pieces"]):
        keep(piece)
    for line in _rows(quote, FreeLine, quote.free_lines.all(), snapshot["free_lines"]):
        line.save()


def piece_then(quote: Quote, snapshot: Snapshot, piece_id: int) -> SetPiece | None:
    """A piece as it stood, not saved; None where there was none of that id."""
    kept = next((each for each in snapshot["pieces"] if each["id"] == piece_id), None)
    return None if kept is None else _set(SetPiece(quote=quote), kept)


def fields_of(model: type[Model]) -> list[Field[object, object]]:
    """What a snapshot keeps of a table."""
    return [field for field in model._meta.concrete_fields if field.name not in NOT_SKETCHED[model]]


# Private


def _kept(row: Model) -> Kept:
    kept = {field.attname: getattr(row, field.attname) for field in fields_of(type(row))}
    return {name: str(value) if isinstance(value, Decimal) else value for name, value in kept.items()}


def _set(row: Restored, kept: Kept) -> Restored:
    for field in fields_of(type(row)):
        if field.attname in kept:  # a field that came later stays as it is
            setattr(row, field.attname, field.to_python(kept[field.attname]))
    return row


def _rows(quote: Quote, model: type[Row], now: Iterable[Row], then: Iterable[Kept]) -> list[Row]:
    """The rows as they were, not saved yet; those that were not there then are deleted."""
    left = {row.pk: row for row in now}
    rows = [_set(left.pop(cast("int", kept["id"]), model(quote=quote)), kept) for kept in then]
    for row in left.values():
        row.delete()
    return rows
