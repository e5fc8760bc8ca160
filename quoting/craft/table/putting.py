"""Acts that put something on the table: frames, signs, rounds, foil balloons, props, letters, florals, walls, columns
and bouquets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from quoting.craft.colour.grids import lettered_grid
from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.letters import lettering_width_m
from quoting.craft.design.records import (
    DRAWN,
    FRAME_SHAPES,
    Bouquet,
    Design,
    Frame,
    Garland,
    Leg,
    MixEntry,
    OwnedSize,
    Sign,
    Wall,
)
from quoting.craft.design.resting import table_under
from quoting.craft.design.schema import a_code, a_number, a_reference, a_text, a_whole, held, one_of
from quoting.craft.design.signs import own_words
from quoting.craft.design.things import FOIL_SHAPES, PROP_LOOKS, Foil, Lettering, Prop, Round, Spray
from quoting.craft.settle.classic import wall_cells
from quoting.craft.table.acted import Acted, Said, SaidCode
from quoting.craft.table.boxes import box_of
from quoting.craft.table.legs import DEEPEST_M
from quoting.craft.table.placing import covered_behind, front_at, label_of, placed_at, rehung, tied
from quoting.craft.table.shelf import Shelf, ShelfFloral, ShelfFoil, ShelfProp
from quoting.craft.table.sizes import sized_m
from quoting.craft.table.snapping import DEPTH_STEP_M, Guide, Snapped, Why, nested_depth_m, snapped
from quoting.craft.table.things import Thing, free_id, free_label, ref_of, with_thing
from quoting.craft.table.toppers import put_on_top
from studio.trade.colour import lab_of
from studio.trade.colour_difference import difference

# Common practice, no source: what is taken where the shelf or the act says nothing [m].
USUAL_FRAME_M = (1.2, 2.1)
USUAL_LETTERS_M = 0.2
USUAL_FLAT_M = 0.86
USUAL_COLUMN_M = 1.9
USUAL_WALL_M = (2.4, 2.2)
GRID_COLOURS = 16  # as many colours a cell of a grid can name
WALL_SIZE_IN, WALL_SIZED_M = 11, 0.2286
ON_TOP = "what it goes on top of: a column's pole, frame:id, or a prop, prop:id; empty: none"
BEFORE_M = 0.35  # from the front of the piece to the middle of a prop
LETTERS_OF_FACE = 0.8  # letters take this share of their frame's width at most
POLE_M = 0.03
POLE_FITS_M = 0.05  # a pole of the studio is taken for a height that is asked for, where it is off by no more
BOUQUET_COUNT, BOUQUET_SIZED_M, BOUQUET_TOP_M = 7, 0.2667, 2.2
USUAL_PROPS: Final = {
    "plinth": ShelfProp(label="Plinth", look="plinth", width_m=0.35, height_m=0.9, depth_m=0.35, weight_kg=6),
    "box": ShelfProp(label="Box", look="box", width_m=0.35, height_m=0.35, depth_m=0.35, weight_kg=1.5),
    "table": ShelfProp(label="Table", look="table", width_m=1.2, height_m=0.75, depth_m=0.6, weight_kg=14),
    "chair": ShelfProp(label="Chair", look="chair", width_m=0.45, height_m=0.9, depth_m=0.5, weight_kg=5),
    "easel": ShelfProp(label="Easel", look="easel", width_m=0.6, height_m=1.6, depth_m=0.6, weight_kg=4),
    "rug": ShelfProp(label="Rug", look="rug", width_m=2.0, height_m=0.01, depth_m=1.4, weight_kg=6),
    "candle": ShelfProp(
        label="Candle, battery", look="candle", width_m=0.08, height_m=0.2, depth_m=0.08, weight_kg=0.3
    ),
    "backdrop": ShelfProp(
        label="Backdrop", look="backdrop", width_m=2.4, height_m=2.4, depth_m=0.4, weight_kg=9
    ),
    "balloon-stand": ShelfProp(
        label="Balloon stand", look="balloon-stand", width_m=0.3, height_m=1.6, depth_m=0.3, weight_kg=1.5
    ),
}
"""Sizes and weights of props that the shelf doesn't hold. Common practice, no source."""
SHAPE_LABELS: Final = {
    "arch-top": "Arch",
    "rectangle": "Rectangle",
    "ring": "Ring",
    "part-ring": "Part of a ring",
    "half-arch": "Half arch",
    "panel": "Panel",
    "column": "Pole",
    "free": "Bent frame",
    "polygon": "Polygon",
}
FOIL_LABELS: Final = {
    "glyphs": "Foil letters",
    "star": "Foil star",
    "heart": "Foil heart",
    "disc": "Foil round",
    "crescent": "Foil moon",
}
FREE_OUTLINE: Final = ((-0.5, 0.0), (-0.45, 0.7), (-0.1, 1.0), (0.3, 0.85), (0.5, 0.35))
"""A bent outline to begin with, in widths and heights of its frame (setting)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PutFrame:
    """Put a frame of the studio, or one made to measure by its shape, width and height."""

    item: str = a_code("item code of a frame of the studio; empty: made to measure", "")
    shape: str = one_of(FRAME_SHAPES, "made to measure: its outline", "arch-top")
    width_m: float = a_number(0.02, 12, "made to measure: its width [m]", USUAL_FRAME_M[0])
    height_m: float = a_number(0.1, 8, "made to measure: its height [m]", USUAL_FRAME_M[1])
    x_m: float = a_number(-30, 30, "its middle [m]", 0.0)

    def on(self, design: Design, shelf: Shelf) -> Acted:
        frame = self._from_shelf(design, shelf) if self.item else self._to_measure(design)
        to = snapped(design, frame, frame.x_m, 0.0)
        frame = replace(frame, x_m=to.x_m)
        neighbour = next((one for one in design.frames if ref_of(one) == to.nested_with), None)
        depth = nested_depth_m(frame, neighbour) if neighbour else free_depth_m(design, frame)
        frame = held(frame, z_m=depth)
        notes = () if self.item else (Said(SaidCode.MADE_TO_MEASURE, frame.label),)
        return _put(design, frame, to, notes)

    def _from_shelf(self, design: Design, shelf: Shelf) -> Frame:
        found = shelf.frame(self.item)
        if found is None:
            raise _not_owned(self.item, "frame")
        shape, size = found
        return Frame(
            id=free_id(design, "frame"), shape=shape, item=size.item, label=size.label, width_m=size.width_m,
            height_m=size.height_m, weight_kg=size.weight_kg, x_m=self.x_m,
            points=_outline_of(shape, size.width_m, size.height_m),
            sizes=_uncovered(shelf.frames[shape]),
        )  # fmt: skip

    def _to_measure(self, design: Design) -> Frame:
        wide, high = round(self.width_m * 100), round(self.height_m * 100)
        height = max(self.height_m, self.width_m / 2) if self.shape == "arch-top" else self.height_m
        return Frame(
            id=free_id(design, "frame"), shape=self.shape, item=f"frame-{self.shape}-{wide}x{high}",
            label=f"{SHAPE_LABELS[self.shape]}, made to measure", width_m=self.width_m, height_m=height,
            x_m=self.x_m, points=_outline_of(self.shape, self.width_m, height),
        )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class PutSign:
    """Hang a sign of the studio before the frame at a place, or stand it there by itself."""

    item: str = a_code("item code of a sign of the studio")
    x_m: float = a_number(-30, 30, "its middle [m]", 0.0)
    y_m: float = a_number(0, 15, "its middle above the floor [m]", 1.2)

    def on(self, design: Design, shelf: Shelf) -> Acted:
        if self.item not in shelf.signs:
            raise _not_owned(self.item, "sign")
        kept = shelf.signs[self.item]
        sign = Sign(
            id=free_id(design, "sign"), item=self.item, label=kept.label, text=own_words(kept.label),
            width_m=kept.width_m, height_m=kept.height_m, x_m=self.x_m, y_m=self.y_m, weight_kg=kept.weight_kg,
            lit=kept.lit, hex=kept.hex,
        )  # fmt: skip
        return _put_hung(design, sign)


@dataclass(frozen=True, slots=True, kw_only=True)
class PutRound:
    """Put one round by itself, before what is there."""

    size_in: int = a_whole(5, 36, "nominal size in inches", 24)
    colour: str = a_code("a colour code of the palette; empty: the first colour", "")
    x_m: float = a_number(-30, 30, "its middle [m]", 0.0)
    y_m: float = a_number(0, 15, "its middle above the floor [m]", 1.0)
    on_top: str = a_reference(ON_TOP)

    def on(self, design: Design, _shelf: Shelf) -> Acted:
        colours = [colour.colour for colour in design.palette]
        if self.colour and self.colour not in colours:
            code, names = FaultCode.UNKNOWN_COLOUR, tuple(colours)
            raise DesignError(Fault(code=code, field="colour", found=repr(self.colour), names=names))
        ball = Round(
            id=free_id(design, "round"), label=f"Round {self.size_in} in", size_in=self.size_in,
            sized_m=sized_m(self.size_in), colour=self.colour or colours[0], x_m=self.x_m, y_m=self.y_m,
        )  # fmt: skip
        if self.on_top:
            return _put_on_top(design, ball, self.on_top)
        to = snapped(design, ball, self.x_m, max(self.y_m, ball.sized_m / 2))
        placed = placed_at(ball, to.x_m, to.y_m)
        assert isinstance(placed, Round)
        front = front_at(design, to.x_m, to.y_m, ball.sized_m / 2)
        return _put(design, _deep(tied(design, placed), front + ball.sized_m / 2), to)


@dataclass(frozen=True, slots=True, kw_only=True)
class PutFoil:
    """Put a foil balloon, or a row of foil letters and digits."""

    item: str = a_code("item code of foil balloons of the studio; empty: to be bought", "")
    shape: str = one_of(FOIL_SHAPES, "to be bought: what it shows", "glyphs")
    text: str = a_text("glyphs: letters and digits", "", longest=12, pattern="[A-Za-z0-9]*")
    flat_m: float | None = a_number(
        0.1, 2.0, "height lying flat [m]; none: as the shelf has it", None, optional=True
    )
    x_m: float = a_number(-30, 30, "its middle [m]", 0.0)
    y_m: float = a_number(0, 15, "its middle above the floor [m]", 1.2)
    on_top: str = a_reference(ON_TOP)

    def on(self, design: Design, shelf: Shelf) -> Acted:
        if self.item and self.item not in shelf.foils:
            raise _not_owned(self.item, "foil balloon")
        bought = ShelfFoil(label=_foil_label(self.shape, self.text), shape=self.shape, flat_m=USUAL_FLAT_M)
        kept = shelf.foils.get(self.item, bought)
        foil = Foil(
            id=free_id(design, "foil"), item=self.item or f"foil-{kept.shape}", label=kept.label,
            shape=kept.shape, text=(self.text or "1") if kept.shape == "glyphs" else "",
            flat_m=self.flat_m or kept.flat_m, hex=kept.hex, finish=kept.finish, x_m=self.x_m, y_m=self.y_m,
        )  # fmt: skip
        if self.on_top:
            return _put_on_top(design, foil, self.on_top)
        front = front_at(design, self.x_m, self.y_m, foil.flat_m / 2)
        return _put(design, _deep(foil, front + foil.flat_m / 8), Snapped(self.x_m, self.y_m, ()))


@dataclass(frozen=True, slots=True, kw_only=True)
class PutProp:
    """Stand a prop before the set piece, on the floor; a backdrop behind it, a candle on a table where there is one."""

    item: str = a_code("item code of a prop of the studio; empty: another one", "")
    look: str = one_of(PROP_LOOKS, "another one: what it is", "plinth")
    x_m: float = a_number(-30, 30, "its middle [m]", 0.0)

    def on(self, design: Design, shelf: Shelf) -> Acted:
        if self.item and self.item not in shelf.props:
            raise _not_owned(self.item, "prop")
        kept = shelf.props.get(self.item, USUAL_PROPS[self.look])
        prop = Prop(
            id=free_id(design, "prop"), item=self.item or f"prop-{kept.look}", label=kept.label, look=kept.look,
            width_m=kept.width_m, height_m=kept.height_m, depth_m=kept.depth_m, weight_kg=kept.weight_kg,
            hex=kept.hex, x_m=self.x_m,
        )  # fmt: skip
        table = table_under(design, self.x_m) if kept.look == "candle" else None
        if table is not None:
            return _put(design, *_on_table(prop, table))
        to = snapped(design, prop, self.x_m, 0.0)
        return _put(design, _deep(placed_at(prop, to.x_m, to.y_m), prop_depth_m(design, prop)), to)


@dataclass(frozen=True, slots=True, kw_only=True)
class PutLettering:
    """Put words on the covered frame or board at a place."""

    text: str = a_text("the words", longest=60, least=1)
    x_m: float = a_number(-30, 30, "middle of the words [m]")
    y_m: float = a_number(0, 15, "middle of the words above the floor [m]")

    def on(self, design: Design, _shelf: Shelf) -> Acted:
        frame = covered_behind(design, self.x_m, self.y_m)
        if frame is None:
            raise DesignError(Fault(code=FaultCode.NO_COVER_THERE, field="x_m"))
        words = Lettering(
            id=free_id(design, "lettering"), text=self.text, height_m=USUAL_LETTERS_M, x_m=self.x_m, y_m=self.y_m,
            frame=frame.id,
        )  # fmt: skip
        fits = LETTERS_OF_FACE * frame.width_m / max(lettering_width_m(words), 0.01)
        words = replace(words, height_m=round(max(USUAL_LETTERS_M * min(fits, 1.0), 0.01), 3))
        return _put_hung(design, words)


@dataclass(frozen=True, slots=True, kw_only=True)
class PutSpray:
    """Put a pick or a spray of florals, before what is there."""

    item: str = a_code("item code of a floral of the studio")
    x_m: float = a_number(-30, 30, "its middle [m]", 0.0)
    y_m: float = a_number(0, 15, "its middle above the floor [m]", 1.0)

    def on(self, design: Design, shelf: Shelf) -> Acted:
        if self.item not in shelf.florals:
            raise _not_owned(self.item, "floral")
        kept: ShelfFloral = shelf.florals[self.item]
        spray = Spray(
            id=free_id(design, "spray"), item=self.item, label=kept.label, kind=kept.kind, hex=kept.hex,
            look=kept.look, size_m=kept.size_m, x_m=self.x_m, y_m=self.y_m,
        )  # fmt: skip
        front = front_at(design, self.x_m, self.y_m, 0.0)
        return _put(design, _deep(spray, front + 0.05), Snapped(self.x_m, self.y_m, ()))


@dataclass(frozen=True, slots=True, kw_only=True)
class PutWall:
    """Put a wall of balloons behind everything, with a word in it in the colour that stands out most."""

    width_m: float = a_number(0.2, 20, "width [m]", USUAL_WALL_M[0])
    height_m: float = a_number(0.2, 8, "height [m]", USUAL_WALL_M[1])
    x_m: float = a_number(-30, 30, "its middle [m]", 0.0)
    word: str = a_text("a word that stands on it in another colour; empty: none", "", longest=24)

    def on(self, design: Design, _shelf: Shelf) -> Acted:
        rear = min((frame.z_m for frame in design.frames), default=DEPTH_STEP_M)
        wall = Wall(
            id=free_id(design, "wall"), label=free_label(design, "Balloon wall"), width_m=self.width_m,
            height_m=self.height_m, x_m=self.x_m, z_m=max(rear - DEPTH_STEP_M, -DEEPEST_M),
            size_in=WALL_SIZE_IN, sized_m=WALL_SIZED_M,
        )  # fmt: skip
        if self.word.strip():
            wall = lettered(design, wall, self.word)
        to = snapped(design, wall, self.x_m, 0.0)
        return _put(design, placed_at(wall, to.x_m, 0.0), to)


@dataclass(frozen=True, slots=True, kw_only=True)
class PutColumn:
    """Put a column of packed quads: a pole of the studio on its base, or one made to measure, and the balloons along
    it."""

    x_m: float = a_number(-30, 30, "its middle [m]", 0.0)
    height_m: float | None = a_number(
        0.5, 6, "height [m]; none: that of the studio's pole", None, optional=True
    )

    def on(self, design: Design, shelf: Shelf) -> Acted:
        name = free_id(design, "column")
        pole = self._pole(name, shelf)
        to = snapped(design, pole, self.x_m, 0.0)
        pole = replace(pole, x_m=to.x_m, z_m=free_depth_m(design, pole))
        packed = Garland(
            id=name, label=free_label(design, "Column"), work="classic", pattern="spiral",
            route=(Leg(kind="along", frame=name, start=0.04, end=0.96),),
            mix=(MixEntry(size_in=11, role="body", sized_low_m=0.2286, sized_high_m=0.2286, share=1),),
        )  # fmt: skip
        notes = () if pole.sizes else (Said(SaidCode.MADE_TO_MEASURE, packed.label),)
        return _put(with_thing(design, pole), packed, to, notes)

    def _pole(self, name: str, shelf: Shelf) -> Frame:
        wanted = self.height_m or USUAL_COLUMN_M
        owned = shelf.frames.get("column", ())
        size = min(owned, key=lambda one: abs(one.height_m - wanted), default=None)
        if size is None or (self.height_m and abs(size.height_m - wanted) > POLE_FITS_M):
            size = OwnedSize(
                item=f"pole-{round(wanted * 100)}", label="Column pole and base", width_m=POLE_M, height_m=wanted,
                weight_kg=9,
            )  # fmt: skip
            owned = ()
        return Frame(
            id=name, shape="column", item=size.item, label=size.label, width_m=size.width_m, height_m=size.height_m,
            x_m=self.x_m, tube_m=size.width_m, weight_kg=size.weight_kg, foot_depth_m=0.35, sizes=_uncovered(owned),
        )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class PutBouquet:
    """Put a bouquet of helium balloons over its weight."""

    x_m: float = a_number(-30, 30, "where its weight stands [m]", 0.0)

    def on(self, design: Design, _shelf: Shelf) -> Acted:
        bouquet = Bouquet(
            id=free_id(design, "bouquet"), label=free_label(design, "Bouquet"), count=BOUQUET_COUNT, size_in=11,
            sized_m=BOUQUET_SIZED_M, x_m=self.x_m, z_m=0.2, top_m=BOUQUET_TOP_M,
        )  # fmt: skip
        to = snapped(design, bouquet, self.x_m, 0.0)
        return _put(design, placed_at(bouquet, to.x_m, 0.0), to)


def lettered(design: Design, wall: Wall, word: str) -> Wall:
    """A wall with a word in it, on the first colour of the palette in the one that differs most from it by CIEDE2000.
    DesignError at ``word``."""
    if len(design.palette) < 2:
        raise DesignError(Fault(code=FaultCode.ONE_COLOUR, field="word"))
    ground, *others = (lab_of(colour.hex) for colour in design.palette[:GRID_COLOURS])
    away = [difference(ground, other) for other in others]
    letters = f"{away.index(max(away)) + 1:x}"
    grid = lettered_grid(word.strip(), *wall_cells(wall))
    return replace(wall, pattern=DRAWN, grid=tuple(row.replace("1", letters) for row in grid))


def free_depth_m(design: Design, frame: Frame) -> float:
    """The depth [m] for a new frame: in the plane of the others, behind those that it would overlap.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> round(free_depth_m(design, replace(design.frames[0], id="new")), 3)
    -0.4
    """
    mine = box_of(design, frame)
    over = [
        one.z_m
        for one in design.frames
        if (box := box_of(design, one)).left < mine.right and mine.left < box.right
    ]
    return min(over) - DEPTH_STEP_M if over else 0.0


def prop_depth_m(design: Design, prop: Prop) -> float:
    """The depth [m] for a new prop: before the foremost frame; a rug under everything, a backdrop behind it."""
    planes = [frame.z_m for frame in design.frames] or [0.0]
    if prop.look == "backdrop":
        return min(planes) - DEPTH_STEP_M - prop.depth_m / 2
    return max(planes) + (0.0 if prop.look == "rug" else BEFORE_M + prop.depth_m / 2)


# Private


def _put(design: Design, thing: Thing, to: Snapped, notes: tuple[Said, ...] = ()) -> Acted:
    said = Said(SaidCode.PUT, label_of(thing), figures={"x_m": to.x_m, "y_m": to.y_m})
    return Acted(with_thing(design, thing), ref_of(thing), (said, *notes), to.guides)


def _on_table(prop: Prop, table: Prop | Frame) -> tuple[Prop, Snapped]:
    """A prop on a table, and the line that says so."""
    top = round(table.base_m + table.height_m, 4)
    guide = Guide("y", top, Why.ON_TOP, ref_of(table))
    return held(prop, base_m=top, z_m=round(table.z_m, 3)), Snapped(prop.x_m, top, (guide,))


def _foil_label(shape: str, text: str) -> str:
    """The name of a foil balloon that is bought for this."""
    return "Foil number" if shape == "glyphs" and (text or "1").isdigit() else FOIL_LABELS[shape]


def _put_on_top(design: Design, topper: Round | Foil, ref: str) -> Acted:
    placed = put_on_top(design, topper, ref)
    top = Guide("y", box_of(design, placed).bottom, Why.ON_TOP, ref)
    return _put(design, placed, Snapped(placed.x_m, placed.y_m, (top,)))


def _put_hung(design: Design, thing: Sign | Lettering) -> Acted:
    to = snapped(design, thing, thing.x_m, thing.y_m)
    placed = placed_at(thing, to.x_m, to.y_m)
    assert isinstance(placed, Sign | Lettering)
    return _put(design, rehung(design, placed), to)


def _deep(thing: Thing, z_m: float) -> Thing:
    assert isinstance(thing, Round | Foil | Prop | Spray)
    return held(thing, z_m=round(z_m, 3))


def _not_owned(item: str, what: str) -> DesignError:
    return DesignError(Fault(code=FaultCode.NOT_OWNED, field="item", found=item, what=what))


def _uncovered(sizes: Sequence[OwnedSize]) -> tuple[OwnedSize, ...]:
    """The sizes without a cover: a new frame is bare."""
    return tuple(replace(size, cover_item="") for size in sizes)


def _outline_of(shape: str, width_m: float, height_m: float) -> tuple[tuple[float, float], ...]:
    """The points of a free outline in the frame's width and height; none for other shapes."""
    if shape != "free":
        return ()
    return tuple((round(x * width_m, 3), round(y * height_m, 3)) for x, y in FREE_OUTLINE)
