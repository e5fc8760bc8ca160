"""What is changed about a set piece on the quote page, applied to its design. Pure: no database."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Any, Final

from quoting.craft.change.edit import edited, swap_colour
from quoting.craft.change.extent import estimated_extent
from quoting.craft.change.palette import placed_colours, with_palette
from quoting.craft.change.resize import SIDES, change_scaled, scale_to
from quoting.craft.design.checks import cross_faults
from quoting.craft.design.chosen import in_both
from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.frame_places import frame_place_faults
from quoting.craft.design.records import (
    Bag,
    Cover,
    Design,
    Frame,
    Garland,
    MixEntry,
    OwnedSize,
    PaletteColour,
    Sign,
)
from quoting.craft.design.signs import own_words, sign_faults, with_sign
from quoting.craft.takeoff.sign_room import hung_in_the_open
from quoting.set_pieces import arranging, site
from quoting.set_pieces.worked import taken_off

WHICHEVER_FITS: Final = "fits"
"""Choice of a frame by the asked size, out of all that the studio owns of its shape."""
NO_COVER: Final = "bare"
NEW_COLOUR_SHARE: Final = 0.15

# How a size is used where it is switched on. Common practice, no source.
USUAL_MIX: Final[Mapping[int, MixEntry]] = {
    5: MixEntry(size_in=5, role="filler", sized_low_m=0.1143, sized_high_m=0.1143),
    17: MixEntry(size_in=17, role="round", sized_low_m=0.3302, sized_high_m=0.3810, share=0.1),
    24: MixEntry(size_in=24, role="accent", sized_low_m=0.508, sized_high_m=0.5588, spacing_m=0.9),
    36: MixEntry(size_in=36, role="accent", sized_low_m=0.762, sized_high_m=0.8382, spacing_m=2.4),
}


@dataclass(frozen=True, slots=True)
class Owned:
    """What the studio can build from: its colours, its frames by shape, its covers and signs."""

    colours: Mapping[str, tuple[str, str]]
    """Name and sRGB by colour code."""
    frames: Mapping[str, Sequence[OwnedSize]]
    """By shape."""
    covers: Mapping[str, tuple[str, str, str]]
    """Label, colour in words and sRGB by item code."""
    signs: Mapping[str, str]
    """Label by item code."""
    frames_kg: Mapping[str, float] = field(default_factory=dict)
    """Weight by item code, of the frames that were weighed."""


@dataclass(frozen=True, slots=True)
class SparesRule:
    """What a studio says of spare balloons: shares from 0 to 1, and the bags that it buys."""

    loss: float
    service: float
    bags: tuple[Bag, ...] = ()


def fitting(design: Design, owned: Owned, spares: SparesRule) -> Design:
    """The design over the frames that the studio owns, in the colours as it names them, with its own rule for spares.

    A frame whose shape the studio doesn't own keeps the sizes of the template; it then shows as missing.
    """
    palette = tuple(
        replace(colour, name=owned.colours[colour.colour][0], hex=owned.colours[colour.colour][1])
        if colour.colour in owned.colours
        else colour
        for colour in design.palette
    )
    design = replace(design, palette=palette, loss=spares.loss, service=spares.service, bags=spares.bags)
    return in_both(design, lambda one: _with_owned_sizes(one, owned))


def sizes_for(frame: Frame, owned: Owned) -> tuple[OwnedSize, ...]:
    """The studio's frames of this shape, each with the cover in this frame's colour if there is one."""
    mine = owned.frames.get(frame.shape, ())
    return tuple(_with_cover(size, frame, owned) for size in mine) or frame.sizes


def relabelled(design: Design, owned: Owned) -> Design:
    """The design with frames that weigh, and covers that are called and coloured, as the shelf has them."""
    return replace(design, frames=tuple(_relabelled(frame, owned) for frame in design.frames))


def cover_code(frame_code: str, colour: str) -> str:
    """Code of the cover of a frame in a colour: ``cover-arch-7ft-sage`` goes over ``frame-arch-7ft``."""
    return f"cover-{frame_code.removeprefix('frame-')}-{colour}"


def extent(design: Design) -> tuple[Decimal, Decimal]:
    """Width and height that the design comes out at, to the centimetre [m]."""
    found = taken_off(design).dimensions
    return Decimal(str(round(found.width_m, 2))), Decimal(str(round(found.height_m, 2)))


def scaled(design: Design, *, width_m: Decimal, height_m: Decimal, must: Sequence[str] = SIDES) -> Design:
    """The design at another size. Raises ``DesignError`` at those of ``must`` that it doesn't meet."""
    return scale_to(design, width_m=float(width_m), height_m=float(height_m), must=must)


