"""Outlines as the take-off reads them: shape and dimensions of frames, props and foil balloons, in metres."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from django.core.exceptions import ValidationError

from stock.models import Kind

SHAPES: Final[Mapping[str, str]] = {
    "arch-top": "arch with straight legs",
    "half-arch": "half arch",
    "ring": "ring",
    "part-ring": "partial ring",
    "rectangle": "open rectangle",
    "panel": "solid panel",
    "polygon": "hexagon",
    "column": "column",
}
"""Shapes of frames by the code that designs use, with their names on screen."""
PROPS: Final[Mapping[str, str]] = {
    "plinth": "plinth",
    "box": "box",
    "table": "table",
    "chair": "chair",
    "easel": "easel",
    "rug": "rug",
    "candle": "candle",
    "backdrop": "backdrop",
    "balloon-stand": "balloon stand",
}
"""The same of props."""
FOILS: Final[Mapping[str, str]] = {
    "glyphs": "letters and digits",
    "star": "star",
    "heart": "heart",
    "disc": "disc",
    "crescent": "crescent",
}
"""The same of foil balloons."""

RANGES_M: Final[Mapping[str, tuple[float, float]]] = {
    "width_m": (0.02, 12.0),
    "height_m": (0.1, 8.0),
    "tube_m": (0.005, 0.2),
    "foot_depth_m": (0.0, 4.0),
}
"""Least and most of each dimension of a frame, metres."""
PROP_RANGES_M: Final[Mapping[str, tuple[float, float]]] = {
    "width_m": (0.02, 6.0),
    "height_m": (0.005, 4.0),
    "depth_m": (0.005, 6.0),
}
"""The same of a prop."""
FOIL_RANGES_M: Final[Mapping[str, tuple[float, float]]] = {"height_m": (0.1, 2.0)}
"""The same of a foil balloon, as it lies flat."""
DEGREES: Final = ("start_deg", "end_deg")
"""Start and end of a partial ring, clockwise from the foot."""
NEEDED: Final = frozenset({"width_m", "height_m", "depth_m"})


@dataclass(frozen=True, slots=True)
class Rules:
    """What an outline may hold: shapes with their names, and dimensions with their least and most."""

    shapes: Mapping[str, str]
    ranges_m: Mapping[str, tuple[float, float]]


RULES: Final[Mapping[str, Rules]] = {
    Kind.FRAME: Rules(SHAPES, RANGES_M),
    Kind.PROP: Rules(PROPS, PROP_RANGES_M),
    Kind.FOIL: Rules(FOILS, FOIL_RANGES_M),
}
"""By the kinds of items that have an outline."""


def fields_of(kind: str) -> tuple[str, ...]:
    """Name what the outline of a kind of item holds; nothing where it has none."""
    return ("shape", *RULES[kind].ranges_m) if kind in RULES else ()


def shapes_of(kind: str) -> Mapping[str, str]:
    """List the shapes of a kind of item with their names."""
    return RULES[kind].shapes


def shape_name(shape: str) -> str:
    """Name a shape of any kind; empty for one that isn't known."""
    return next((rules.shapes[shape] for rules in RULES.values() if shape in rules.shapes), "")


def validate_outline(
    outline: Mapping[str, str | float | None], *, kind: str = Kind.FRAME
) -> dict[str, str | float]:
    """``outline`` with numbers as floats, or ``ValidationError`` with every fault, by key.

    Needs ``shape`` and the dimensions of its kind; ``tube_m``, ``foot_depth_m`` and the degrees of a frame may be left
    out.
    """
    rules = RULES[kind]
    faults: dict[str, str] = {}
    kept: dict[str, str | float] = {}
    shape = outline.get("shape")
    if shape in rules.shapes:
        kept["shape"] = str(shape)
    else:
        faults["shape"] = f"Choose one of: {', '.join(rules.shapes)}."
    for key, (least, most) in rules.ranges_m.items():
        value = outline.get(key)
        if value is None:
            if key in NEEDED:
                faults[key] = "Enter this: the take-off needs it."
        elif not least <= float(value) <= most:
            faults[key] = f"Between {least:g} and {most:g} m."
        else:
            kept[key] = float(value)
    degrees_of = DEGREES if kind == Kind.FRAME else ()
    for key in degrees_of:
        if (degrees := outline.get(key)) is not None:
            kept[key] = float(degrees)
    if unknown := set(outline) - {"shape", *rules.ranges_m, *degrees_of}:
        faults["outline"] = f"Not part of an outline: {', '.join(sorted(unknown))}."
    if faults:
        raise ValidationError(faults)
    return kept
