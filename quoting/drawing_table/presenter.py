"""The drawing table made ready for its page: picture, things, palette of what can be added, panel, strip of numbers."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final

from quoting.craft.design.design_file import read_design
from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.records import Design
from quoting.craft.sheets.stored import stored_takeoff
from quoting.craft.table.boxes import box_of
from quoting.craft.table.sizes import sized_m
from quoting.craft.table.things import find_thing
from quoting.craft.takeoff.takeoff import TakeOff
from quoting.drawing_table import drafts, words
from quoting.drawing_table.along import NOTHING_GRIPPED, Gripped, along_forms
from quoting.drawing_table.figures import Figures, figures_of, prep_hours
from quoting.drawing_table.forms import ActForm
from quoting.drawing_table.keeping import RETIRED, is_empty
from quoting.drawing_table.panel import (
    FormGroup,
    Forms,
    Panel,
    add_panel,
    design_panel,
    palette_forms,
    removal_forms,
    thing_panel,
)
from quoting.drawing_table.printing import print_group
from quoting.drawing_table.scene import Mark, Scene, scene_of
from quoting.drawing_table.shelf import TableShelf, read_shelf, take
from quoting.drawing_table.toppers import topper_group
from quoting.drawing_table.tying import tie_group
from quoting.drawing_table.zoning import zone_group
from quoting.models import TableDraft
from quoting.quotes.stock_view import LATEX
from quoting.set_pieces.worked import in_units, taken_off
from stock.holds.availability import Available
from stock.models import Kind
from studio.models import Studio
from studio.money import amounts
from studio.tenancy.rights import Right
from studio.trade.errors import CraftError

ROUND_IN: Final = 24
HEIGHTS_M: Final = {"foil": 0.6, "letters": 0.9, "sign": 1.4, "florals": 1.75}
"""How high new things go, one above the other (setting)."""
BESIDE_M: Final = 0.4
"""From the piece to what is put beside it (setting)."""
ROUND_M: Final = sized_m(ROUND_IN)
BESIDE_ROUND_M: Final = 0.65
"""From a big round to the next one (setting)."""
OVERLAP: Final = 1 / 3
"""A further frame covers this share of its neighbor. Common practice, no source."""
MOST_SHORT: Final = 1
MOST_NAMED: Final = 3
"""So many kinds that are short have a figure of their own, and so many more a name (settings)."""
MADE: Final = "to be made"
"""How the bill ends the name of what is made to order."""
NOT_COUNTED: Final = "can't be built as it is drawn"
BUILT_ON: Final = (Kind.FRAME, Kind.COVER, Kind.SIGN)
FRAME_TILES: Final = (
    ("arch-top", "Arch", "arch"),
    ("ring", "Ring", "ring"),
    ("panel", "Panel", "panel"),
)


@dataclass(frozen=True, slots=True)
class Tile:
    """One thing that can be added: an act with its fields where it needs nothing else, else the panel that asks."""

    name: str
    detail: str
    drawing: str
    act: str = ""
    values: Mapping[str, str] = field(default_factory=dict)
    add: str = ""


@dataclass(frozen=True, slots=True)
class Note:
    """A word of the strip with its mark: short, free on the day, or without a mark where there is no day to say."""

    words: str
    is_short: bool
    is_promise: bool = True


@dataclass(frozen=True, slots=True)
class Strip:
    """The numbers at the foot."""

    balloons: str
    prep: str
    notes: tuple[Note, ...]
    margin: str
    price: str
    price_words: str


REFUSED: Final = Strip("–", "–", (Note(NOT_COUNTED, True),), "", "–", "")
"""Of what can't be built nothing is counted."""


@dataclass(frozen=True, slots=True)
class Home:
    """Where the drawing goes: ``words`` say whether it is there, ``into_quote`` is the verb of the button."""

    words: str = ""
    may_save: bool = False
    into_quote: str = ""


