"""The panel beside the picture: every act on the selected thing as a form that works without a script."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final, Protocol

import numpy as np

from quoting.craft.design.frames import face, is_inside, outline
from quoting.craft.design.records import PATTERNS, ZONED, Design, Frame, Garland, PaletteColour
from quoting.craft.design.things import FINISHES, FOIL_SHAPES, FONTS, GASES, PROP_LOOKS
from quoting.craft.settle.laying import route_in
from quoting.craft.table.boxes import depth_of, place_of
from quoting.craft.table.ends import HOW, TUCK, ends_of
from quoting.craft.table.handles import TAKES, takes_of
from quoting.craft.table.placing import label_of
from quoting.craft.table.putting import USUAL_FLAT_M
from quoting.craft.table.shelf import Shelf
from quoting.craft.table.sizing import own_size, turn_view
from quoting.craft.table.things import Thing, find_thing, kind_of, ref_of
from quoting.drawing_table.forms import SHARE, ActForm, value_field
from quoting.drawing_table.shares import whole_percents
from quoting.drawing_table.shelf import TableShelf, cover_stem
from quoting.drawing_table.words import END_WORDS, FINISH_WORDS, FONT_WORDS, GAS_WORDS, LOOK_WORDS, SET_WORDS
from quoting.set_pieces import measures
from quoting.set_pieces.arranging import COUNTED, PATTERN_WORDS, ZONE_WORDS
from studio.models.spelling import spelled

BARE: Final = ("", "no cover")
SETTABLE: Final[Mapping[str, tuple[str, ...]]] = {
    "garland": ("fullness", "pattern", "bands", "label"),
    "sign": ("text", "hex"),
    "round": ("colour", "gas"),
    "foil": ("text", "hex", "gas"),
    "prop": ("hex", "base_m"),
    "lettering": ("text", "font", "hex"),
    "spray": ("hex",),
    "wall": ("pattern", "bands"),
    "bouquet": ("count", "top_m"),
    "frame": (),
}
"""Fields of each kind that the panel shows, in order."""
BUTTONS: Final = (
    ("copy", "Copy", "button-plain"),
    ("mirror", "Mirror", "button-plain"),
    ("remove", "Remove", "button-lose"),
)
STROKE_STEPS: Final = 40
USUAL_STEMS: Final = 6
"""Stems that are asked for first, along a garland. Common practice, no source."""
END_M: Final = 0.6
"""Length of a pool or a tail that is asked for first. Common practice, no source."""


class Named(Protocol):
    """Whatever the shelf calls by a name."""

    @property
    def label(self) -> str:
        """Its name."""


@dataclass(frozen=True, slots=True)
class FormGroup:
    """Forms about one matter under a heading of their own, after a list of what there is of it; ``buttons``: acts that
    need nothing, each with its verb; ``is_open``: shown at once; ``image``: digest of an image that can be deleted."""

    key: str
    title: str
    forms: tuple[ActForm, ...]
    lines: tuple[str, ...] = ()
    buttons: tuple[tuple[str, str], ...] = ()
    note: str = ""
    is_open: bool = False
    image: str = ""


@dataclass(frozen=True, slots=True)
class Panel:
    """What is selected, the forms of its acts, and its buttons: act, verb and look."""

    ref: str
    title: str
    forms: tuple[ActForm, ...]
    more: tuple[ActForm, ...]
    buttons: tuple[tuple[str, str, str], ...]
    note: str = ""
    groups: tuple[FormGroup, ...] = ()
    may_redraw: bool = False
    """Whether it is a garland that can be drawn again."""

    @property
    def every_form(self) -> tuple[ActForm, ...]:
        """All forms, in the order in which they stand."""
        return (*self.forms, *(form for group in self.groups for form in group.forms), *self.more)


class Forms:
    """Makes the forms of one page: in the studio's units, the one that was sent with what was typed."""

    def __init__(self, units: str, sent: Mapping[str, str] | None = None) -> None:
        self.units, self.sent = units, sent or {}

    def make(
        self, act: str, names: Mapping[str, object], *, thing: str = "", fixed: Mapping[str, str] | None = None,
        choices: Mapping[str, list[tuple[str, str]]] | None = None, verb: str = "Apply", key: str = "",
        asks: tuple[str, str] | None = None,
    ) -> ActForm:  # fmt: skip
        """One form: ``names`` are its fields with their present values; ``key`` tells forms of one act apart.

        ``asks``: a field, and under what name its choice is asked of the page, which then shows the others for it.
        """
        mine = self.sent.get("form") == (key or act)
        form = ActForm(
            act, units=self.units, names=names, initial=names, thing=thing, fixed=fixed, choices=choices, verb=verb,
            data=self.sent if mine else None, key=key,
        )  # fmt: skip
        if asks:
            form.fields[asks[0]].widget.attrs["data-asks"] = asks[1]
        return form

    def set(self, design: Design, thing: Thing, name: str) -> ActForm:
        """A form that sets one field of a thing."""
        choices = _choices(design, thing, name)
        ref, value = ref_of(thing), getattr(thing, name)
        form = self.make(
            "set", {"value": value}, thing=ref, fixed={"field": name}, key=f"set-{name}",
            choices={"value": choices} if choices else None,
        )  # fmt: skip
        if not choices:
            form.fields["value"] = value_field(kind_of(thing), name, self.units)
        form.fields["value"].label = str(SET_WORDS[name])
        return form


