"""Forms of a garland's points and thickness, and of a bent frame's corners: they show what was last taken hold of."""

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
    """What was last taken hold of, as it was sent: a point of a garland or a corner by its number, a thickness by its
    place."""

    point: str = ""
    knot: str = ""

    def __bool__(self) -> bool:
        return bool(self.point or self.knot)


NOTHING_GRIPPED: Final = Gripped()


def along_forms(hold: Hold, gripped: Gripped, make: Forms) -> Iterator[ActForm]:
    """Forms that move, add and remove points or corners, and one that makes the garland thicker at one place."""
    if hold.by_hand.bends:
        yield from _bend_forms(hold, gripped, make)
    if hold.points:
        point = _point(hold.points, gripped.point)
        yield make.make(
            "move-point", {"index": point.index, "x_m": point.x_m, "y_m": point.y_m}, thing=hold.ref, verb="Move",
            choices={"index": [(str(each.index), each.words) for each in hold.points]}, asks=("index", "point"),
        )  # fmt: skip
        yield from _point_forms(hold, make)
    if hold.thickness:
        knot = _knot(hold.thickness, gripped.knot)
        places = [(str(each.at), f"{round(100 * each.at)} % of the way") for each in hold.thickness]
        yield make.make(
            "thickness", {"at": knot.at, "factor": knot.factor}, thing=hold.ref, choices={"at": places},
            asks=("at", "knot"),
        )  # fmt: skip


# Private


def _point_forms(hold: Hold, make: Forms) -> Iterator[ActForm]:
    places = [(f"{number / 10}", f"{10 * number} % of the way") for number in range(1, 10)]
    yield make.make("add-point", {"at": "0.5"}, thing=hold.ref, choices={"at": places}, verb="Add")
    points = [(str(each.index), each.words) for each in hold.points]
    yield make.make(
        "remove-point", {"index": points[0][0]}, thing=hold.ref, choices={"index": points}, verb="Remove"
    )


def _bend_forms(hold: Hold, gripped: Gripped, make: Forms) -> Iterator[ActForm]:
    """Forms for the corners of a bent frame."""
    bends = hold.by_hand.bends
    corners = [(str(each.index), each.words) for each in bends]
    corner = next((each for each in bends if str(each.index) == gripped.point), bends[0])
    yield make.make(
        "move-corner", {"index": corner.index, "x_m": corner.x_m, "y_m": corner.y_m}, thing=hold.ref, verb="Move",
        choices={"index": corners}, asks=("index", "point"),
    )  # fmt: skip
    gaps = [
        (str(each.index), f"between {each.index + 1} and {each.index + 2}") for each in hold.by_hand.between
    ]
    yield make.make("add-corner", {"index": "0"}, thing=hold.ref, choices={"index": gaps}, verb="Add")
    chosen = {"index": str(corner.index)}
    yield make.make("remove-corner", chosen, thing=hold.ref, choices={"index": corners}, verb="Remove")


def _point(points: tuple[Grip, ...], asked: str) -> Grip:
    return next((each for each in points if str(each.index) == asked), points[0])


def _knot(places: tuple[ThicknessGrip, ...], asked: str) -> ThicknessGrip:
    """The place that is nearest to the one asked for; the one in the middle where none is."""
    try:
        at = float(asked)
    except ValueError:
        at = MIDDLE
    return min(places, key=lambda each: abs(each.at - at))
