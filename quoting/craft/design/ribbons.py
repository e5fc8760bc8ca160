"""Ribbons: from where a balloon with helium that floats by itself goes down to its weight."""

from __future__ import annotations

from quoting.craft.design.boxes import foil_boxes
from quoting.craft.design.records import Design

Place = tuple[float, float, float]


def floating_ends(design: Design) -> list[tuple[str, Place]]:
    """The lowest point [m] of every balloon that floats by itself, with the thing that it is.

    What stands on top of something is tied to that.
    """
    rounds = [one for one in design.rounds if one.gas == "helium" and not one.on_top]
    held = [(f"round:{one.id}", (one.x_m, one.y_m - one.sized_m / 2, one.z_m)) for one in rounds]
    return held + [
        (f"foil:{foil.id}", (box.x_m, box.bottom, foil.z_m))
        for foil in design.foils
        if foil.gas == "helium" and not foil.on_top
        for box in foil_boxes(foil)
    ]
