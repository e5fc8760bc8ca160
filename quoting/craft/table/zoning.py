"""The act that gives a garland colour zones of their own lengths."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.records import MOST_ZONES, ZONED, Design, Garland, Zone
from quoting.craft.design.schema import a_text, part_list
from quoting.craft.settle.laying import route_in
from quoting.craft.table.acted import Acted, Said, SaidCode
from quoting.craft.table.shelf import Shelf
from quoting.craft.table.things import find_garland, ref_of, with_thing

WITHIN: Final = 0.01
"""Zones measured with a tape may miss the garland's length by this share of it (setting)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Zones:
    """Give a garland zones of one colour each, from its beginning on."""

    thing: str = a_text("reference of a garland, garland:id")
    zones: tuple[Zone, ...] = part_list(
        Zone, "colours and shares of the length; they add up to 1", 1, MOST_ZONES
    )

    def on(self, design: Design, _shelf: Shelf) -> Acted:
        garland = find_garland(design, self.thing)
        zones = _whole(design, garland, self.zones)
        said = Said(SaidCode.ZONED, garland.label, figures={"count": len(zones)})
        return Acted(
            with_thing(design, replace(garland, pattern=ZONED, zones=zones)), ref_of(garland), (said,)
        )


# Private


def _whole(design: Design, garland: Garland, zones: tuple[Zone, ...]) -> tuple[Zone, ...]:
    """The zones brought to the whole length. DesignError at ``zones`` where they miss it, or a colour is none."""
    codes = [colour.colour for colour in design.palette]
    for zone in zones:
        if zone.colour not in codes:
            code, names = FaultCode.UNKNOWN_COLOUR, tuple(codes)
            raise DesignError(Fault(code=code, field="zones", found=repr(zone.colour), names=names))
    total = sum(zone.share for zone in zones)
    if abs(total - 1) > WITHIN:
        length_m = route_in(design, design.garlands.index(garland)).length_m
        found, code = total * length_m, FaultCode.ZONES_TOTAL
        raise DesignError(Fault(code=code, field="zones", found=found, high=length_m))
    return tuple(replace(zone, share=round(zone.share / total, 6)) for zone in zones)