def altered(design: Design, changes: Mapping[str, object], owned: Owned) -> Design:
    """The design with ``changes``. Raises ``DesignError`` whose faults carry the keys of the changes.

    Keys: ``fullness``, ``loss``, ``rounds``, ``seed``, ``sign.text``, ``floral.<n>`` as ``craft.edit`` takes them;
    ``share.<colour>`` (0 to 1; the others keep their proportions), ``swap.<colour>`` (a colour code),
    ``add_colour``, ``sizes`` (a set of nominal inches), ``frame.<id>`` (an item code or :data:`WHICHEVER_FITS`),
    ``cover.<id>`` (an item code or :data:`NO_COVER`), ``sign.item`` (an item code, empty for none), ``crew``,
    ``site.<fact>`` (as ``quoting.set_pieces.site.with_site``), ``pattern``, ``bands``, ``mirrored``, ``recipes``,
    ``add_frame`` (an item code); ``frame.<id>`` takes ``arranging.TAKEN_AWAY`` as well.
    """
    result = change_scaled(design, lambda one: _altered(one, changes, owned))
    known = sign_faults(design)
    if faults := [fault for fault in sign_faults(result) if "sign.item" in changes or fault not in known]:
        raise DesignError(*(replace(fault, field="sign.item") for fault in faults))
    _refuse_frames_in_one_place(design, result)
    return result


# Private


def _refuse_frames_in_one_place(before: Design, after: Design) -> None:
    """A change may not put a frame where another stands; what stood there before the change stays."""
    if after.frames == before.frames or frame_place_faults(before):
        return
    if faults := frame_place_faults(after):
        at = {f"frames[{k}].z_m": f"frame.{frame.id}" for k, frame in enumerate(after.frames)}
        raise DesignError(*(replace(fault, field=at[fault.field]) for fault in faults))


def _altered(design: Design, changes: Mapping[str, object], owned: Owned) -> Design:
    # Each key takes values of a type of its own, which its function names.
    ours: dict[str, Callable[[Design, str, Any, Owned], Design]] = {
        "share": _with_share,
        "swap": _with_swap,
        "add_colour": _with_colour,
        "sizes": _with_sizes,
        "frame": _with_frame_or_none,
        "add_frame": lambda design, _name, value, owned: arranging.with_layer(design, value, owned.frames),
        "cover": _with_cover_of,
        "sign.item": _with_sign,
        "crew": _with_crew,
        "site": lambda design, name, value, _owned: site.with_site(design, name, value),
        "pattern": lambda design, _name, value, _owned: arranging.with_pattern(design, value),
        "bands": lambda design, _name, value, _owned: arranging.with_bands(design, value),
        "mirrored": lambda design, _name, value, _owned: arranging.turned(design, value),
    }
    plain: dict[str, object] = {}
    for key, value in changes.items():
        kind, _, name = key.partition(".")
        change = ours.get(key) or ours.get(kind)
        if change is None:
            plain[key] = value
        else:
            design = change(design, name, value, owned)
    if plain:
        design = edited(design, plain)
    if faults := cross_faults(design):
        raise DesignError(*faults)
    return design


def _with_owned_sizes(design: Design, owned: Owned) -> Design:
    frames = tuple(replace(frame, sizes=sizes_for(frame, owned)) for frame in design.frames)
    return replace(design, frames=frames)


