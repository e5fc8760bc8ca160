"""A design as it was chosen: kept within the scaled one, so that every size is worked out from it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace
from typing import Any, Final

from quoting.craft.design.records import Chosen, Design

KEPT: Final = tuple(field.name for field in fields(Chosen) if field.name not in ("width_m", "height_m"))
"""The lists of things that are scaled."""


def as_chosen(design: Design) -> Design:
    """Give the design as it was before it was scaled; itself where it never was.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "table-garland.json")
    >>> as_chosen(remembering(design, design, (2.0, 1.0))) == design
    True
    """
    chosen = design.chosen
    if chosen is None:
        return design
    return replace(design, **_lists(chosen), chosen=None)


def remembering(scaled: Design, chosen: Design, size_m: tuple[float, float]) -> Design:
    """The scaled design with what it was scaled from, and the width and height [m] that were asked for."""
    kept = Chosen(width_m=size_m[0], height_m=size_m[1], **_lists(chosen))
    return replace(scaled, chosen=kept)


def in_both(design: Design, change: Callable[[Design], Design]) -> Design:
    """Make a change that moves no balloon: to the design, and to what it was scaled from."""
    if design.chosen is None:
        return change(design)
    size_m = design.chosen.width_m, design.chosen.height_m
    return remembering(change(replace(design, chosen=None)), change(as_chosen(design)), size_m)


# Private


def _lists(design: Design | Chosen) -> dict[str, Any]:
    """All lists of things that are scaled, by name."""
    # Each list holds its own kind of record: no narrower type says that.
    return {name: getattr(design, name) for name in KEPT}
