"""Acts on the drawing table: each is a record with a rule for every field, read from plain values and applied to a
design. The rules live here; a page only shows them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from typing import Final

from quoting.craft.design.checks import cross_faults
from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.records import Design
from quoting.craft.design.schema import read_record, write_record
from quoting.craft.settle.laying import routes_of
from quoting.craft.table import (
    bending,
    drawing,
    dressing,
    moving,
    putting,
    scattering,
    toppers,
    tying,
    zoning,
)
from quoting.craft.table.acted import Act, Acted
from quoting.craft.table.shelf import Shelf
from quoting.craft.table.things import LISTS, of_kind

ACTS: Final[Mapping[str, type[Act]]] = {
    "put-frame": putting.PutFrame,
    "put-garland": drawing.PutGarland,
    "put-sign": putting.PutSign,
    "put-round": putting.PutRound,
    "put-foil": putting.PutFoil,
    "put-prop": putting.PutProp,
    "put-lettering": putting.PutLettering,
    "put-spray": putting.PutSpray,
    "put-wall": putting.PutWall,
    "put-column": putting.PutColumn,
    "put-bouquet": putting.PutBouquet,
    "on-top": toppers.OnTop,
    "scatter": scattering.Scatter,
    "copy": moving.Copy,
    "remove": moving.Remove,
    "move": moving.Move,
    "depth": moving.Depth,
    "resize": moving.Resize,
    "turn": moving.Turn,
    "mirror": moving.Mirror,
    "cover": dressing.PutCover,
    "print": dressing.PutPrint,
    "set": dressing.Set,
    "redraw": drawing.Redraw,
    "move-point": drawing.MovePoint,
    "add-point": drawing.AddPoint,
    "remove-point": drawing.RemovePoint,
    "move-corner": bending.MoveCorner,
    "add-corner": bending.AddCorner,
    "remove-corner": bending.RemoveCorner,
    "end": drawing.End,
    "thickness": drawing.Thickness,
    "add-tie": tying.AddTie,
    "move-tie": tying.MoveTie,
    "remove-tie": tying.RemoveTie,
    "ties-worked-out": tying.TiesWorkedOut,
    "zones": zoning.Zones,
    "palette": dressing.Palette,
    "site": dressing.PutSite,
}
"""The record of every act by its name."""


def read_act(name: str, values: object) -> Act:
    """Read an act from plain values. DesignError with every fault at the field that it belongs to; at ``act`` for an
    unknown name.

    >>> read_act("move", {"thing": "frame:low", "x_m": 0.4}).x_m
    0.4
    >>> read_act("move", {"thing": "frame:low", "x_m": 99})
    Traceback (most recent call last):
    ...
    quoting.craft.design.faults.DesignError: x_m: is 99; allowed is -30 to 30
    """
    if name not in ACTS:
        raise DesignError(Fault(code=FaultCode.UNKNOWN_ACT, field="act", found=repr(name), names=tuple(ACTS)))
    faults: list[Fault] = []
    act = read_record(ACTS[name], values, "", faults)
    if act is None:
        raise DesignError(*faults)
    return act


def apply(design: Design, act: Act, shelf: Shelf) -> Acted:
    """Do an act. The design that comes back reads and can be laid; DesignError, at a field of the act, where it can't.

    A design that was scaled is one of its own from here on: it no longer remembers what it was scaled from.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> done = apply(design, read_act("move", {"thing": "frame:low", "x_m": -0.6}), Shelf())
    >>> done.design.frames[1].x_m, [said.code.value for said in done.said]
    (-0.6, ['moved', 'follows'])
    """
    acted = _with_toppers(design, act.on(as_it_is(design), shelf))
    if faults := _new_faults(design, acted.design):
        raise DesignError(*(replace(fault, field=_field_of(act, fault)) for fault in faults))
    return acted


def as_it_is(design: Design) -> Design:
    """A scaled design without what it was scaled from; its garlands are filled anew, as they were before.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "table-garland.json")
    >>> as_it_is(design) is design
    True
    """
    chosen = design.chosen
    if chosen is None:
        return design
    garlands = tuple(
        replace(garland, fillers=was.fillers, strung=was.strung, fullest=was.fullest)
        for garland, was in zip(design.garlands, chosen.garlands, strict=True)
    )
    return replace(design, garlands=garlands, chosen=None)


# Private


def _with_toppers(before: Design, acted: Acted) -> Acted:
    """What stands on top of something goes where that went."""
    after, said = toppers.carried_on_top(before, acted.design)
    return replace(acted, design=after, said=(*acted.said, *said))


def _new_faults(before: Design, after: Design) -> list[Fault]:
    """The faults of what the act changed; those that the design had before stay unsaid."""
    if faults := _record_faults(before, after):
        return faults
    known = cross_faults(before, may_be_empty=True)
    if faults := [fault for fault in cross_faults(after, may_be_empty=True) if fault not in known]:
        return faults
    if not _moves_strings(before, after) or not (faults := _laying_faults(after)):
        return []
    known = _laying_faults(before)
    return [fault for fault in faults if fault not in known]


def _record_faults(before: Design, after: Design) -> list[Fault]:
    """Faults of every changed thing by the rules of its record."""
    faults: list[Fault] = []
    for kind, (name, record) in LISTS.items():
        kept = {id(thing) for thing in of_kind(before, kind)}
        for k, thing in enumerate(of_kind(after, kind)):
            if id(thing) not in kept:
                read_record(record, write_record(thing), f"{name}[{k}]", faults)
    return faults


def _moves_strings(before: Design, after: Design) -> bool:
    return (before.frames, before.garlands) != (after.frames, after.garlands)


def _laying_faults(design: Design) -> list[Fault]:
    try:
        routes_of(design)
    except DesignError as error:
        return list(error.faults)
    return []


def _field_of(act: Act, fault: Fault) -> str:
    """The field of the act that a fault of the design belongs to."""
    names = [field.name for field in fields(act)]  # type: ignore[arg-type] # every act is a record
    last = fault.field.rsplit(".", 1)[-1].split("[")[0]
    wanted = (last, "points" if last == "route" else "", "length_m", "colours", "thing")
    return next((name for name in wanted if name in names), names[0])