def _with_share(design: Design, code: str, share: float, _owned: Owned) -> Design:
    """One colour takes exactly the share asked, the others divide the rest as before; 0 takes it out."""
    key = f"share.{code}"
    if not 0 <= share <= 1:
        code = FaultCode.SHARE_OUT_OF_RANGE
        raise DesignError(Fault(code=code, field=key, found=share, low=0.0, high=1.0))
    others = [colour for colour in design.palette if colour.colour != code]
    rest = sum(colour.share for colour in others)
    if share < 1 and rest <= 0:
        raise DesignError(Fault(code=FaultCode.ONLY_COLOUR, field=key))
    factor = (1 - share) / rest if rest else 0.0
    palette = [
        replace(colour, share=share if colour.colour == code else colour.share * factor)
        for colour in design.palette
    ]
    needed = placed_colours(design)
    kept = [colour for colour in palette if colour.share > 0 or colour.colour in needed]
    return with_palette(design, _summing_to_one(kept))


def _summing_to_one(palette: Sequence[PaletteColour]) -> tuple[PaletteColour, ...]:
    total = sum(colour.share for colour in palette)
    return tuple(replace(colour, share=colour.share / total) for colour in palette)


def _known_colour(key: str, code: str, owned: Owned) -> PaletteColour:
    if code not in owned.colours:
        raise DesignError(Fault(code=FaultCode.NOT_OWNED, field=key, found=code, what="colour"))
    name, hex_value = owned.colours[code]
    return PaletteColour(colour=code, name=name, hex=hex_value, share=0.0)


def _with_swap(design: Design, old: str, new: str, owned: Owned) -> Design:
    return swap_colour(design, old, _known_colour(f"swap.{old}", new, owned))


def _with_colour(design: Design, _name: str, code: str, owned: Owned) -> Design:
    colour = _known_colour("add_colour", code, owned)
    if code in [known.colour for known in design.palette]:
        raise DesignError(Fault(code=FaultCode.IN_PALETTE_ALREADY, field="add_colour", found=code))
    kept = [replace(known, share=known.share * (1 - NEW_COLOUR_SHARE)) for known in design.palette]
    palette = [*kept, replace(colour, share=NEW_COLOUR_SHARE)]
    return replace(design, palette=_summing_to_one(palette))


def _with_sizes(design: Design, _name: str, sizes: set[int], _owned: Owned) -> Design:
    garlands = tuple(
        garland if garland.work == "classic" else _with_mix(garland, sizes) for garland in design.garlands
    )
    return replace(design, garlands=garlands)


def _with_mix(garland: Garland, sizes: set[int]) -> Garland:
    """Sizes switched on and off. The body of the quads always stays; shares of the quads are made to add up."""
    kept = [entry for entry in garland.mix if entry.role == "body" or entry.size_in in sizes]
    present = {entry.size_in for entry in kept}
    kept += [USUAL_MIX[size] for size in sorted(sizes) if size in USUAL_MIX and size not in present]
    quads = sum(entry.share for entry in kept if entry.role in ("body", "round"))
    mix = [
        replace(entry, share=entry.share / quads) if entry.role in ("body", "round") else entry
        for entry in kept
    ]
    return replace(garland, mix=tuple(mix))


def _frame(design: Design, key: str, frame_id: str) -> Frame:
    for frame in design.frames:
        if frame.id == frame_id:
            return frame
    raise DesignError(Fault(code=FaultCode.NOT_IN_PIECE, field=key, found=frame_id, what="frame"))


def _with_one_frame(design: Design, changed: Frame) -> Design:
    frames = tuple(changed if frame.id == changed.id else frame for frame in design.frames)
    return replace(design, frames=frames)


def _with_frame(design: Design, frame_id: str, item: str, owned: Owned) -> Design:
    key = f"frame.{frame_id}"
    frame = _frame(design, key, frame_id)
    sizes = sizes_for(frame, owned)
    if item == WHICHEVER_FITS:
        return _with_one_frame(design, replace(frame, sizes=sizes))
    chosen = next((size for size in sizes if size.item == item), None)
    if chosen is None:
        what = f"{frame.shape} frame"
        raise DesignError(Fault(code=FaultCode.NOT_OWNED, field=key, found=item, what=what))
    cover = frame.cover
    if cover and chosen.cover_item:
        cover = replace(cover, item=chosen.cover_item)
    pinned = replace(
        frame, item=chosen.item, label=chosen.label, width_m=chosen.width_m, height_m=chosen.height_m,
        weight_kg=chosen.weight_kg, cover=cover, sizes=(chosen,),
    )  # fmt: skip
    return _with_one_frame(design, pinned)


