"""How the colours of a set piece are laid, which way round it is built, and the layers of its frames. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final

from quoting.craft.change.edit import mirrored
from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.records import PATTERNS, Design, Frame, Garland, OwnedSize, Wall

PATTERN_WORDS: Final = {
    "scatter": "scattered evenly",
    "ombre": "blended (ombre)",
    "bands": "in bands",
    "clusters": "in clusters",
    "spiral": "in a spiral",
}
ZONE_WORDS: Final = "in zones"
"""How a garland is laid whose zones were given on the drawing table."""
COUNTED: Final = ("bands", "clusters", "spiral")
"""Patterns that repeat so many times."""
MOST_BANDS: Final = 60
MOST_FRAMES: Final = 20
LAYER_GAP_M: Final = 0.35
"""From one layer of frames to the next, so that a cover and a garland have room. Common practice, no source."""
TAKEN_AWAY: Final = "gone"
"""Choice of no frame at all, where nothing hangs on it."""


def pattern_of(design: Design) -> tuple[str, int] | None:
    """Pattern and repeats of the first garland or wall; None where the design has neither."""
    pieces: list[Garland | Wall] = [*design.garlands, *design.walls]
    return (pieces[0].pattern, pieces[0].bands) if pieces else None


def with_pattern(design: Design, pattern: str) -> Design:
    """All garlands and walls in one pattern. Raises ``DesignError`` at ``pattern``."""
    if pattern not in PATTERNS:
        code = FaultCode.UNKNOWN_CHOICE
        raise DesignError(Fault(code=code, field="pattern", found=repr(pattern), names=PATTERNS))
    return replace(
        design,
        garlands=tuple(replace(garland, pattern=pattern) for garland in design.garlands),
        walls=tuple(replace(wall, pattern=pattern) for wall in design.walls),
    )


def with_bands(design: Design, bands: int) -> Design:
    """All garlands and walls with so many bands, clusters or turns. Raises ``DesignError`` at ``bands``."""
    if not 1 <= bands <= MOST_BANDS:
        code = FaultCode.OUT_OF_RANGE
        raise DesignError(Fault(code=code, field="bands", found=bands, low=1, high=MOST_BANDS))
    return replace(
        design,
        garlands=tuple(replace(garland, bands=bands) for garland in design.garlands),
        walls=tuple(replace(wall, bands=bands) for wall in design.walls),
    )


def turned(design: Design, mirror: bool) -> Design:
    """The design as it is, or as its mirror image."""
    return mirrored(design) if mirror != design.mirrored else design


def layers(owned: Mapping[str, Sequence[OwnedSize]]) -> dict[str, tuple[str, OwnedSize]]:
    """Frames that can stand behind a piece as one more layer: shape and size by item code."""
    return {size.item: (shape, size) for shape, sizes in owned.items() if shape != "free" for size in sizes}


def with_layer(design: Design, item: str, owned: Mapping[str, Sequence[OwnedSize]]) -> Design:
    """One more frame behind all others, in their middle. Raises ``DesignError`` at ``add_frame``."""
    known = layers(owned)
    if item not in known:
        raise DesignError(Fault(code=FaultCode.NOT_OWNED, field="add_frame", found=item, what="frame"))
    if len(design.frames) >= MOST_FRAMES:
        raise DesignError(Fault(code=FaultCode.TOO_MANY_FRAMES, field="add_frame", high=MOST_FRAMES))
    shape, size = known[item]
    taken = {frame.id for frame in design.frames}
    number = next(n for n in range(1, MOST_FRAMES + 1) if f"layer-{n}" not in taken)
    rear = min((frame.z_m for frame in design.frames), default=LAYER_GAP_M)
    middle = sum(frame.x_m for frame in design.frames) / max(len(design.frames), 1)
    added = Frame(
        id=f"layer-{number}", shape=shape, item=size.item, label=size.label, width_m=size.width_m,
        height_m=size.height_m, weight_kg=size.weight_kg, x_m=middle, z_m=max(rear - LAYER_GAP_M, -10.0),
        sizes=(size,),
    )  # fmt: skip
    return replace(design, frames=(*design.frames, added))


def carries(design: Design, frame_id: str) -> str:
    """What hangs on a frame: ``the garland``, ``the sign``, or nothing."""
    if any(leg.frame == frame_id for garland in design.garlands for leg in garland.route):
        return "the garland"
    if any(sign.frame == frame_id for sign in design.signs):
        return "the sign"
    if any(one.frame == frame_id for one in design.letterings):
        return "lettering"
    return "a big round" if any(one.frame == frame_id for one in design.rounds) else ""


def without_layer(design: Design, frame_id: str) -> Design:
    """A frame taken away that nothing hangs on. Raises ``DesignError`` at ``frame.<id>``."""
    key = f"frame.{frame_id}"
    if frame_id not in {frame.id for frame in design.frames}:
        raise DesignError(Fault(code=FaultCode.NOT_IN_PIECE, field=key, found=frame_id, what="frame"))
    if what := carries(design, frame_id):
        raise DesignError(Fault(code=FaultCode.CARRIES_SOMETHING, field=key, what=what))
    return replace(design, frames=tuple(frame for frame in design.frames if frame.id != frame_id))