def thing_panel(
    design: Design, ref: str, shelf: TableShelf, make: Forms, along: Iterable[ActForm] = (),
    groups: Iterable[FormGroup] = (),
) -> Panel:  # fmt: skip
    """The panel of a thing, ``along`` a garland with forms of its points. ``DesignError`` where there is none such."""
    thing = find_thing(design, ref)
    first = (
        *_own_forms(design, thing, shelf, make),
        *(make.set(design, thing, name) for name in _settable(thing)),
    )
    takes = takes_of(design, thing)
    return Panel(
        ref=ref,
        title=_title(design, thing, make.units),
        forms=first,
        more=(*_place_forms(design, thing, make), *along),
        buttons=tuple(button for button in BUTTONS if button[0] in takes),
        groups=tuple(groups),
        may_redraw="redraw" in takes,
    )


def design_panel(design: Design, make: Forms) -> Panel:
    """The panel of the whole design, where nothing is selected."""
    site = design.site
    names = ("width_m", "depth_m", "ceiling_m", "door_width_m", "door_height_m", "door_x_m")
    room = make.make("site", {name: getattr(site, name) for name in names})
    room.fields["door_x_m"].required = False
    room.fields["door_x_m"].help_text = "Empty: none there."
    name = make.make("set", {"value": design.name}, fixed={"field": "name"}, key="set-name")
    name.fields["value"].label = "Name"
    return Panel(
        ref="",
        title="This design",
        forms=(name,),
        more=(room,),
        buttons=(("mirror", "Swap left and right", "button-plain"),),
    )


def add_panel(
    what: str, design: Design, shelf: TableShelf, make: Forms, at: tuple[float, float]
) -> Panel | None:
    """The panel that adds something which has to be chosen or typed first; None for what needs neither."""
    makers: dict[str, tuple[str, Callable[[], Iterator[ActForm]]]] = {
        "frame": ("Add a frame", lambda: _add_frames(shelf, make, at)),
        "garland": ("Draw a garland", lambda: _add_garland(design, make)),
        "foil": ("Add a foil number", lambda: _add_foil(shelf, make, at)),
        "letters": ("Add letters", lambda: _add_letters(make, at)),
        "sign": ("Hang a sign", lambda: _add_items("put-sign", shelf.shelf.signs, shelf, make, at)),
        "florals": ("Add florals", lambda: _add_florals(design, shelf, make, at)),
        "prop": ("Add a prop", lambda: _add_prop(shelf, make, at)),
        "wall": ("Add a balloon wall", lambda: _add_wall(make, at)),
    }
    if what not in makers:
        return None
    title, forms = makers[what]
    return Panel(f"add-{what}", title, tuple(forms()), (), (), _add_note(what, shelf.shelf, design))


