"""Spares of a bill that stands: what was agreed is made, however spares are chosen today."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from quoting.craft.takeoff.spares import Key, stated_allowance
from quoting.craft.takeoff.takeoff import TakeOff


def with_agreed_spares(takeoff: TakeOff, to_bring: Mapping[Key, int]) -> TakeOff:
    """Bring ``to_bring`` balloons of each nominal size [in] and colour, the spares included; nothing is placed anew.

    A size and colour that it doesn't name comes without spares, and never fewer come than are placed.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> made = take_off(load_design(STARTERS / "classic-arch.json"))
    >>> asked = {key: count + 3 for key, count in made.counts.items()}
    >>> with_agreed_spares(made, asked).to_bring == asked
    True
    """
    return replace(takeoff, allowance=stated_allowance(takeoff.counts, to_bring, loss=takeoff.design.loss))
