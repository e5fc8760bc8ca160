"""What a form of the page means as an act of the trade's arithmetic: a size chosen by item, a garland along frames."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import asdict
from typing import Final

from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.records import Design, PaletteColour
from quoting.craft.settle.laying import route_in
from quoting.craft.table.acted import Act
from quoting.craft.table.acts import read_act
from quoting.craft.table.shelf import Shelf
from quoting.craft.table.things import find_garland
from quoting.drawing_table.panel import stroke_along
from quoting.drawing_table.shares import shares_after
from quoting.drawing_table.stretches import Stretch
from quoting.drawing_table.zoning import zones_of

Values = dict[str, object]
LAID: Final = ("fit", "bleed_m", "x_share", "y_share")
ADDED_SHARE: Final = 0.15
"""Share of a color that is added; the others keep their proportions."""


def act_of(name: str, values: Values, design: Design, shelf: Shelf) -> Act:
    """The act that was sent, done to this design. Raises ``DesignError`` at the field that can't be read."""
    meant = MEANT.get(name)
    return read_act(name, meant(values, design, shelf) if meant else values)


# Private


def _resize(values: Values, _design: Design, shelf: Shelf) -> Values:
    item = values.get("item")
    if not isinstance(item, str):
        return values
    found = shelf.frame(item)
    if found is None:
        raise DesignError(Fault(code=FaultCode.NOT_OWNED, field="item", found=item, what="frame"))
    size = {"width_m": found[1].width_m, "height_m": found[1].height_m}
    return {"thing": values.get("thing", ""), **size}


def _put_garland(values: Values, design: Design, _shelf: Shelf) -> Values:
    if "along" not in values:
        return values
    frames = [str(values[name]) for name in ("along", "then") if name in values]
    return {"points": stroke_along(design, frames)}


def _palette(values: Values, design: Design, shelf: Shelf) -> Values:
    colours = [asdict(colour) for colour in design.palette]
    shares = shares_after(values, design)
    for colour in colours:
        colour["share"] = shares[colour["colour"]]
        if "finish" in values and colour["colour"] == values.get("colour"):
            colour.update(finish=values["finish"], inner=values.get("inner", ""))
    added = values.get("add")
    if added in shelf.colours and added not in {colour["colour"] for colour in colours}:
        colours.append(_added(str(added), shelf))
    return {"colours": [colour for colour in colours if colour["share"]]}


def _added(code: str, shelf: Shelf) -> Values:
    known = shelf.colours[code]
    share = ADDED_SHARE / (1 - ADDED_SHARE)
    return asdict(PaletteColour(colour=code, name=known.name, hex=known.hex, share=share))


def _site(values: Values, _design: Design, _shelf: Shelf) -> Values:
    return {"fields": values}


def _cover(values: Values, _design: Design, _shelf: Shelf) -> Values:
    return {"thing": values.get("thing", ""), "item": values.get("item") or ""}


def _print(values: Values, design: Design, _shelf: Shelf) -> Values:
    """What is said of an image; what isn't stays as the present one is laid."""
    frame = design.frame(str(values.get("thing", "")).partition(":")[2])
    laid = frame.cover_print if frame else None
    kept = asdict(laid) if laid and values.get("image") else {}
    return {name: kept[name] for name in LAID if name in kept} | values


def _put(values: Values, _design: Design, _shelf: Shelf) -> Values:
    """What is put on top of the selected thing: the act names only what bears it."""
    return {name: value for name, value in values.items() if name != "thing"}


def _tie(values: Values, design: Design, _shelf: Shelf) -> Values:
    """A place along a garland as a share of its length."""
    place = values.get("station_m")
    if not isinstance(place, Stretch):
        return values
    length_m = length_of(design, str(values.get("thing", "")))
    share = place.share_of(length_m)
    if not 0 <= share <= 1:
        code, found = FaultCode.OUT_OF_RANGE, share * length_m
        raise DesignError(Fault(code=code, field="station_m", found=found, low=0.0, high=length_m))
    return {**{name: value for name, value in values.items() if name != "station_m"}, "at": share}


def _zones(values: Values, design: Design, _shelf: Shelf) -> Values:
    ref = values.get("thing", "")
    return {"thing": ref, "zones": zones_of(values, length_of(design, str(ref)))}


def length_of(design: Design, ref: str) -> float:
    """The length of a garland [m]. DesignError at ``thing`` where there is none such."""
    garland = find_garland(design, ref)
    return float(route_in(design, design.garlands.index(garland)).length_m)


MEANT: Final[Mapping[str, Callable[[Values, Design, Shelf], Values]]] = {
    "resize": _resize, "put-garland": _put_garland, "palette": _palette, "site": _site, "cover": _cover,
    "print": _print, "put-round": _put, "put-foil": _put, "add-tie": _tie, "move-tie": _tie, "zones": _zones,
}  # fmt: skip
