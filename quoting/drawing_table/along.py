"""Forms of a garland's points and of its thickness: they show what was last taken hold of."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from quoting.drawing_table.forms import ActForm
from quoting.drawing_table.panel import Forms
from quoting.drawing_table.scene import Grip, Hold, ThicknessGrip

MIDDLE: Final = 0.5


@dataclass(frozen=True, slots=True)
class Gripped:
    """What of a garland was last taken hold of, as it was sent: a point by its number, a thickness by its place."""

    point: str = ""
    knot: str = ""

    def __bool__(self) -> bool:
        return bool(self.point or self.knot)


NOTHING_GRIPPED: Final = Gripped()


def along_forms(hold: Hold, gripped: Gripped, make: Forms) -> Iterator[ActForm]:
    """A form that moves one point, and one that makes the garland thicker at one place."""
    if hold.points:
        point = _point(hold.points, gripped.point)
        yield make.make(
            "move-point", {"index": point.index, "x_m": point.x_m, "y_m": point.y_m}, thing=hold.ref, verb="Move",
            choices={"index": [(str(each.index), each.words) for each in hold.points]}, asks=("index", "point"),
        )  # fmt: skip
    if hold.thickness:
        knot = _knot(hold.thickness, gripped.knot)
        places = [(str(each.at), f"{round(100 * each.at)} % of the way") for each in hold.thickness]
        yield make.make(
            "thickness", {"at": knot.at, "factor": knot.factor}, thing=hold.ref, choices={"at": places},
            asks=("at", "knot"),
        )  # fmt: skip


# Private


def _point(points: tuple[Grip, ...], asked: str) -> Grip:
    return next((each for each in points if str(each.index) == asked), points[0])


def _knot(places: tuple[ThicknessGrip, ...], asked: str) -> ThicknessGrip:
    """The place that is nearest to the one asked for; the one in the middle where none is."""
    try:
        at = float(asked)
    except ValueError:
        at = MIDDLE
    return min(places, key=lambda each: abs(each.at - at))
