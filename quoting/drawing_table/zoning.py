"""Colour zones of a garland by form: a colour and a length, or a percentage, a row."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.records import Design, Garland, Zone
from quoting.craft.settle.laying import route_in
from quoting.craft.table.things import Thing, ref_of
from quoting.drawing_table.forms import ZONE_COLOUR, ZONE_LENGTH
from quoting.drawing_table.panel import FormGroup, Forms
from quoting.drawing_table.stretches import Stretch
from studio.models.spelling import spelled

EMPTY_ROWS: Final = 2
NOTE: Final = "From the start of the garland. A length or a percentage; one left empty takes the rest."


def zone_group(design: Design, thing: Thing, make: Forms) -> FormGroup | None:
    """The zones of a garland, or a proposal of them by the palette's shares; None for what has no zones."""
    if not isinstance(thing, Garland):
        return None
    try:
        length_m = route_in(design, design.garlands.index(thing)).length_m
    except DesignError:
        return None
    zones = thing.zones or _proposed(design)
    names: dict[str, object] = {}
    for k, zone in enumerate(zones):
        names |= {f"{ZONE_COLOUR}{k}": zone.colour, f"{ZONE_LENGTH}{k}": zone.share * length_m}
    for k in range(len(zones), len(zones) + EMPTY_ROWS):
        names |= {f"{ZONE_COLOUR}{k}": "", f"{ZONE_LENGTH}{k}": None}
    colours = [("", "none"), *((colour.colour, colour.name) for colour in design.palette)]
    choices = {name: colours for name in names if name.startswith(ZONE_COLOUR)}
    form = make.make("zones", names, thing=ref_of(thing), choices=choices, verb="Set zones")
    for k, name in enumerate(choices):
        form.fields[name].label = f"Zone {k + 1}"
        form.fields[name].required = False
        form.fields[f"{ZONE_LENGTH}{k}"].label = f"Length of zone {k + 1}"
        form.fields[f"{ZONE_LENGTH}{k}"].required = False
    return FormGroup("zones", spelled("Color zones"), (form,), note=NOTE)


def zones_of(values: Mapping[str, object], length_m: float) -> list[dict[str, object]]:
    """The zones that were typed, as plain values of the act; the one without a length takes the rest. DesignError where
    nothing is left for it."""
    rows = []
    for name, colour in values.items():
        if name.startswith(ZONE_COLOUR):
            stretch = values.get(f"{ZONE_LENGTH}{name.removeprefix(ZONE_COLOUR)}")
            rows.append((colour, stretch.share_of(length_m) if isinstance(stretch, Stretch) else None))
    rest = 1 - sum(share for _, share in rows if share is not None)
    empty = sum(share is None for _, share in rows)
    if empty and rest <= 0:
        found, code = (1 - rest) * length_m, FaultCode.ZONES_TOTAL
        raise DesignError(Fault(code=code, field="zones", found=found, high=length_m))
    return [{"colour": colour, "share": rest / empty if share is None else share} for colour, share in rows]


# Private


def _proposed(design: Design) -> tuple[Zone, ...]:
    """One zone for each colour of the palette, as long as its share."""
    total = sum(colour.share for colour in design.palette)
    shown = [colour for colour in design.palette if colour.share > 0]
    return tuple(Zone(colour=colour.colour, share=colour.share / total) for colour in shown)
