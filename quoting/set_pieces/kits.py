"""Kits on a set piece's bill: what the shelf, the price and the client see are their parts."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import structs

from quoting.craft.sheets.stored import StoredLine
from quoting.models import SetPiece
from stock.catalogue.items import KIT_PREFIX
from stock.catalogue.kit_parts import NamedPart, find_named_kit_parts


def unpack(pieces: Iterable[SetPiece]) -> None:
    """Put the parts of every kit in its place on the bills of these pieces. One query where a kit is named, else none.

    A kit that isn't known stays as it is: the page then calls it unknown.
    """
    with_kits = [piece for piece in pieces if any(_is_kit(line) for line in piece.takeoff.bill)]
    if not with_kits:
        return
    parts = find_named_kit_parts(
        line.code for piece in with_kits for line in piece.takeoff.bill if _is_kit(line)
    )
    for piece in with_kits:
        bill = tuple(inner for line in piece.takeoff.bill for inner in _inside(line, parts))
        piece.takeoff = structs.replace(piece.takeoff, bill=bill)


# Private


def _is_kit(line: StoredLine) -> bool:
    return line.code.startswith(KIT_PREFIX)


def _inside(line: StoredLine, parts: Mapping[str, Sequence[NamedPart]]) -> Iterator[StoredLine]:
    """The line, or one for each part of its kit."""
    if line.code not in parts:
        yield line
        return
    for part in parts[line.code]:
        yield structs.replace(line, code=part.code, label=part.name, quantity=part.quantity * line.quantity)