@dataclass(frozen=True, slots=True)
class TablePage:
    """Everything that the page shows of a draft."""

    draft: TableDraft
    design: Design
    units: str
    scene: Scene
    alt: str
    tiles: tuple[Tile, ...]
    panel: Panel
    palette: tuple[ActForm, ...]
    removals: tuple[ActForm, ...]
    """Forms that take a color away, each named by the share that it takes."""
    strip: Strip
    marks: tuple[Mark, ...]
    undo: str
    redo: str
    is_empty: bool
    home: Home


@dataclass(frozen=True, slots=True)
class Asked:
    """What of the page is asked for: the selected thing, or what is to be added; the form that was sent; and of
    a garland what was last taken hold of."""

    thing: str = ""
    add: str = ""
    sent: Mapping[str, str] = field(default_factory=dict)
    gripped: Gripped = NOTHING_GRIPPED


def table_page(draft: TableDraft, asked: Asked, studio: Studio, *, rights: Mapping[str, bool]) -> TablePage:
    """Work a draft out for its page. The number of queries doesn't grow with the design."""
    step = drafts.present_step(draft)
    design = read_design(step.design, may_be_empty=True)
    taken, fault = _taken_off(design)
    units = studio.units
    figures = figures_of(draft, stored_takeoff(taken), studio) if taken else None
    shelf = take(read_shelf(draft), design, figures.takeoff.bill if figures else ())
    scene = scene_of(design, taken, units, shelf.shelf)
    make = Forms(units, asked.sent)
    undo, redo = drafts.neighbours(draft)
    return TablePage(
        draft=draft, design=design, units=units, scene=scene, alt=_alt(figures, design, units),
        tiles=tuple(tiles(design, shelf, scene)), panel=_panel(design, asked, shelf, make, scene),
        palette=palette_forms(design, shelf.shelf, make), removals=removal_forms(design, make),
        marks=(*scene.marks, *_fault_marks(fault, scene, units)),
        strip=REFUSED if fault else _strip(figures, studio, may_see_margin=rights[Right.SEE_MARGIN.name]),
        undo=undo, redo=redo,
        is_empty=is_empty(design), home=home_of(draft, is_there=is_empty(design) or drafts.is_kept(draft, step)),
    )  # fmt: skip


def home_of(draft: TableDraft, *, is_there: bool) -> Home:
    """What the page says of the quote or the design that a draft is drawn for."""
    if draft.quote is not None:
        if not draft.quote.is_open:
            return Home("the quote was agreed")
        verb = "Update the quote" if draft.piece_id else "Put into the quote"
        return Home("" if is_there else "not in the quote yet", into_quote=verb)
    if draft.template is None:
        return Home()
    if draft.template.retired_at is not None:
        return Home(RETIRED)
    return Home("" if is_there else "not in the design yet", may_save=True)


def tiles(design: Design, shelf: TableShelf, scene: Scene) -> list[Tile]:
    """What can be added, the usual things first, each with the size that is taken and how many are free."""
    beside = f"{scene.bounds_right_m + BESIDE_M:.2f} m" if design.frames else "0"
    return [
        *_frame_tiles(design, shelf),
        Tile(
            "Any shape", "bend by hand", "free", "put-frame", {"shape": "free", "x_m": _next_x(design, 1.2)}
        ),
        Tile("Garland", "draw it", "garland", add="garland"),
        Tile(
            "Big round",
            f"{ROUND_IN} in",
            "round",
            "put-round",
            {"size_in": str(ROUND_IN), "x_m": _round_x(design, scene), "y_m": "1.2 m"},
        ),
        Tile("Number", "foil", "number", add="foil"),
        Tile("Letters", "on a cover", "letters", add="letters"),
        Tile("Florals", _of(shelf.shelf.florals), "florals", add="florals"),
        Tile("Column", _column_detail(shelf), "column", "put-column", {"x_m": beside}),
        Tile("Plinth", "and props", "plinth", add="prop"),
        Tile("Sign", _of(shelf.shelf.signs), "sign", add="sign"),
        Tile("Wall", "of balloons", "wall", add="wall"),
        Tile("Bouquet", "helium", "bouquet", "put-bouquet", {"x_m": beside}),
        Tile("Frames", "every size", "more", add="frame"),
    ]