def palette_forms(design: Design, shelf: Shelf, make: Forms) -> tuple[ActForm, ...]:
    """One form for all shares, one for a color's finish, and one that adds a color."""
    percents = whole_percents([colour.share for colour in design.palette])
    shares = {
        f"{SHARE}{colour.colour}": percent for colour, percent in zip(design.palette, percents, strict=True)
    }
    form = make.make("palette", shares, verb="Apply", key="palette")
    for colour in design.palette:
        field = form.fields[f"{SHARE}{colour.colour}"]
        field.label = colour.name
        if len(design.palette) > 1:
            vars(field)["removed_by"] = _removal_key(colour)
    known = {colour.colour for colour in design.palette}
    others = [(code, colour.name) for code, colour in shelf.colours.items() if code not in known]
    if not others:
        return form, _finish_form(design, make)
    added = make.make("palette", {"add": ""}, choices={"add": others}, verb="Add", key="palette-add")
    added.fields["add"].label = spelled("Another color")
    return form, _finish_form(design, make), added


def removal_forms(design: Design, make: Forms) -> tuple[ActForm, ...]:
    """One form for each color that takes it away; none for the last one."""
    if len(design.palette) < 2:
        return ()
    return tuple(
        make.make("palette", {}, fixed={f"{SHARE}{colour.colour}": "0"}, key=_removal_key(colour))
        for colour in design.palette
    )


def stroke_along(design: Design, frame_ids: list[str]) -> list[list[float]]:
    """A stroke over frames: up the first one, on to the next where they overlap, and down the last one."""
    frames = [frame for name in frame_ids for frame in design.frames if frame.id == name]
    lines = [outline(frame).at(np.linspace(0, 1, STROKE_STEPS)[1:-1]) for frame in frames]
    for k in range(len(frames) - 1):
        hidden, kept = is_inside(lines[k], face(frames[k + 1])), is_inside(lines[k + 1], face(frames[k]))
        if hidden.any() and kept.any():
            lines[k] = lines[k][: int(np.argmax(hidden))]
            lines[k + 1] = lines[k + 1][len(kept) - int(np.argmax(kept[::-1])) :]
    return [[round(x, 3), round(y, 3)] for line in lines for x, y in line.tolist()]


# Private


def _removal_key(colour: PaletteColour) -> str:
    return f"remove-color-{colour.colour}"


def _finish_form(design: Design, make: Forms) -> ActForm:
    colours = [(colour.colour, colour.name) for colour in design.palette]
    finishes = [(finish, FINISH_WORDS[finish]) for finish in FINISHES]
    inner = [("", "nothing"), *colours]
    return make.make(
        "palette", {"colour": colours[0][0], "finish": design.palette[0].finish, "inner": ""},
        choices={"colour": colours, "finish": finishes, "inner": inner}, verb="Set finish", key="palette-finish",
    )  # fmt: skip


def _title(design: Design, thing: Thing, units: str) -> str:
    if isinstance(thing, Garland):
        length = route_in(design, design.garlands.index(thing)).length_m
        return f"{thing.label}, {measures.length(length, units)}"
    return label_of(thing)


def _settable(thing: Thing) -> tuple[str, ...]:
    """Fields that the panel sets; how often a pattern repeats only where it does, how full only what isn't packed."""
    without = set() if getattr(thing, "pattern", "") in COUNTED else {"bands"}
    if isinstance(thing, Garland) and thing.work == "classic":
        without.add("fullness")
    return tuple(name for name in SETTABLE[kind_of(thing)] if name not in without)


def _choices(design: Design, thing: Thing, name: str) -> list[tuple[str, str]]:
    known: dict[str, list[tuple[str, str]]] = {
        "pattern": [*((pattern, PATTERN_WORDS[pattern]) for pattern in PATTERNS), *_zoned(thing)],
        "gas": [(gas, GAS_WORDS[gas]) for gas in GASES],
        "font": [(font, FONT_WORDS[font]) for font in FONTS],
        "colour": [(colour.colour, colour.name) for colour in design.palette],
    }
    return known.get(name, [])


def _zoned(thing: Thing) -> list[tuple[str, str]]:
    """The choice of zones, once a garland has some."""
    return [(ZONED, ZONE_WORDS)] if isinstance(thing, Garland) and thing.zones else []


def _own_forms(design: Design, thing: Thing, shelf: TableShelf, make: Forms) -> Iterator[ActForm]:
    ref = ref_of(thing)
    if isinstance(thing, Frame):
        yield from _frame_forms(thing, shelf, make)
    elif isinstance(thing, Garland):
        if "end" in takes_of(design, thing):
            yield from _end_forms(design, thing, make)
    elif "resize" in TAKES[kind_of(thing)]:
        wide, high = own_size(thing)
        yield make.make("resize", {"width_m": wide, "height_m": high}, thing=ref)
    if turn := turn_view(design, thing):
        yield make.make("turn", {"deg": turn.deg}, thing=ref)


