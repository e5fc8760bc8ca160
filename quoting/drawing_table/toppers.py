"""Forms for what stands on top of columns and props."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from quoting.craft.design.records import ROUND_SIZES_IN, Design, Garland
from quoting.craft.design.things import Foil, Round
from quoting.craft.design.toppers import support_label, supports_of
from quoting.craft.table.putting import USUAL_FLAT_M
from quoting.craft.table.things import Thing, ref_of
from quoting.craft.table.toppers import toppers_of
from quoting.drawing_table.forms import ActForm
from quoting.drawing_table.panel import FormGroup, Forms, counted_items
from quoting.drawing_table.shelf import TableShelf
from quoting.drawing_table.words import LOOK_WORDS

LEAST_ROUND_IN: Final = 16
USUAL_ROUND_IN: Final = 24
"""A big round begins at the one, and the other is put on a column. Common practice, no source."""
SHAPES: Final = ("glyphs", "star", "heart", "disc", "crescent")


def topper_group(design: Design, thing: Thing, shelf: TableShelf, make: Forms) -> FormGroup | None:
    """Forms that put something on top of this thing, or this thing on top of another; None where neither goes."""
    if isinstance(thing, Round | Foil):
        forms = tuple(_put_on(design, thing, make))
        return FormGroup("on-top", "On top of", forms) if forms else None
    ref = _support_ref(design, thing)
    if not ref:
        return None
    lines = tuple(one.label for one in toppers_of(design, ref))
    forms = tuple(_add(design, thing, ref, shelf, make))
    return FormGroup("on-top", f"On top of {support_label(design, ref)}", forms, lines)


# Private


def _put_on(design: Design, topper: Round | Foil, make: Forms) -> Iterator[ActForm]:
    found = [(ref, support_label(design, ref)) for ref in supports_of(design)]
    if found:
        choices = [("", "nothing"), *found]
        yield make.make(
            "on-top", {"on_top": topper.on_top}, thing=ref_of(topper), choices={"on_top": choices}
        )


def _support_ref(design: Design, thing: Thing) -> str:
    """The reference of what bears: a prop, a pole, or the pole of a packed column."""
    bearing = supports_of(design)
    if ref_of(thing) in bearing:
        return ref_of(thing)
    if not isinstance(thing, Garland) or thing.work != "classic":
        return ""
    poles = {f"frame:{leg.frame}" for leg in thing.route}
    return poles.pop() if len(poles) == 1 and poles <= set(bearing) else ""


def _add(design: Design, thing: Thing, ref: str, shelf: TableShelf, make: Forms) -> Iterator[ActForm]:
    """A big round, a foil balloon of the studio's own, and one that is bought for this."""
    sizes = [(str(size), f"{size} in") for size in ROUND_SIZES_IN if size >= LEAST_ROUND_IN]
    colours = [(colour.colour, colour.name) for colour in design.palette]
    yield make.make(
        "put-round", {"size_in": USUAL_ROUND_IN, "colour": colours[0][0]}, fixed={"on_top": ref}, verb="Add",
        choices={"size_in": sizes, "colour": colours}, key="top-round", thing=ref_of(thing),
    )  # fmt: skip
    owned = counted_items(shelf.shelf.foils, shelf)
    if owned:
        yield make.make(
            "put-foil", {"item": owned[0][0], "text": "6"}, fixed={"on_top": ref}, verb="Add",
            choices={"item": owned}, key="top-owned", thing=ref_of(thing),
        )  # fmt: skip
    shapes = [(shape, LOOK_WORDS[shape]) for shape in SHAPES]
    yield make.make(
        "put-foil", {"shape": "glyphs", "text": "6", "flat_m": USUAL_FLAT_M}, fixed={"on_top": ref}, verb="Add",
        choices={"shape": shapes}, key="top-foil", thing=ref_of(thing),
    )  # fmt: skip
