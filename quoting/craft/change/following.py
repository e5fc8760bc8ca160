"""Single things of a design that is scaled: what hangs or stands on something keeps its place there."""

from __future__ import annotations

from dataclasses import replace
from typing import TypeVar

from quoting.craft.design.records import Design, Sign
from quoting.craft.design.resting import Hanging, placed_alike, prop_under, rests
from quoting.craft.design.schema import held
from quoting.craft.design.things import Foil, Lettering, Prop, Round, Spray

Standing = TypeVar("Standing", Round, Foil, Spray, Sign)
Scaled = TypeVar("Scaled", bound=Round | Foil | Spray | Sign | Lettering)


def with_things_following(before: Design, after: Design, across: float, up: float) -> Design:
    """``after``, which is ``before`` with other frames, with its single things where they belong.

    What is on a frame keeps its place of that frame, in shares of its width and height. What stands on a prop keeps
    its distance to it, what stands on the floor its height. Everything else is scaled by ``across`` and ``up``.
    """
    moved = _Moved(before, after, across, up)
    return replace(
        after,
        signs=tuple(moved.hanging(one) if one.frame else moved.standing(one) for one in before.signs),
        rounds=tuple(moved.hanging(one) if one.frame else moved.standing(one) for one in before.rounds),
        letterings=tuple(moved.hanging(one) for one in before.letterings),
        foils=tuple(moved.standing(one) for one in before.foils),
        props=tuple(moved.prop(one) for one in before.props),
        sprays=tuple(moved.standing(one) for one in before.sprays),
    )


# Private


class _Moved:
    """The places of single things after frames were given other sizes and places."""

    def __init__(self, before: Design, after: Design, across: float, up: float) -> None:
        self.before, self.after, self.across, self.up = before, after, across, up

    def hanging(self, one: Hanging) -> Hanging:
        old, new = self.before.frame(one.frame), self.after.frame(one.frame)
        if old is None or new is None:
            return self._scaled(one)
        return placed_alike(one, old, new)

    def standing(self, one: Standing) -> Standing:
        under = prop_under(self.before, one)
        if under is not None:
            x, y = self._carried_by(under)
            return held(one, x_m=one.x_m + x, y_m=one.y_m + y)
        if rests(self.before, one):
            return held(one, x_m=one.x_m * self.across)
        return self._scaled(one)

    def prop(self, one: Prop) -> Prop:
        under = prop_under(self.before, one)
        if under is not None:
            x, y = self._carried_by(under)
            return held(one, x_m=one.x_m + x, base_m=one.base_m + y)
        base_m = one.base_m if rests(self.before, one) else one.base_m * self.up
        return held(one, x_m=one.x_m * self.across, base_m=base_m)

    def _carried_by(self, prop: Prop) -> tuple[float, float]:
        """How far a prop moves across and up [m]."""
        moved = self.prop(prop)
        return moved.x_m - prop.x_m, moved.base_m - prop.base_m

    def _scaled(self, one: Scaled) -> Scaled:
        return held(one, x_m=one.x_m * self.across, y_m=one.y_m * self.up)
