"""Options: what the client may switch on or off within an offer.

A set piece, its florals or its sign, or a free line can be an option. Each combination is priced by the whole price
tape, as if nothing else had ever been quoted, so that minimum calls, bags, rounding and tax come out as they should.
"""

from __future__ import annotations

import copy
from collections.abc import Iterable, Sequence, Set
from dataclasses import dataclass, replace
from itertools import combinations
from string import ascii_lowercase
from typing import Final, Protocol

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from msgspec import structs

from quoting.models import Choice, FreeLine, SetPiece

MOST_OPTIONS: Final = 6
"""Each one doubles the prices that an offer keeps; and nobody decides about more over a cup of coffee."""

FLORALS, SIGN = "florals", "sign"
PART_TASKS: Final = {FLORALS: "Florals", SIGN: "Hang the sign"}
"""The task of the work plan that falls away with a part of a set piece."""
PART_NAMES: Final = {FLORALS: gettext_lazy("Florals"), SIGN: gettext_lazy("Sign")}


@dataclass(frozen=True, slots=True)
class Option:
    """One thing that the client may switch. ``key`` is a letter, unique within the quote as it stands."""

    key: str
    label: str
    detail: str
    on: bool
    """How it stands at first."""
    place: int | None = None
    """Which set piece, by its place; none for a free line."""
    part: str = ""
    """Florals or sign, where it is that part of the piece alone."""
    line_id: int | None = None


class Quoted(Protocol):
    """What is quoted, without any price."""

    @property
    def pieces(self) -> Sequence[SetPiece]:
        """The set pieces, in their order."""

    @property
    def free_lines(self) -> Sequence[FreeLine]:
        """The lines by hand, in their order."""


def options_of(quoted: Quoted) -> tuple[Option, ...]:
    """The options of a quote, set pieces first, in the order in which they stand."""
    found: list[Option] = []
    for place, piece in enumerate(quoted.pieces):
        found += _piece_options(place, piece, several=len(quoted.pieces) > 1)
    found += [
        Option("", line.label, "", on=line.choice == Choice.ON, line_id=line.pk)
        for line in quoted.free_lines
        if line.choice
    ]
    return tuple(replace(option, key=key) for key, option in zip(ascii_lowercase, found, strict=False))


def at_first(options: Iterable[Option]) -> frozenset[str]:
    """Keys of what is switched on when the client opens the offer."""
    return frozenset(option.key for option in options if option.on)


def every_choice(options: Iterable[Option]) -> list[frozenset[str]]:
    """Every combination of options: two to the power of their number."""
    keys = [option.key for option in options]
    return [frozenset(some) for count in range(len(keys) + 1) for some in combinations(keys, count)]


def chosen_of(
    quoted: Quoted, options: Iterable[Option], chosen: Set[str]
) -> tuple[list[SetPiece], list[FreeLine]]:
    """Set pieces and free lines as if only the chosen options had been quoted.

    Set pieces keep their places; one that isn't chosen stands there with nothing in it.
    """
    left_out = [option for option in options if option.key not in chosen]
    pieces = list(quoted.pieces)
    for option in left_out:
        if option.place is not None:
            pieces[option.place] = _without(pieces[option.place], option.part)
    lines = {option.line_id for option in left_out if option.line_id is not None}
    return pieces, [line for line in quoted.free_lines if line.pk not in lines]


def is_empty(quoted: Quoted) -> bool:
    """Whether nothing at all is quoted."""
    return not quoted.free_lines and not any(piece.takeoff.bill for piece in quoted.pieces)


def keys_needed(options: Iterable[Option], place: int, part: str) -> list[str]:
    """The options that must all be switched on for a part of a set piece to be brought."""
    wanted = {"", part}
    return [option.key for option in options if option.place == place and option.part in wanted]


def has_part(piece: SetPiece, part: str) -> bool:
    """Whether the piece has florals, or a sign."""
    return any(line.part == part for line in piece.takeoff.bill)


# Private


def _piece_options(place: int, piece: SetPiece, *, several: bool) -> list[Option]:
    """The options of one set piece, without their keys."""
    found = []
    if piece.choice:
        found.append(Option("", piece.name, "", on=piece.choice == Choice.ON, place=place))
    for part, choice in ((FLORALS, piece.florals_choice), (SIGN, piece.sign_choice)):
        if choice and has_part(piece, part):
            named = str(PART_NAMES[part])
            label = _("%(part)s of %(piece)s") % {"part": named, "piece": piece.name} if several else named
            found.append(Option("", label, "", on=choice == Choice.ON, place=place, part=part))
    return found


def _without(piece: SetPiece, part: str) -> SetPiece:
    """A copy of the piece without one part of it, or without anything; its design and picture stay."""
    bare = copy.copy(piece)
    takeoff = piece.takeoff
    if not part:
        bare.takeoff = structs.replace(
            takeoff, bill=(), tasks=(), counts=(), balloons=0, frames=(), covers=0, crew=1
        )
        return bare
    bare.takeoff = structs.replace(
        takeoff,
        bill=tuple(line for line in takeoff.bill if line.part != part),
        tasks=tuple(task for task in takeoff.tasks if task.task != PART_TASKS[part]),
    )
    return bare