# Private


def _taken_off(design: Design) -> tuple[TakeOff | None, DesignError | None]:
    if is_empty(design):
        return None, None
    try:
        return taken_off(design), None
    except DesignError as error:
        return None, error
    except CraftError as error:
        return None, DesignError(Fault(code=FaultCode.CANNOT_BE_BUILT, field="thing", what=str(error)))


def _fault_marks(fault: DesignError | None, scene: Scene, units: str) -> list[Mark]:
    """What the take-off can't work out, said in the middle of the picture."""
    faults = fault.faults if fault else ()
    return [Mark("", scene.middle, 0, words.fault_sentence(one, units)) for one in faults]


def _alt(figures: Figures | None, design: Design, units: str) -> str:
    if figures is not None:
        return in_units(figures.takeoff.alt, units)
    return f"{design.name}: {'nothing is drawn yet' if is_empty(design) else NOT_COUNTED}."


def _panel(design: Design, asked: Asked, shelf: TableShelf, make: Forms, scene: Scene) -> Panel:
    if asked.add:
        found = add_panel(asked.add, design, shelf, make, _free_place(asked.add, scene))
        if found:
            return found
    if asked.thing:
        try:
            held = next((hold for hold in scene.holds if hold.ref == asked.thing), None)
            along = along_forms(held, asked.gripped, make) if held else ()
            return thing_panel(
                design, asked.thing, shelf, make, along, _groups(design, asked.thing, shelf, make)
            )
        except DesignError:
            pass  # somebody took it away
    return design_panel(design, make)


def _groups(design: Design, ref: str, shelf: TableShelf, make: Forms) -> Iterator[FormGroup]:
    """Forms about one matter of a thing each."""
    thing = find_thing(design, ref)
    groups = (
        print_group(design, thing, shelf.shelf, make), topper_group(design, thing, shelf, make),
        zone_group(design, thing, make), tie_group(design, thing, make),
    )  # fmt: skip
    yield from (group for group in groups if group)


def _free_place(what: str, scene: Scene) -> tuple[float, float]:
    """Where a new thing goes if nobody says where [m]."""
    if what in ("prop", "foil"):
        return scene.bounds_right_m + BESIDE_M, HEIGHTS_M.get(what, 0.0)
    return scene.bounds_middle_m, HEIGHTS_M.get(what, 1.2)


def _frame_tiles(design: Design, shelf: TableShelf) -> list[Tile]:
    found = []
    for shape, name, drawing in FRAME_TILES:
        sizes = shelf.shelf.frames.get(shape, ())
        if not sizes:
            continue
        free = [size for size in sizes if shelf.left(size.item)]
        size = max(free or sizes, key=lambda size: (size.height_m <= MOST_USUAL_M, size.height_m))
        covers = len(shelf.covers_of(size.item))
        counted = [
            shelf.count_words(size.item),
            f"{covers} cover{'s' if covers > 1 else ''}" if covers else "",
        ]
        detail = " · ".join(filter(None, [_short(size.label, name), *counted]))
        values = {"item": size.item, "x_m": _next_x(design, size.width_m)}
        found.append(Tile(name, detail, drawing, "put-frame", values))
    return found


MOST_USUAL_M: Final = 2.2
"""The tallest frame that goes under an ordinary ceiling with a garland on it. Common practice, no source."""


def _column_detail(shelf: TableShelf) -> str:
    """How many poles there are; without one of the studio's, that it is made to measure."""
    words = shelf.count_words(*(pole.item for pole in shelf.shelf.frames.get("column", ())))
    return f"packed · {words}" if words else "packed"


def _short(label: str, name: str) -> str:
    """The size in a frame's name: ``7 ft`` of ``Arch frame 7 ft``."""
    for part in (name, name.lower(), "frame", "Frame"):
        label = label.replace(part, "")
    return " ".join(label.split()) or "one size"


