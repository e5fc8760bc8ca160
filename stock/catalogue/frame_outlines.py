"""Frame outlines as the take-off reads them: shape and dimensions in metres."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from django.core.exceptions import ValidationError

SHAPES: Final[Mapping[str, str]] = {
    "arch-top": "arch with straight legs",
    "half-arch": "half arch",
    "ring": "ring",
    "part-ring": "partial ring",
    "rectangle": "open rectangle",
    "panel": "solid panel",
    "column": "column",
}
"""Shapes by the code that designs use, with their names on screen."""

RANGES_M: Final[Mapping[str, tuple[float, float]]] = {
    "width_m": (0.02, 12.0),
    "height_m": (0.1, 8.0),
    "tube_m": (0.005, 0.2),
    "foot_depth_m": (0.0, 4.0),
}
"""Least and most of each dimension, metres."""
DEGREES: Final = ("start_deg", "end_deg")
"""Start and end of a partial ring, clockwise from the foot."""


def validate_outline(outline: Mapping[str, str | float | None]) -> dict[str, str | float]:
    """``outline`` with numbers as floats, or ``ValidationError`` with every fault, by key.

    Needs ``shape``, ``width_m`` and ``height_m``; ``tube_m``, ``foot_depth_m`` and the degrees may be left
    out.
    """
    faults: dict[str, str] = {}
    kept: dict[str, str | float] = {}
    shape = outline.get("shape")
    if shape in SHAPES:
        kept["shape"] = str(shape)
    else:
        faults["shape"] = f"Choose one of: {', '.join(SHAPES)}."
    for key, (least, most) in RANGES_M.items():
        value = outline.get(key)
        if value is None:
            if key in {"width_m", "height_m"}:
                faults[key] = "Enter this: the take-off needs it."
        elif not least <= float(value) <= most:
            faults[key] = f"Between {least:g} and {most:g} m."
        else:
            kept[key] = float(value)
    for key in DEGREES:
        if (degrees := outline.get(key)) is not None:
            kept[key] = float(degrees)
    if unknown := set(outline) - {"shape", *RANGES_M, *DEGREES}:
        faults["outline"] = f"Not part of an outline: {', '.join(sorted(unknown))}."
    if faults:
        raise ValidationError(faults)
    return kept
