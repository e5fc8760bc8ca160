"""What stands on the table: every thing of a design by its reference, ``kind:id``."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import replace
from typing import Final, TypeAlias

from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.records import Bouquet, Design, Frame, Garland, Sign, Wall
from quoting.craft.design.things import Foil, Lettering, Prop, Round, Spray

Thing: TypeAlias = Frame | Garland | Sign | Round | Foil | Prop | Lettering | Spray | Wall | Bouquet

LISTS: Final[Mapping[str, tuple[str, type[Thing]]]] = {
    "frame": ("frames", Frame),
    "garland": ("garlands", Garland),
    "sign": ("signs", Sign),
    "round": ("rounds", Round),
    "foil": ("foils", Foil),
    "prop": ("props", Prop),
    "lettering": ("letterings", Lettering),
    "spray": ("sprays", Spray),
    "wall": ("walls", Wall),
    "bouquet": ("bouquets", Bouquet),
}
"""Field of the design and record of every kind of thing."""
KIND_OF: Final[Mapping[type[Thing], str]] = {record: kind for kind, (_, record) in LISTS.items()}
MOST: Final[Mapping[str, int]] = {
    field.name: int(field.metadata["rule"].high)
    for field in dataclasses.fields(Design)
    if field.name in {name for name, _ in LISTS.values()}
}
"""How many of each kind the design file takes, by the field of the design."""


def kind_of(thing: Thing) -> str:
    """Name the kind of a thing, as its reference begins."""
    return KIND_OF[type(thing)]


def ref_of(thing: Thing) -> str:
    """Give the reference of a thing.

    >>> ref_of(Frame(id="low", shape="panel", item="panel", label="Panel", width_m=1, height_m=2))
    'frame:low'
    """
    return f"{kind_of(thing)}:{thing.id}"


def of_kind(design: Design, kind: str) -> tuple[Thing, ...]:
    """List the things of one kind in the order of the design."""
    found: tuple[Thing, ...] = getattr(design, LISTS[kind][0])
    return found


def all_things(design: Design) -> tuple[Thing, ...]:
    """List everything that stands on the table, kind by kind."""
    return tuple(thing for kind in LISTS for thing in of_kind(design, kind))


def find_thing(design: Design, ref: str) -> Thing:
    """Find a thing by its reference. DesignError at ``thing`` where the design has none such.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> find_thing(load_design(STARTERS / "garland-nested-arches.json"), "frame:low").label
    'Arch frame 6 ft'
    """
    kind, _, name = ref.partition(":")
    found = [thing for thing in of_kind(design, kind) if thing.id == name] if kind in LISTS else []
    if not found:
        what = kind if kind in LISTS else "thing"
        raise DesignError(Fault(code=FaultCode.NOT_IN_PIECE, field="thing", found=ref, what=what))
    return found[0]


def find_garland(design: Design, ref: str) -> Garland:
    """Find a garland by its reference. DesignError at ``thing`` where it is none."""
    found = find_thing(design, ref)
    if not isinstance(found, Garland):
        raise not_for_this(found, "thing")
    return found


def not_for_this(thing: Thing, field: str) -> DesignError:
    """The fault of an act that this kind of thing doesn't take."""
    return DesignError(Fault(code=FaultCode.NOT_FOR_THIS, field=field, what=kind_of(thing)))


def with_thing(design: Design, thing: Thing) -> Design:
    """The design with a thing in place of the one with its id, or added at the end of its kind.

    DesignError at ``thing`` where the design file takes no more of the kind.
    """
    kind = kind_of(thing)
    present = of_kind(design, kind)
    if any(one.id == thing.id for one in present):
        return _with_list(design, kind, tuple(thing if one.id == thing.id else one for one in present))
    most = MOST[LISTS[kind][0]]
    if len(present) >= most:
        raise DesignError(Fault(code=FaultCode.TOO_MANY_THINGS, field="thing", high=most, what=kind))
    return _with_list(design, kind, (*present, thing))


def without_thing(design: Design, thing: Thing) -> Design:
    """The design without a thing; what hangs on it stays as it is."""
    kind = kind_of(thing)
    return _with_list(design, kind, tuple(one for one in of_kind(design, kind) if one.id != thing.id))


def free_id(design: Design, stem: str) -> str:
    """The first of ``stem-1``, ``stem-2`` ... that nothing on the table has.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> free_id(load_design(STARTERS / "garland-nested-arches.json"), "arch")
    'arch-1'
    """
    taken = {thing.id for thing in all_things(design)}
    return next(name for k in range(1, len(taken) + 2) if (name := f"{stem}-{k}") not in taken)


def free_label(design: Design, label: str) -> str:
    """The label itself, or with the first number that no thing of that label has.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> free_label(design, "Garland"), free_label(design, "Bouquet")
    ('Garland 2', 'Bouquet')
    """
    taken = {getattr(thing, "label", "") for thing in all_things(design)}
    numbered = (label, *(f"{label} {k}" for k in range(2, len(taken) + 3)))
    return next(name for name in numbered if name not in taken)


# Private


def _with_list(design: Design, kind: str, things: tuple[Thing, ...]) -> Design:
    changed: Mapping[str, tuple[Thing, ...]] = {LISTS[kind][0]: things}
    return replace(design, **changed)  # type: ignore[arg-type] # each list holds its own kind of record