def _next_x(design: Design, width_m: float) -> str:
    """Beside the last frame, covering a third of the narrower one; in the middle where there is none."""
    frames = [frame for frame in design.frames if frame.shape != "column"]
    if not frames:
        return "0"
    last = max(frames, key=lambda frame: frame.x_m + frame.width_m / 2)
    right = box_of(design, last).right
    return f"{right + width_m / 2 - OVERLAP * min(width_m, last.width_m):.4f} m"


def _round_x(design: Design, scene: Scene) -> str:
    """In the middle, else beside it where no other round is: none hides another."""
    taken = [ball.x_m for ball in design.rounds if not ball.on_top]
    aside = (
        BESIDE_ROUND_M * ((number + 1) // 2) * (-1) ** (number + 1) for number in range(2 * len(taken) + 1)
    )
    spots = (scene.bounds_middle_m + each for each in aside)
    found = next(
        (x for x in spots if all(abs(x - other) >= ROUND_M for other in taken)), scene.bounds_middle_m
    )
    return f"{found:.2f} m"


def _of(known: Mapping[str, object]) -> str:
    return f"{len(known)} kinds" if len(known) > 1 else "1 kind" if known else "none yet"


def _strip(figures: Figures | None, studio: Studio, *, may_see_margin: bool) -> Strip:
    if figures is None:
        nothing = amounts.written(Decimal(0), studio.currency, studio.locale)
        return Strip("0", "0", (), "", nothing, "")
    tape = figures.tape
    inside = tape.inside
    return Strip(
        balloons=f"{figures.takeoff.balloons}",
        prep=f"{prep_hours(figures.takeoff)}",
        notes=tuple(_notes(figures)),
        margin=f"{inside.margin_percent:.0f} %" if inside and may_see_margin else "",
        price=amounts.written(tape.total, studio.currency, studio.locale),
        price_words=_price_words(figures),
    )


def _price_words(figures: Figures) -> str:
    """What the price is of, and that travel is not in it where the way is not known."""
    whole = "whole quote" if figures.is_dated else ""
    return ", ".join(part for part in (whole, "" if figures.has_way else "without travel") if part)


def _notes(figures: Figures) -> list[Note]:
    """What is free and what is to be bought: everything short first, a few by name."""
    built_on = [need for need in figures.needs if need.item is not None and need.item.kind in BUILT_ON]
    latex = [need for need in figures.needs if need.item is not None and need.item.kind in LATEX]
    short = [need for need in figures.needs if need.short]
    notes = [Note(_short_words(need, figures.labels), True) for need in short[:MOST_SHORT]]
    if more := short[MOST_SHORT:]:
        notes.append(Note(f"{len(more)} more to get: {_names(more, figures.labels)}", True))
    there = ["frames and covers"] if built_on and not any(need.short for need in built_on) else []
    there += ["balloons"] if latex and not any(need.short for need in latex) else []
    if not there:
        return notes
    if not figures.is_dated:
        return [Note(f"on the shelf today: {', '.join(there)}; no date yet", False, False), *notes]
    return [*(Note(f"{what} free that day", False) for what in there), *notes]


def _names(needs: Sequence[Available], labels: Mapping[str, str]) -> str:
    """The first of them by name; that there are others."""
    named = [_lower(labels.get(need.code, need.code)) for need in needs[:MOST_NAMED]]
    return ", ".join([*named, *(["others"] if len(needs) > MOST_NAMED else [])])


def _short_words(need: Available, labels: Mapping[str, str]) -> str:
    label = labels.get(need.code, need.code)
    verb = (
        "to hire" if need.item is not None and need.item.is_reusable else "to buy" if need.item else "to get"
    )
    words = f"{need.short} {_lower(label)}"
    return words if label.endswith(MADE) else f"{words} {verb}"


def _lower(label: str) -> str:
    return f"{label[:1].lower()}{label[1:]}"
