"""Drawn walls: a colour for every cell of a grid, and words in letters of five by seven cells."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from quoting.craft.design.faults import DesignError, Fault, FaultCode

LETTER_COLUMNS, LETTER_ROWS = 5, 7  # settings of the alphabet below
BETWEEN: Final = 1  # setting: empty columns between two letters
GROUND = "0"

# Setting: our own letters, seven rows of five bits from the top down, the left cell being 16.
ALPHABET: Final = {
    " ": (0, 0, 0, 0, 0, 0, 0),
    "0": (6, 9, 9, 9, 9, 9, 6), "1": (4, 12, 4, 4, 4, 4, 14), "2": (14, 17, 1, 6, 8, 16, 31),
    "3": (31, 2, 4, 6, 1, 17, 14), "4": (2, 6, 10, 18, 31, 2, 2), "5": (31, 16, 30, 1, 1, 17, 14),
    "6": (6, 8, 16, 30, 17, 17, 14), "7": (31, 1, 2, 4, 8, 8, 8), "8": (14, 17, 17, 14, 17, 17, 14),
    "9": (14, 17, 17, 15, 1, 2, 12), "A": (14, 17, 17, 31, 17, 17, 17), "B": (30, 17, 17, 30, 17, 17, 30),
    "C": (14, 17, 16, 16, 16, 17, 14), "D": (30, 17, 17, 17, 17, 17, 30), "E": (31, 16, 16, 30, 16, 16, 31),
    "F": (31, 16, 16, 30, 16, 16, 16), "G": (14, 17, 16, 23, 17, 17, 15), "H": (17, 17, 17, 31, 17, 17, 17),
    "I": (14, 4, 4, 4, 4, 4, 14), "J": (7, 2, 2, 2, 2, 18, 12), "K": (17, 18, 20, 24, 20, 18, 17),
    "L": (16, 16, 16, 16, 16, 16, 31), "M": (17, 27, 21, 21, 17, 17, 17), "N": (17, 25, 21, 19, 17, 17, 17),
    "O": (14, 17, 17, 17, 17, 17, 14), "P": (30, 17, 17, 30, 16, 16, 16), "Q": (14, 17, 17, 17, 21, 18, 13),
    "R": (30, 17, 17, 30, 20, 18, 17), "S": (15, 16, 16, 14, 1, 1, 30), "T": (31, 4, 4, 4, 4, 4, 4),
    "U": (17, 17, 17, 17, 17, 17, 14), "V": (17, 17, 17, 17, 17, 10, 4), "W": (17, 17, 17, 21, 21, 27, 17),
    "X": (17, 17, 10, 4, 10, 17, 17), "Y": (17, 17, 10, 4, 4, 4, 4), "Z": (31, 1, 2, 4, 8, 16, 31),
    "&": (12, 18, 20, 8, 21, 18, 13), "!": (4, 4, 4, 4, 4, 0, 4), "-": (0, 0, 0, 14, 0, 0, 0),
}  # fmt: skip


def lettered_grid(word: str, columns: int, rows: int) -> tuple[str, ...]:
    """Write a word in the middle of a grid, its letters as big as whole cells go; 1 is a letter, 0 the ground.

    DesignError at ``word`` where it takes more columns or rows than there are, or has a sign without a letter here.

    >>> lettered_grid("I", 5, 7)
    ('01110', '00100', '00100', '00100', '00100', '00100', '01110')
    """
    lines = _written(word)
    wide = len(lines[0])
    if wide > columns or rows < LETTER_ROWS:
        found, most = (wide, columns) if wide > columns else (LETTER_ROWS, rows)
        raise DesignError(
            Fault(code=FaultCode.WORD_TOO_LONG, field="word", found=float(found), high=float(most))
        )
    size = min(columns // wide, rows // LETTER_ROWS)
    grown = ["".join(mark * size for mark in line) for line in lines for _ in range(size)]
    left, above = (columns - wide * size) // 2, (rows - len(grown)) // 2
    middle = [GROUND * left + line + GROUND * (columns - left - len(line)) for line in grown]
    empty = GROUND * columns
    return (*[empty] * above, *middle, *[empty] * (rows - above - len(middle)))


def grid_colours(grid: Sequence[str], x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.int64]:
    """Give balloons at x, y [m] the colours of the grid that lies over them from edge to edge, as palette indices.

    >>> grid_colours(("01", "20"), np.array([0.0, 1.0, 0.0, 1.0]), np.array([0.0, 0.0, 1.0, 1.0]))
    array([2, 0, 0, 1])
    """
    cells = np.array([[int(mark, 16) for mark in row] for row in grid])
    column, row = _nearest(x, cells.shape[1]), _nearest(-y, cells.shape[0])
    return np.asarray(cells[row, column], np.int64)


# Private


def _written(word: str) -> list[str]:
    """The word as rows of cells. DesignError where it is empty or a sign has no letter here."""
    signs = word.strip().upper()
    unknown = [sign for sign in signs if sign not in ALPHABET]
    if unknown or not signs:
        names = tuple("".join(ALPHABET).strip())
        fault = Fault(
            code=FaultCode.UNKNOWN_CHOICE, field="word", found=repr((unknown or [""])[0]), names=names
        )
        raise DesignError(fault)
    gap = GROUND * BETWEEN
    return [
        gap.join(f"{ALPHABET[sign][row]:0{LETTER_COLUMNS}b}" for sign in signs) for row in range(LETTER_ROWS)
    ]


def _nearest(along: NDArray[np.float64], cells: int) -> NDArray[np.int64]:
    """The cell of each place, the first and the last place in the middle of the first and the last cell."""
    length = float(np.ptp(along))
    share = (along - along.min()) / length if length else np.zeros(len(along))
    return np.rint(share * (cells - 1)).astype(np.int64)
