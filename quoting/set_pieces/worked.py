"""A design worked out: take-off and picture as they are kept with a set piece."""

from __future__ import annotations

import re
from dataclasses import asdict, dataclass
from decimal import Decimal
from functools import lru_cache
from typing import Any, Final

from quoting.craft.design.design_file import write_design
from quoting.craft.design.records import Design
from quoting.craft.picture.elevation import alt_text, elevation_svg
from quoting.craft.takeoff.takeoff import TakeOff, take_off
from quoting.set_pieces.site import prep_facts
from studio.measures import lengths

PHASES: Final = ("prep", "install", "strike")
METRES: Final = re.compile(r"\b(\d+(?:\.\d+)?) m\b")


@dataclass(frozen=True, slots=True)
class Worked:
    """``design`` and ``takeoff`` are plain JSON values; ``picture`` is SVG.

    ``takeoff`` holds: balloons, counts (size_in, colour, name, hex, placed, to_bring), bill (code, label, quantity,
    part, why), tasks (task, phase, minutes, why), crew, frames, covers, sizes in metres (width_m, height_m, depth_m,
    garland_m), per_foot, fullness, evenness (as craft.colour_plan.Evenness), alt, picture_size, heaviest_kg, outdoors,
    prep (as quoting.sketching.site.prep_facts).
    """

    design: dict[str, Any]
    takeoff: dict[str, Any]
    picture: str


def worked(design: Design) -> Worked:
    """Work out a design. Raises ``DesignError`` where it can't be built."""
    result = taken_off(design)
    picture = elevation_svg(result)
    return Worked(write_design(design), _summary(result, picture), picture)


def summed_up(design: Design) -> dict[str, Any]:
    """The take-off alone, where no picture is wanted yet. Raises ``DesignError`` where it can't be built."""
    return _summary(taken_off(design), "")


def drawn(design: Design) -> str:
    """The elevation of a design that was worked out a moment ago."""
    return elevation_svg(taken_off(design))


def picture_size(picture: str) -> list[int]:
    """Width and height of a picture in drawing units."""
    found = re.search(r'viewBox="0 0 (\d+) (\d+)"', picture)
    return [int(found[1]), int(found[2])] if found else [0, 0]


def in_units(text: str, units: str) -> str:
    """A sentence of the take-off with its metres as the studio writes lengths."""
    if units == "metric":
        return text
    return METRES.sub(lambda found: lengths.written(Decimal(found[1]), units), text)


@lru_cache(maxsize=32)
def taken_off(design: Design) -> TakeOff:
    """The take-off of a design. It depends on nothing else, so the last ones are kept: undo and scaling ask again."""
    return take_off(design)


# Private


def _summary(result: TakeOff, picture: str) -> dict[str, Any]:
    design, size = result.design, result.dimensions
    return {
        "balloons": len(result.balloons),
        "counts": _counts(result),
        "bill": [
            {
                "code": line.code,
                "label": line.label,
                "quantity": line.quantity,
                "part": line.part,
                "why": result.explain(line.code),
            }
            for line in result.bill()
        ],
        "tasks": [
            {"task": task.name, "phase": task.phase, "minutes": round(task.minutes, 2), "why": task.reason}
            for task in result.tasks
        ],
        "crew": design.rates.crew,
        "frames": [frame.label for frame in design.frames],
        "covers": sum(frame.cover is not None for frame in design.frames),
        "width_m": round(size.width_m, 4),
        "height_m": round(size.height_m, 4),
        "depth_m": round(size.depth_m, 4),
        "garland_m": round(size.garland_m, 4),
        "per_foot": round(size.balloons_per_foot, 1),
        "fullness": round(result.fullness, 3),
        "evenness": asdict(result.evenness),
        "alt": alt_text(result),
        "picture_size": picture_size(picture),
        "heaviest_kg": max((frame.weight_kg for frame in design.frames), default=0.0),
        "outdoors": design.site.outdoors,
        "prep": prep_facts(result),
    }


def _counts(result: TakeOff) -> list[dict[str, Any]]:
    palette = {colour.colour: colour for colour in result.design.palette}
    to_bring = result.counts_with_loss
    return [
        {
            "size_in": size,
            "colour": code,
            "name": palette[code].name,
            "hex": palette[code].hex,
            "placed": placed,
            "to_bring": to_bring[size, code],
        }
        for (size, code), placed in result.counts.items()
    ]