def _with_frame_or_none(design: Design, frame_id: str, item: str, owned: Owned) -> Design:
    if item == arranging.TAKEN_AWAY:
        return arranging.without_layer(design, frame_id)
    return _with_frame(design, frame_id, item, owned)


def _with_cover_of(design: Design, frame_id: str, item: str, owned: Owned) -> Design:
    key = f"cover.{frame_id}"
    frame = _frame(design, key, frame_id)
    if item == NO_COVER:
        return _with_one_frame(design, replace(frame, cover=None, cover_print=None))
    if item not in owned.covers:
        raise DesignError(Fault(code=FaultCode.NOT_OWNED, field=key, found=item, what="cover"))
    label, colour, hex_value = owned.covers[item]
    stretch = frame.cover.stretch if frame.cover else 0.1
    dressed = replace(
        frame, cover=Cover(item=item, label=label, colour=colour, hex=hex_value, stretch=stretch)
    )
    return _with_one_frame(
        design, replace(dressed, sizes=tuple(_with_cover(s, dressed, owned) for s in frame.sizes))
    )


def _relabelled(frame: Frame, owned: Owned) -> Frame:
    frame = replace(frame, weight_kg=owned.frames_kg.get(frame.item, frame.weight_kg))
    if frame.cover is None or frame.cover.item not in owned.covers:
        return frame
    label, colour, hex_value = owned.covers[frame.cover.item]
    return replace(frame, cover=replace(frame.cover, label=label, colour=colour, hex=hex_value))


def _with_cover(size: OwnedSize, frame: Frame, owned: Owned) -> OwnedSize:
    if frame.cover is None:
        return replace(size, cover_item="")
    code = cover_code(size.item, _colour_of(frame.cover))
    if code in owned.covers or not size.cover_item:
        # A cover that the studio lacks shows as missing: one of another size would not fit.
        return replace(size, cover_item=code)
    return size


def _colour_of(cover: Cover) -> str:
    """The colour's part of a cover's code: its last word, unless the design spells the colour out."""
    return cover.colour.lower().replace(" ", "-") or cover.item.rsplit("-", 1)[-1]


def _with_sign(design: Design, _name: str, item: str, owned: Owned) -> Design:
    if not item:
        return with_sign(design, None)
    if item not in owned.signs:
        raise DesignError(Fault(code=FaultCode.NOT_OWNED, field="sign.item", found=item, what="sign"))
    label = owned.signs[item]
    if design.sign:
        return with_sign(design, replace(design.sign, item=item, label=label))
    return with_sign(design, _hung(design, item, label))


def _hung(design: Design, item: str, label: str) -> Sign:
    """A sign before the foremost frame, where the garland leaves it free; by itself where there are only poles."""
    wide = (frame for frame in design.frames if frame.shape != "column")
    front = max(wide, key=lambda frame: frame.z_m, default=None)
    sign = Sign(
        item=item, label=label, text=own_words(label), width_m=0.9, height_m=0.3, x_m=0.0, y_m=0.0
    )  # fmt: skip
    if front is None:
        found = estimated_extent(design)
        return replace(sign, x_m=(found.left + found.right) / 2, y_m=found.top / 2)
    return hung_in_the_open(design, replace(sign, frame=front.id), taken_off(design).balloons)


def _with_crew(design: Design, _name: str, crew: int, _owned: Owned) -> Design:
    if not 1 <= crew <= 30:
        raise DesignError(Fault(code=FaultCode.OUT_OF_RANGE, field="crew", found=crew, low=1, high=30))
    return replace(design, rates=replace(design.rates, crew=crew))
