"""What a sign says and what may carry it."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Final

from quoting.craft.design.faults import Fault, FaultCode
from quoting.craft.design.records import Design, Frame, Sign

HEAVIEST_ON_A_LINE_KG: Final = 2.7
"""What two drops of fishing line carry over people's heads: line of 30 lb, half of it lost in the knot, a fifth of the
rest used. Common practice, no source."""
QUOTED: Final = re.compile(r"[“„«\"](.+?)[”“»\"]")
LONGEST_TEXT: Final = 60  # setting of the format


def own_words(label: str) -> str:
    """Give what a sign says by itself: the words in quotes of its name, else its whole name.

    >>> own_words("Light sign “hello”"), own_words("Acrylic board")
    ('hello', 'Acrylic board')
    """
    found = QUOTED.search(label)
    return (found[1] if found else label).strip()[:LONGEST_TEXT]


def is_made_to_order(sign: Sign) -> bool:
    """Tell whether a sign whose name has its words in quotes is to say something else."""
    return _says_other_words(sign) and QUOTED.search(sign.label) is not None


def is_lettered(sign: Sign) -> bool:
    """Tell whether words are put on a sign that has none of its own."""
    return _says_other_words(sign) and QUOTED.search(sign.label) is None


def as_made(sign: Sign) -> str:
    """Name a sign as it hangs in the end.

    >>> as_made(Sign(item="board", label="Acrylic board", text="Mara", width_m=0.6, height_m=0.4, x_m=0, y_m=1))
    'Acrylic board, lettered “Mara”'
    """
    if is_made_to_order(sign):
        return f"Sign “{sign.text}”"
    return f"{sign.label}, lettered “{sign.text}”" if is_lettered(sign) else sign.label


def with_sign(design: Design, sign: Sign | None) -> Design:
    """Give the design with another first sign, or without it; one that has none gets its first.

    >>> board = Sign(item="board", label="Board", text="Mara", width_m=0.6, height_m=0.4, x_m=0, y_m=1)
    >>> with_sign(Design(version=2, name="Bare", palette=()), board).sign == board
    True
    """
    return replace(design, signs=(*((sign,) if sign else ()), *design.signs[1:]))


def sign_faults(design: Design) -> list[Fault]:
    """List why a sign can't hang from its frame: it is wider, or heavier than its line holds.

    These are faults of a change or of a new file: a design that was kept before still reads.
    """
    frames = {frame.id: frame for frame in design.frames}
    return [
        fault
        for k, sign in enumerate(design.signs)
        if sign.frame in frames
        for fault in _hanging_faults(sign, frames[sign.frame], f"signs[{k}]")
    ]


# Private


def _hanging_faults(sign: Sign, frame: Frame, path: str) -> list[Fault]:
    limits = (
        (FaultCode.SIGN_TOO_WIDE, f"{path}.width_m", sign.width_m, frame.width_m),
        (FaultCode.SIGN_TOO_HEAVY, f"{path}.weight_kg", sign.weight_kg, HEAVIEST_ON_A_LINE_KG),
    )
    return [
        Fault(code=code, field=field, found=found, high=most)
        for code, field, found, most in limits
        if found > most + 1e-6
    ]


def _says_other_words(sign: Sign) -> bool:
    return sign.text.strip().casefold() != own_words(sign.label).casefold()
