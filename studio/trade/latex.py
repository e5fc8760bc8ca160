"""Names of latex balloons, the same on quote, bill, shelf, order, load-out list and build sheet."""

from __future__ import annotations


def round_name(size_in: int, colour: str) -> str:
    """Name rounds of one nominal size [in] and colour. Common practice, no source: the colour first, as on a shelf.

    >>> round_name(11, "Oat")
    'Oat 11 in'
    """
    return f"{colour} {size_in} in"


def twisting_name(colour: str) -> str:
    """Name 260s of one colour; 260 stands for 2 in across and 60 in long. Common practice, no source.

    >>> twisting_name("Oat")
    'Oat 260'
    """
    return f"{colour} 260"
