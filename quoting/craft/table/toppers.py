"""Big rounds and foil balloons on top of columns and props: put there, taken off, and carried along."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.records import Design, Frame
from quoting.craft.design.schema import a_reference, a_text
from quoting.craft.design.things import Foil, Prop, Round
from quoting.craft.design.toppers import on_support, seat_of, support_label, supports_of, toppers
from quoting.craft.table.acted import Acted, Said, SaidCode
from quoting.craft.table.shelf import Shelf
from quoting.craft.table.things import Thing, find_thing, free_id, kind_of, not_for_this, ref_of, with_thing

HALF_A_DIGIT_M: Final = 0.0015
"""Nearer to its seat than this a topper is on it: places are kept to a millimetre (setting)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OnTop:
    """Put a round or a foil balloon on top of a column or a prop, or take it off: it stays where it is then."""

    thing: str = a_text("reference of a round or a foil balloon, kind:id")
    on_top: str = a_reference("a column's pole, frame:id, or a prop, prop:id; empty: nothing")

    def on(self, design: Design, _shelf: Shelf) -> Acted:
        topper = find_thing(design, self.thing)
        if not isinstance(topper, Round | Foil):
            raise not_for_this(topper, "thing")
        if not self.on_top:
            said = Said(SaidCode.STANDS_BY_ITSELF, support_of(design, topper), topper.label)
            off = replace(topper, on_top="")
            return Acted(with_thing(design, off), self.thing, (Said(SaidCode.TAKEN_OFF, topper.label), said))
        placed = put_on_top(design, topper, self.on_top)
        said = Said(SaidCode.ON_TOP, topper.label, support_label(design, self.on_top))
        return Acted(with_thing(design, placed), self.thing, (said,))


def put_on_top(design: Design, topper: Round | Foil, ref: str) -> Round | Foil:
    """A round or foil balloon on top of a support. DesignError at ``on_top`` where nothing can stand on that."""
    bearing = supports_of(design)
    if ref not in bearing:
        code, names = FaultCode.UNKNOWN_SUPPORT, tuple(bearing)
        raise DesignError(Fault(code=code, field="on_top", found=repr(ref), names=names))
    return on_support(topper, ref, bearing[ref])


def support_of(design: Design, topper: Round | Foil) -> str:
    """Name what bears a topper; empty where it stands on nothing."""
    return support_label(design, topper.on_top) if topper.on_top in supports_of(design) else ""


def toppers_of(design: Design, ref: str) -> tuple[Round | Foil, ...]:
    """List what stands on top of a support."""
    return tuple(one for one in toppers(design) if one.on_top == ref)


def toppers_copied(design: Design, support: Thing, copy: Frame | Prop) -> Design:
    """The design with the toppers of a support copied on to its copy, which stands there already."""
    for one in toppers_of(design, f"{kind_of(support)}:{support.id}"):
        second = on_support(
            replace(one, id=free_id(design, kind_of(one))), f"{kind_of(copy)}:{copy.id}", copy
        )
        design = with_thing(design, second)
    return design


def carried_on_top(before: Design, after: Design) -> tuple[Design, list[Said]]:
    """The design after an act with its toppers where they belong, and what there is to say of them.

    A topper goes where its support went; one that was moved by itself, or that lost its support, stands by itself.
    """
    said: list[Said] = []
    for one in toppers(after):
        after, told = _carried(before, after, one)
        said += told
    return after, said


# Private


def _carried(before: Design, after: Design, one: Round | Foil) -> tuple[Design, list[Said]]:
    now = supports_of(after).get(one.on_top)
    was = supports_of(before).get(one.on_top)
    if now is None or (was is not None and _moved_by_itself(before, one, was, now)):
        lost = support_label(before, one.on_top) if was is not None else ""
        alone = replace(one, on_top="")
        return with_thing(after, alone), [Said(SaidCode.STANDS_BY_ITSELF, lost, one.label)]
    placed = on_support(one, one.on_top, now)
    if placed == one:
        return after, []
    told = [Said(SaidCode.FOLLOWS, now.label, one.label)] if was != now else []
    return with_thing(after, placed), told


def _moved_by_itself(before: Design, one: Round | Foil, was: Frame | Prop, now: Frame | Prop) -> bool:
    """Whether a topper isn't where it belongs, though its support stayed and it is as big as it was."""
    seat = seat_of(now, one)
    away = max(abs(one.x_m - seat.x_m), abs(one.y_m - seat.y_m), abs(one.z_m - seat.z_m))
    if away <= HALF_A_DIGIT_M:
        return False
    former = next((each for each in toppers(before) if ref_of(each) == ref_of(one)), None)
    return former is None or (
        was == now and (former.x_m, former.y_m, former.z_m) != (one.x_m, one.y_m, one.z_m)
    )
