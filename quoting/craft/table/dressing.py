"""Acts on how things look and what is said of them: covers, single fields, palette, site."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from typing import Final, TypeVar

from quoting.craft.change.palette import with_palette
from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.prints import takes_print
from quoting.craft.design.records import (
    FITS,
    USUAL_BLEED_M,
    Cover,
    CoverPrint,
    Design,
    Frame,
    PaletteColour,
)
from quoting.craft.design.schema import (
    a_code,
    a_number,
    a_text,
    a_value,
    one_of,
    part_list,
    read_record,
    write_record,
)
from quoting.craft.table.acted import Acted, Said, SaidCode
from quoting.craft.table.carried import letters_off
from quoting.craft.table.placing import label_of
from quoting.craft.table.shelf import Shelf
from quoting.craft.table.things import find_thing, not_for_this, with_thing

FIXED: Final = frozenset({"id", "route", "sizes", "on_top", "cover_print"})
"""Fields of a thing that other acts change, or none."""
OF_THE_DESIGN: Final = ("name", "note", "seed", "loss", "service", "florals", "rates", "bags")
"""Fields of the whole design that may be set."""

Record = TypeVar("Record")


@dataclass(frozen=True, slots=True, kw_only=True)
class PutCover:
    """Dress a frame in a cover of the studio, or undress it."""

    thing: str = a_text("reference of a frame, frame:id")
    item: str = a_code("item code of a cover of the studio; empty: none", "")

    def on(self, design: Design, shelf: Shelf) -> Acted:
        frame = find_thing(design, self.thing)
        if not isinstance(frame, Frame) or frame.shape == "column":
            raise not_for_this(frame, "thing")
        if not self.item:
            return _undressed(design, frame)
        if self.item not in shelf.covers:
            raise DesignError(Fault(code=FaultCode.NOT_OWNED, field="item", found=self.item, what="cover"))
        kept = shelf.covers[self.item]
        cover = Cover(item=self.item, label=kept.label, colour=kept.colour, hex=kept.hex)
        return _dressed(design, frame, cover, Said(SaidCode.COVERED, frame.label, kept.label))


@dataclass(frozen=True, slots=True, kw_only=True)
class PutPrint:
    """Print an image of the studio on a frame's cover, lay it anew, or take it off."""

    thing: str = a_text("reference of a frame, frame:id")
    image: str = a_text("digest of an image of the studio; empty: none", "", longest=64)
    fit: str = one_of(FITS, "cover: fills the cloth; contain: all of it is seen", "cover")
    bleed_m: float = a_number(0, 0.3, "what is printed beyond the face on every side [m]", USUAL_BLEED_M)
    x_share: float = a_number(0, 1, "where what is left over sideways goes", 0.5)
    y_share: float = a_number(0, 1, "where what is left over in height goes", 0.5)

    def on(self, design: Design, shelf: Shelf) -> Acted:
        frame = find_thing(design, self.thing)
        if not isinstance(frame, Frame) or frame.shape == "column":
            raise not_for_this(frame, "thing")
        if not self.image:
            return _printed(design, replace(frame, cover_print=None), Said(SaidCode.UNPRINTED, frame.label))
        if not takes_print(frame):
            raise DesignError(Fault(code=FaultCode.PRINT_NEEDS_COVER, field="thing"))
        if self.image not in shelf.prints:
            raise DesignError(Fault(code=FaultCode.NOT_OWNED, field="image", found=self.image, what="image"))
        found = shelf.prints[self.image]
        laid = CoverPrint(
            digest=self.image, aspect=found.aspect, fit=self.fit, bleed_m=self.bleed_m,
            x_share=self.x_share, y_share=self.y_share,
        )  # fmt: skip
        said = Said(SaidCode.PRINTED, frame.label, found.label)
        return _printed(design, replace(frame, cover_print=laid), said)