def _frame_forms(frame: Frame, shelf: TableShelf, make: Forms) -> Iterator[ActForm]:
    ref = ref_of(frame)
    sizes = shelf.shelf.frames.get(frame.shape, ())
    if any(size.item == frame.item for size in sizes):
        found = [(size.item, _with_covers(size.label, shelf, size.item)) for size in sizes]
        yield make.make("resize", {"item": frame.item}, thing=ref, choices={"item": found}, key="resize-item")
    else:
        yield make.make("resize", {"width_m": frame.width_m, "height_m": frame.height_m}, thing=ref)
    if frame.shape != "column":
        covers = _covers_for(frame, shelf)
        yield make.make(
            "cover", {"item": frame.cover.item if frame.cover else ""}, thing=ref, choices={"item": covers}
        )


def _covers_for(frame: Frame, shelf: TableShelf) -> list[tuple[str, str]]:
    """No cover, and those made for this frame; every cover where the stock list says of none that it fits. The present
    one in any case."""
    fits = cover_stem(frame.item)
    known = {code: cover.label for code, cover in shelf.shelf.covers.items()}
    fitting = {code: label for code, label in known.items() if code.startswith(fits)} or known
    if frame.cover:
        fitting.setdefault(frame.cover.item, frame.cover.label)
    ranked = sorted(fitting, key=lambda code: fitting[code])
    return [BARE, *((code, _counted(fitting[code], shelf, code)) for code in ranked)]


def _counted(label: str, shelf: TableShelf, item: str) -> str:
    words = shelf.count_words(item)
    return f"{label} · {words}" if words else label


def _with_covers(label: str, shelf: TableShelf, item: str) -> str:
    """A frame with how many there are, and the colors of the covers that are made for it."""
    words = _counted(label, shelf, item)
    colours = [shelf.shelf.covers[code].colour.replace("-", " ") for code in shelf.covers_of(item)]
    if not colours:
        return words
    return f"{words} · cover{'s' if len(colours) > 1 else ''} {', '.join(colours)}"


def _end_forms(design: Design, garland: Garland, make: Forms) -> Iterator[ActForm]:
    hows = [(how, END_WORDS[how]) for how in HOW]
    for which, end in zip(("start", "end"), ends_of(design, garland), strict=True):
        names = {"how": end.how} if end.how == TUCK else {"how": end.how, "length_m": end.length_m or END_M}
        form = make.make(
            "end", names, thing=ref_of(garland), fixed={"which": which},
            choices={"how": hows}, key=f"end-{which}",
        )  # fmt: skip
        form.fields["how"].label = "Start" if which == "start" else "End"
        yield form


def _place_forms(design: Design, thing: Thing, make: Forms) -> Iterator[ActForm]:
    ref, takes = ref_of(thing), TAKES[kind_of(thing)]
    x, y = place_of(design, thing)
    if "move" in takes:
        names: dict[str, object] = (
            {"x_m": x} if kind_of(thing) in ("wall", "bouquet") else {"x_m": x, "y_m": y}
        )
        yield make.make("move", names, thing=ref, fixed={"exact": "on"}, verb="Move")
    if "depth" in takes:
        yield make.make("depth", {"z_m": depth_of(design, thing)}, thing=ref, verb="Move")


def _add_frames(shelf: TableShelf, make: Forms, at: tuple[float, float]) -> Iterator[ActForm]:
    owned = [
        (size.item, _with_covers(size.label, shelf, size.item))
        for sizes in shelf.shelf.frames.values()
        for size in sizes
    ]
    place = {"x_m": at[0]}
    if owned:
        yield make.make(
            "put-frame", {"item": owned[0][0], **place}, choices={"item": owned}, verb="Add", key="put-owned"
        )
    shapes = [(shape, words) for shape, words in LOOK_WORDS.items() if shape in FRAME_WORDS]
    measured = {"shape": "arch-top", "width_m": 1.2, "height_m": 2.1, **place}
    yield make.make("put-frame", measured, choices={"shape": shapes}, verb="Add", key="put-measured")


FRAME_WORDS: Final = ("arch-top", "rectangle", "ring", "half-arch", "panel", "polygon", "free")


