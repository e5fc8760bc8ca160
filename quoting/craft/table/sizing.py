"""How a thing is sized and turned by hand: its corners, the sizes that it comes in, and how it turns."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from quoting.craft.design.records import ROUND_SIZES_IN, Bouquet, Design, Frame, Garland, Wall
from quoting.craft.design.things import Foil, Lettering, Prop, Round, Spray
from quoting.craft.table.boxes import place_of, size_of
from quoting.craft.table.placing import label_of
from quoting.craft.table.shelf import Shelf
from quoting.craft.table.sizes import sized_m, sized_thing
from quoting.craft.table.things import Thing

TURN_STEP_DEG: Final = 15.0
"""Things are turned by hand in such steps (setting)."""
TURN_ARM_M = 0.22  # from the top of a thing to where it is turned by (setting)
Place = tuple[float, float]


@dataclass(frozen=True, slots=True)
class SizeChoice:
    """One of the sizes that a thing comes in [m], with its name."""

    width_m: float
    height_m: float
    label: str


@dataclass(frozen=True, slots=True)
class SizeView:
    """How a thing is made larger: the places of its corners, what stays where it is, its own width and height [m].

    ``choices``: the sizes that it comes in, none where it takes any; ``is_alike``: it keeps its proportions;
    ``is_centred``: it grows about its middle, else from its lower edge.
    """

    corners: tuple[Place, ...]
    anchor: Place
    width_m: float
    height_m: float
    choices: tuple[SizeChoice, ...]
    is_alike: bool
    is_centred: bool


@dataclass(frozen=True, slots=True)
class TurnView:
    """How a thing is turned: degrees clockwise from upright, the place that it turns about, the one by which [m]."""

    deg: float
    about: Place
    grip: Place


def size_view(design: Design, thing: Thing, shelf: Shelf) -> SizeView | None:
    """Show how a thing is made larger. None for a garland, and for a frame that is bent by hand.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> view = size_view(design, design.frames[0], Shelf())
    >>> view.corners[1], [choice.label for choice in view.choices][:2]
    ((-0.19, 2.13), ['Arch frame 5 ft', 'Arch frame 6 ft'])
    """
    if isinstance(thing, Garland) or (isinstance(thing, Frame) and thing.shape == "free"):
        return None
    wide, high = own_size(thing)
    anchor, is_centred = place_of(design, thing), not isinstance(thing, Frame | Prop | Wall | Bouquet)
    low = -high / 2 if is_centred else 0.0
    across = (0.0,) if isinstance(thing, Bouquet) or _is_pole(thing) else (-wide / 2, wide / 2)
    corners = [(x, low + high) for x in across] + ([(x, low) for x in across] if len(across) > 1 else [])
    deg = _turn_deg(thing) or 0.0
    return SizeView(
        corners=tuple(_turned(anchor, corner, deg) for corner in sorted(corners)),
        anchor=anchor, width_m=wide, height_m=high, choices=tuple(_choices(thing, shelf)),
        is_alike=isinstance(thing, Round | Foil | Lettering | Spray), is_centred=is_centred,
    )  # fmt: skip


def turn_view(design: Design, thing: Thing) -> TurnView | None:
    """Show how a thing is turned; None for what can't be.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> fern = Spray(id="s", item="fern", label="Fern", hex="#7E9A78", x_m=0.0, y_m=1.0, turn_deg=90.0)
    >>> turn_view(design, fern).grip
    (0.37, 1.0)
    """
    deg = _turn_deg(thing)
    if deg is None:
        return None
    _, high = own_size(thing)
    x, y = place_of(design, thing)
    about = (x, y + high / 2) if isinstance(thing, Frame) else (x, y)
    return TurnView(deg, about, _turned(about, (0.0, high / 2 + TURN_ARM_M), deg))


def own_size(thing: Thing) -> tuple[float, float]:
    """Width and height of a thing as ``resize`` takes them, before it is turned [m].

    >>> own_size(Spray(id="s", item="fern", label="Fern", hex="#7E9A78", x_m=0.0, y_m=1.0, turn_deg=90.0))
    (0.15, 0.3)
    """
    assert not isinstance(thing, Garland)
    if isinstance(thing, Frame):
        return thing.width_m, thing.height_m
    if isinstance(thing, Bouquet):
        return 2 * thing.sized_m, thing.top_m
    return size_of(thing)


def sized_of_shelf(thing: Thing, width_m: float, height_m: float, shelf: Shelf) -> tuple[Thing, str]:
    """A thing so wide and so high [m]: of props and foil balloons of the studio the nearest one that it owns. Gives the
    name of what is owned too; empty where the size is free.

    >>> from quoting.craft.table.shelf import ShelfProp
    >>> sizes = {f"plinth-{k}": ShelfProp(label=f"Plinth {k}", look="plinth", width_m=0.3, height_m=k / 10,
    ...     depth_m=0.3) for k in (6, 9)}
    >>> plinth = Prop(id="p", item="plinth-6", label="Plinth 6", look="plinth", width_m=0.3, height_m=0.6, depth_m=0.3)
    >>> taller, owned = sized_of_shelf(plinth, 0.3, 0.8, Shelf(props=sizes))
    >>> taller.height_m, owned
    (0.9, 'Plinth 9')
    """
    sized = sized_thing(thing, width_m, height_m)
    owned = list(_owned_like(thing, shelf))
    if owned:
        nearest = min(owned, key=lambda one: _apart(one, sized))
        return nearest, label_of(nearest)
    return sized, sized.label if isinstance(sized, Frame) and sized.sizes else ""


# Private


def _is_pole(thing: Thing) -> bool:
    return isinstance(thing, Frame) and thing.shape == "column"


def _turn_deg(thing: Thing) -> float | None:
    """How far a thing is turned; None for what can't be."""
    if isinstance(thing, Foil | Spray):
        return thing.turn_deg
    if isinstance(thing, Frame) and thing.shape == "part-ring":
        return (thing.start_deg + 180.0) % 360.0 - 180.0
    return None