@dataclass(frozen=True, slots=True, kw_only=True)
class Set:
    """Set one field of a thing, or of the whole design where no thing is named."""

    thing: str = a_text("reference of a thing, kind:id; empty: the design", "")
    field: str = a_text("name of the field, as in the design file", longest=40, least=1)
    value: object = a_value("its new value")

    def on(self, design: Design, _shelf: Shelf) -> Acted:
        if not self.thing:
            self._refuse_unless(self.field in OF_THE_DESIGN, OF_THE_DESIGN)
            said = Said(SaidCode.CHANGED, design.name, self.field)
            return Acted(_with_field(design, self.field, self.value), "", (said,))
        thing = find_thing(design, self.thing)
        known = tuple(field.name for field in fields(thing) if field.name not in FIXED)
        self._refuse_unless(self.field in known, known)
        changed = _with_field(thing, self.field, self.value)
        said = Said(SaidCode.CHANGED, label_of(thing), self.field)
        return Acted(with_thing(design, changed), self.thing, (said,))

    def _refuse_unless(self, is_known: bool, names: tuple[str, ...]) -> None:
        if not is_known:
            raise DesignError(
                Fault(code=FaultCode.UNKNOWN_FIELD, field="field", found=self.field, names=names)
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Palette:
    """Give the design other colours; their shares are taken in proportion."""

    colours: tuple[PaletteColour, ...] = part_list(PaletteColour, "colours and their shares", 1, 16)

    def on(self, design: Design, _shelf: Shelf) -> Acted:
        total = sum(colour.share for colour in self.colours)
        if total <= 0:
            raise DesignError(Fault(code=FaultCode.NO_SHARES, field="colours"))
        palette = tuple(replace(colour, share=colour.share / total) for colour in self.colours)
        said = Said(SaidCode.RECOLOURED, design.name, figures={"count": len(palette)})
        return Acted(with_palette(design, palette), "", (said,))


@dataclass(frozen=True, slots=True, kw_only=True)
class PutSite:
    """Change facts of the place: room, ceiling, door, wall, climate."""

    fields: object = a_value("fields of the site and their values, as in the design file")

    def on(self, design: Design, _shelf: Shelf) -> Acted:
        if not isinstance(self.fields, Mapping):
            found = type(self.fields).__name__
            raise DesignError(Fault(code=FaultCode.NOT_AN_OBJECT, field="fields", found=found))
        site = _read_again(design.site, self.fields)
        return Acted(replace(design, site=site), "", (Said(SaidCode.PLACED, design.name),))


# Private


def _undressed(design: Design, frame: Frame) -> Acted:
    """The frame without a cover; the letters that were put on it go too, but for a board, which still holds them."""
    bare = _dressed(design, frame, None, Said(SaidCode.UNCOVERED, frame.label))
    if replace(frame, cover=None).takes_words:
        return bare
    after, said = letters_off(bare.design, frame)
    return replace(bare, design=after, said=(*bare.said, *said))


def _dressed(design: Design, frame: Frame, cover: Cover | None, said: Said) -> Acted:
    """The frame in a cover; which cover its other sizes take is found by the shelf, when the design is quoted."""
    sizes = tuple(replace(size, cover_item="") for size in frame.sizes)
    laid = frame.cover_print if cover else None
    changed = replace(frame, cover=cover, cover_print=laid, sizes=sizes)
    return Acted(with_thing(design, changed), f"frame:{frame.id}", (said,))


def _printed(design: Design, frame: Frame, said: Said) -> Acted:
    return Acted(with_thing(design, frame), f"frame:{frame.id}", (said,))


def _with_field(record: Record, name: str, value: object) -> Record:
    return _read_again(record, {name: value}, whole="value")


def _read_again(record: Record, changes: Mapping[str, object], *, whole: str = "") -> Record:
    """A record with some fields read anew by their rules. DesignError at each field, or all at ``whole``."""
    written = write_record(record)
    assert isinstance(written, dict)
    faults: list[Fault] = []
    read = read_record(type(record), {**written, **changes}, "", faults)
    if read is None:
        raise DesignError(*(replace(fault, field=whole or fault.field) for fault in faults))
    return read