def _add_garland(design: Design, make: Forms) -> Iterator[ActForm]:
    frames = [(frame.id, frame.label) for frame in design.frames if frame.shape != "column"]
    if frames:
        names = {"along": frames[0][0], "then": ""}
        choices = {"along": frames, "then": [("", "no other frame"), *frames]}
        form = make.make("put-garland", names, choices=choices, verb="Add")
        form.fields["along"].label, form.fields["then"].label = "Along", "Then along"
        form.fields["then"].required = False
        yield form


def _add_foil(shelf: TableShelf, make: Forms, at: tuple[float, float]) -> Iterator[ActForm]:
    """One of the studio's own, then one that is bought for this."""
    place: dict[str, object] = {"text": "6", "x_m": at[0], "y_m": at[1]}
    owned = counted_items(shelf.shelf.foils, shelf)
    if owned:
        names = {"item": owned[0][0], **place}
        yield make.make("put-foil", names, choices={"item": owned}, verb="Add", key="put-owned")
    shapes = [(shape, LOOK_WORDS[shape]) for shape in FOIL_SHAPES]
    bought = {"shape": "glyphs", "flat_m": USUAL_FLAT_M, **place}
    yield make.make("put-foil", bought, choices={"shape": shapes}, verb="Add")


def _add_letters(make: Forms, at: tuple[float, float]) -> Iterator[ActForm]:
    yield make.make("put-lettering", {"text": "", "x_m": at[0], "y_m": at[1]}, verb="Add")


def _add_items(
    act: str, known: Mapping[str, Named], shelf: TableShelf, make: Forms, at: tuple[float, float]
) -> Iterator[ActForm]:
    items = counted_items(known, shelf)
    if items:
        names = {"item": items[0][0], "x_m": at[0], "y_m": at[1]}
        yield make.make(act, names, choices={"item": items}, verb="Add")


def _add_florals(
    design: Design, shelf: TableShelf, make: Forms, at: tuple[float, float]
) -> Iterator[ActForm]:
    """One by itself, then several along a garland or a frame."""
    yield from _add_items("put-spray", shelf.shelf.florals, shelf, make, at)
    things: tuple[Garland | Frame, ...] = (*design.garlands, *design.frames)
    along = [(ref_of(thing), label_of(thing)) for thing in things]
    items = counted_items(shelf.shelf.florals, shelf)
    if along and items:
        names: dict[str, object] = {
            "thing": along[0][0], "item": items[0][0], "count": USUAL_STEMS, "start": 0.0, "end": 1.0,
        }  # fmt: skip
        yield make.make("scatter", names, choices={"thing": along, "item": items}, verb="Add", key="scatter")


def counted_items(known: Mapping[str, Named], shelf: TableShelf) -> list[tuple[str, str]]:
    """Items of the shelf as choices, each with how many there are."""
    return [(code, _counted(one.label, shelf, code)) for code, one in known.items()]


def _add_prop(shelf: TableShelf, make: Forms, at: tuple[float, float]) -> Iterator[ActForm]:
    """One of the studio's own, a plinth first, then one that is hired or bought for this."""
    props = shelf.shelf.props
    owned = counted_items(props, shelf)
    if owned:
        first = next((code for code, prop in props.items() if prop.look == "plinth"), owned[0][0])
        names = {"item": first, "x_m": at[0]}
        yield make.make("put-prop", names, choices={"item": owned}, verb="Add", key="put-owned")
    looks = [(look, LOOK_WORDS[look]) for look in PROP_LOOKS]
    yield make.make("put-prop", {"look": "plinth", "x_m": at[0]}, choices={"look": looks}, verb="Add")


def _add_wall(make: Forms, at: tuple[float, float]) -> Iterator[ActForm]:
    yield make.make("put-wall", {"word": "", "width_m": 2.4, "height_m": 2.2, "x_m": at[0]}, verb="Add")


def _add_note(what: str, shelf: Shelf, design: Design) -> str:
    if what == "garland":
        drawn = "Draw it in the picture, from the floor over the frames."
        return drawn if not design.frames else f"{drawn} Or let it follow frames:"
    if what == "sign" and not shelf.signs:
        return "Your stock list has no sign."
    if what == "florals" and not shelf.florals:
        return "Your stock list has no florals."
    return "Letters go on a covered frame." if what == "letters" else ""