def _turned(about: Place, way: Place, deg: float) -> Place:
    """A place [m] so far from another one, turned clockwise about it as the viewer sees it."""
    turn = math.radians(deg)
    x = about[0] + way[0] * math.cos(turn) + way[1] * math.sin(turn)
    y = about[1] + way[1] * math.cos(turn) - way[0] * math.sin(turn)
    return round(x, 3) + 0.0, round(y, 3) + 0.0


def _choices(thing: Thing, shelf: Shelf) -> Iterator[SizeChoice]:
    if isinstance(thing, Round):
        yield from (SizeChoice(sized_m(size), sized_m(size), f"{size} in") for size in ROUND_SIZES_IN)
    elif isinstance(thing, Frame):
        yield from (SizeChoice(size.width_m, size.height_m, size.label) for size in thing.sizes)
    else:
        yield from (SizeChoice(*own_size(one), label_of(one)) for one in _owned_like(thing, shelf))


def _owned_like(thing: Thing, shelf: Shelf) -> Iterator[Foil | Prop]:
    """A prop or foil balloon of the studio as each of the same kind that it owns; letters only of sets that have
    them."""
    if isinstance(thing, Prop) and thing.item in shelf.props:
        for item, prop in shelf.props.items():
            if prop.look == thing.look:
                yield replace(
                    thing, item=item, label=prop.label, width_m=prop.width_m, height_m=prop.height_m,
                    depth_m=prop.depth_m, weight_kg=prop.weight_kg, hex=prop.hex,
                )  # fmt: skip
    if isinstance(thing, Foil) and thing.item in shelf.foils:
        for item, foil in shelf.foils.items():
            if item == thing.item or (
                foil.shape == thing.shape and set(thing.text.lower()) <= set(foil.glyphs)
            ):
                yield replace(thing, item=item, label=foil.label, flat_m=foil.flat_m, hex=foil.hex)


def _apart(one: Thing, other: Thing) -> float:
    (wide, high), (wanted_wide, wanted_high) = own_size(one), own_size(other)
    return abs(wide - wanted_wide) + abs(high - wanted_high)
