"""Faults of single things that only show between their fields and the rest of the design."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import Final

from quoting.craft.air.atmosphere import Air
from quoting.craft.air.helium import lifted
from quoting.craft.design.faults import Fault, FaultCode
from quoting.craft.design.foils import balloons_of
from quoting.craft.design.records import ROUND_SIZES_IN, Design
from quoting.craft.design.things import MOST_GLYPHS, Foil, Round
from quoting.craft.design.toppers import topper_faults
from studio.trade.packing import INCH_M

LEAST_SIZED: Final = 0.4
"""A balloon sized below this share of its nominal size is slack and not round. Common practice, no source."""
LEAST_AFLOAT_M: Final = 9 * INCH_M
"""A latex round sized below this carries little more than itself. Common practice, no source."""


def thing_faults(design: Design) -> list[Fault]:
    """List the faults of signs, rounds, foil balloons, props, letterings and placed florals."""
    faults = (
        _repeated_things(design)
        + _frame_name_faults(design)
        + _surface_faults(design)
        + topper_faults(design)
    )
    colours = tuple(colour.colour for colour in design.palette)
    for i, one in enumerate(design.rounds):
        faults += sized_faults(one.size_in, {"sized_m": one.sized_m}, f"rounds[{i}]")
        faults += _afloat_faults(one, f"rounds[{i}].sized_m")
        if one.colour not in colours:
            field, found = f"rounds[{i}].colour", repr(one.colour)
            faults.append(Fault(code=FaultCode.UNKNOWN_COLOUR, field=field, found=found, names=colours))
    for i, foil in enumerate(design.foils):
        faults += _glyph_faults(foil, f"foils[{i}].text") or _heavy_foil_faults(foil, f"foils[{i}].gas")
    return faults


def repeated(named: Iterable[tuple[str, str]]) -> list[Fault]:
    """Give a fault at each (field, name) whose name stood before.

    >>> [fault.field for fault in repeated([("a", "one"), ("b", "two"), ("c", "one")])]
    ['c']
    """
    seen: set[str] = set()
    faults = []
    for field, name in named:
        if name in seen:
            faults.append(Fault(code=FaultCode.REPEATED, field=field, found=repr(name)))
        seen.add(name)
    return faults


def unknown_frame(name: str, field: str, known: Collection[str]) -> Fault:
    """Give the fault of a field that names no frame of the design."""
    return Fault(code=FaultCode.UNKNOWN_FRAME, field=field, found=repr(name), names=tuple(known))


def sized_faults(size_in: int, sized: Mapping[str, float], path: str) -> list[Fault]:
    """List why a round of a nominal size [in] isn't sized to what its fields say [m].

    >>> [fault.code.value for fault in sized_faults(11, {"sized_m": 0.4}, "rounds[0]")]
    ['sized-out-of-range']
    """
    faults = []
    if size_in not in ROUND_SIZES_IN:
        names = tuple(map(str, ROUND_SIZES_IN))
        faults.append(Fault(code=FaultCode.UNKNOWN_SIZE, field=f"{path}.size_in", found=size_in, names=names))
    low, high = LEAST_SIZED * size_in * INCH_M, size_in * INCH_M
    for name, value in sized.items():
        if not low - 1e-9 <= value <= high + 1e-9:
            code, size = FaultCode.SIZED_OUT_OF_RANGE, str(size_in)
            field = f"{path}.{name}"
            faults.append(Fault(code=code, field=field, found=value, low=low, high=high, what=size))
    return faults


# Private


def _repeated_things(design: Design) -> list[Fault]:
    kinds = (
        ("signs", [one.id for one in design.signs]),
        ("rounds", [one.id for one in design.rounds]),
        ("foils", [one.id for one in design.foils]),
        ("props", [one.id for one in design.props]),
        ("letterings", [one.id for one in design.letterings]),
        ("sprays", [one.id for one in design.sprays]),
    )
    return [
        fault
        for kind, names in kinds
        for fault in repeated((f"{kind}[{i}].id", name) for i, name in enumerate(names))
    ]


def _frame_name_faults(design: Design) -> list[Fault]:
    """Things that name a frame which isn't there; signs and rounds may name none."""
    frames = [frame.id for frame in design.frames]
    named = [(f"signs[{i}].frame", one.frame) for i, one in enumerate(design.signs) if one.frame]
    named += [(f"rounds[{i}].frame", one.frame) for i, one in enumerate(design.rounds) if one.frame]
    named += [(f"letterings[{i}].frame", one.frame) for i, one in enumerate(design.letterings)]
    return [unknown_frame(name, field, frames) for field, name in named if name not in frames]


def _surface_faults(design: Design) -> list[Fault]:
    """Letterings on a frame that has nothing to stick to."""
    bare = {frame.id for frame in design.frames if not frame.takes_words}
    return [
        Fault(code=FaultCode.NO_SURFACE, field=f"letterings[{i}].frame", found=repr(one.frame))
        for i, one in enumerate(design.letterings)
        if one.frame in bare
    ]


def _afloat_faults(one: Round, field: str) -> list[Fault]:
    """Helium in a round that is too little to carry itself."""
    if one.gas != "helium" or one.sized_m >= LEAST_AFLOAT_M - 1e-9:
        return []
    low, high = LEAST_AFLOAT_M, max(LEAST_AFLOAT_M, one.size_in * INCH_M)
    return [Fault(code=FaultCode.OUT_OF_RANGE, field=field, found=one.sized_m, low=low, high=high)]


def _heavy_foil_faults(foil: Foil, field: str) -> list[Fault]:
    """Helium in foil that doesn't lift its own skin, at 20 °C and sea level."""
    row = balloons_of(foil) if foil.gas == "helium" else ()
    heavy = next((one for one in row if lifted(one.volume_m3, one.skin_kg, Air()).net_lift <= 0), None)
    if heavy is None:
        return []
    return [Fault(code=FaultCode.DOES_NOT_FLOAT, field=field, what=heavy.glyph or foil.shape)]


def _glyph_faults(foil: Foil, field: str) -> list[Fault]:
    """Letters and digits need some; every other shape takes none."""
    low, high = (1, MOST_GLYPHS) if foil.shape == "glyphs" else (0, 0)
    found = len(foil.text)
    if low <= found <= high:
        return []
    return [Fault(code=FaultCode.WRONG_LENGTH, field=field, found=found, low=low, high=high)]
