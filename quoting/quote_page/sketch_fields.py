"""The fields of a set piece's form, in parts: each part is made from what it names, and from nothing else."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from django import forms

from quoting.craft.design.records import (
    MOST_FULL,
    ZONED,
    Design,
    Floral,
    Frame,
    OwnedSize,
    PaletteColour,
    Sign,
)
from quoting.quote_page.percent_field import PercentField
from quoting.quote_page.site_fields import site_fields
from quoting.set_pieces import arranging
from quoting.set_pieces.alter import NO_COVER, WHICHEVER_FITS, Owned, sizes_for
from studio.models.spelling import spelled
from studio.ui.forms import LengthField

SIZES_TO_SWITCH: Final = (5, 17, 24, 36)
"""Sizes that can be switched on and off beside the body of the quads."""
LENGTHS: Final = {"width_m": (Decimal("0.2"), Decimal(60)), "height_m": (Decimal("0.2"), Decimal(20))}

Field = tuple[forms.Field, object]
"""A field with its present value."""
Fields = dict[str, Field]
FramesByShape = Mapping[str, Sequence[OwnedSize]]
Covers = Mapping[str, tuple[str, str, str]]


@dataclass(frozen=True, slots=True)
class Sketched:
    """A set piece and the shelf, as its form is made from them. ``fullest`` is in per cent."""

    design: Design
    size: tuple[Decimal, Decimal]
    owned: Owned
    units: str
    fullest: int


@dataclass(frozen=True, slots=True)
class Part:
    """Fields that stand together on the page."""

    shows: str
    """What the page names of them."""
    made_from: Callable[[Sketched], tuple[object, ...]]
    fields: Callable[..., Fields]
    """Of what ``made_from`` gives, and of nothing else."""


def part_named(name: str) -> str | None:
    """The part that shows what the page calls so; None where it is no field of a part."""
    return _PART_OF.get(name)


def has_sizes(made: Sketched) -> bool:
    """Whether fullness and sizes are for the form to say."""
    return _of_garland(made)[0] is not None


# Private


def _of_size(made: Sketched) -> tuple[tuple[Decimal, Decimal], str]:
    return made.size, made.units


def _size_fields(size: tuple[Decimal, Decimal], units: str) -> Fields:
    return {
        key: (_length(key, limits, present, units), present)
        for (key, limits), present in zip(LENGTHS.items(), size, strict=True)
    }


def _length(key: str, limits: tuple[Decimal, Decimal], present: Decimal, units: str) -> LengthField:
    label = key.removesuffix("_m").capitalize()
    field = LengthField(units=units, least=limits[0], most=limits[1], label=label)
    field.widget.attrs |= {
        "class": "ruler-number",
        "data-units": units,
        "data-metres": f"{present:.4f}",
        "data-key": label[0],
    }
    return field


def _of_garland(made: Sketched) -> tuple[float | None, tuple[int, ...], tuple[int, ...], int]:
    """Fullness of the first garland, none where it has no say in that; sizes of its quads, and beside them."""
    garland = made.design.garlands[0] if made.design.garlands else None
    if garland is None or garland.work == "classic":
        return None, (), (), made.fullest
    body = {entry.size_in for entry in garland.mix if entry.role == "body"}
    beside = tuple(entry.size_in for entry in garland.mix if entry.role != "body")
    return garland.fullness, tuple(sorted(body)), beside, made.fullest


def _garland_fields(full: float | None, body: Sequence[int], beside: Sequence[int], fullest: int) -> Fields:
    if full is None:
        return {}
    fullness = PercentField(most=round(100 * MOST_FULL), label="Fullness")
    fullness.widget.attrs |= {"data-key": "F", "data-most": str(fullest)}
    sizes = forms.MultipleChoiceField(
        required=False, label="Sizes", choices=[(str(n), f"{n}") for n in SIZES_TO_SWITCH if n not in body],
        widget=forms.CheckboxSelectMultiple,
    )  # fmt: skip
    return {"fullness": (fullness, _percent(full, 0)), "sizes": (sizes, [str(size) for size in beside])}


def _of_palette(made: Sketched) -> tuple[tuple[PaletteColour, ...], Mapping[str, tuple[str, str]]]:
    return made.design.palette, made.owned.colours


def _palette_fields(palette: Sequence[PaletteColour], owned: Mapping[str, tuple[str, str]]) -> Fields:
    present = {colour.colour for colour in palette}
    spare = [(code, name.lower()) for code, (name, _) in owned.items() if code not in present]
    found: Fields = {}
    for colour in palette:
        share = PercentField(most=100, places=1, label=f"{colour.name}, share")
        found[f"share.{colour.colour}"] = share, _percent(colour.share, 1)
        choices = [(colour.colour, colour.name.lower()), *spare]
        swap = forms.ChoiceField(choices=choices, label=f"Replace {colour.name.lower()}")
        found[f"swap.{colour.colour}"] = swap, colour.colour
    add = forms.ChoiceField(required=False, choices=[("", spelled("add a color")), *spare])
    return {**found, "add_colour": (add, "")}


def _of_frames(made: Sketched) -> tuple[tuple[Frame, ...], tuple[str, ...], FramesByShape, Covers]:
    """The frames, which of them stay as something hangs on them, and what the studio has."""
    design = made.design
    stay = tuple(frame.id for frame in design.frames if arranging.carries(design, frame.id))
    return design.frames, stay, made.owned.frames, made.owned.covers


def _frame_fields(
    frames: Sequence[Frame], stay: Sequence[str], owned: FramesByShape, covers: Covers
) -> Fields:
    found: Fields = {}
    for frame in frames:
        found[f"frame.{frame.id}"] = _frame_field(frame, frame.id in stay, Owned({}, owned, covers, {}))
        found[f"cover.{frame.id}"] = _cover_field(frame, covers)
    known = arranging.layers(owned)
    if known and len(frames) < arranging.MOST_FRAMES:
        choices = [("", "none"), *((item, size.label) for item, (_, size) in known.items())]
        found["add_frame"] = (
            forms.ChoiceField(required=False, choices=choices, label="Add a frame behind"), ""
        )  # fmt: skip
    return found


def _frame_field(frame: Frame, stays: bool, owned: Owned) -> Field:
    sizes = sizes_for(frame, owned)
    choices = [(size.item, size.label) for size in sizes]
    pinned = len(frame.sizes) == 1 < len(sizes) and frame.sizes[0].item in dict(choices)
    gone = [] if stays else [(arranging.TAKEN_AWAY, "remove it")]
    fits = (WHICHEVER_FITS, f"{frame.label}, whichever fits" if not pinned else "whichever fits")
    label = f"{frame.id.replace('-', ' ').capitalize()} frame"
    field = forms.ChoiceField(choices=[fits, *choices, *gone], label=label)
    return field, frame.sizes[0].item if pinned else WHICHEVER_FITS


def _cover_field(frame: Frame, owned: Covers) -> Field:
    stem = f"cover-{frame.item.removeprefix('frame-')}-"
    covers = {code: label for code, (label, _, _) in owned.items() if code.startswith(stem)}
    if frame.cover:
        covers.setdefault(frame.cover.item, frame.cover.label)
    field = forms.ChoiceField(choices=[(NO_COVER, "no cover"), *covers.items()], label="Its cover")
    return field, frame.cover.item if frame.cover else NO_COVER


def _of_florals(made: Sketched) -> tuple[tuple[Floral, ...], str]:
    return made.design.florals, made.units


def _floral_fields(florals: Sequence[Floral], units: str) -> Fields:
    return {f"floral.{place}": _floral_field(floral, units) for place, floral in enumerate(florals)}


def _floral_field(floral: Floral, units: str) -> Field:
    if floral.kind == "greenery":
        along = PercentField(most=200, unit="% of the garland", label=f"{floral.label}, along")
        return along, _percent(floral.share, 0)
    spacing = LengthField(
        units=units, least=Decimal("0.05"), most=Decimal(30), label=f"{floral.label}, one every"
    )
    return spacing, Decimal(str(round(floral.spacing_m, 4)))


def _of_sign(made: Sketched) -> tuple[Sign | None, Mapping[str, str]]:
    return made.design.sign, made.owned.signs


def _sign_fields(sign: Sign | None, owned: Mapping[str, str]) -> Fields:
    choices = {**({sign.item: sign.label} if sign else {}), **owned}
    if not choices:
        return {}
    item = forms.ChoiceField(required=False, choices=[("", "no sign"), *choices.items()], label="Sign")
    found: Fields = {"sign.item": (item, sign.item if sign else "")}
    if sign:
        found["sign.text"] = forms.CharField(max_length=60, label="Sign text"), sign.text
    return found


def _of_arrangement(made: Sketched) -> tuple[tuple[str, int] | None, int | None, bool]:
    """How colours are laid, of how many recipes at most where that can be said, and which way round."""
    design = made.design
    organic = any(garland.work == "organic" for garland in design.garlands)
    return (
        arranging.pattern_of(design),
        design.garlands[0].recipes if organic else None,
        design.mirrored,
    )


def _arrangement_fields(laid: tuple[str, int] | None, recipes: int | None, mirrored: bool) -> Fields:
    if laid is None:
        return {}
    zoned = [(ZONED, arranging.ZONE_WORDS)] if laid[0] == ZONED else []
    known = [*arranging.PATTERN_WORDS.items(), *zoned]
    found: Fields = {"pattern": (forms.ChoiceField(choices=known, label=spelled("Colors")), laid[0])}
    if laid[0] in arranging.COUNTED:
        label = {"bands": "Bands", "clusters": "Clusters", "spiral": "Turns"}[laid[0]]
        bands = forms.IntegerField(min_value=1, max_value=arranging.MOST_BANDS, label=label)
        found["bands"] = bands, laid[1]
    if laid[0] == "scatter" and recipes is not None:
        most = forms.IntegerField(
            min_value=0, max_value=60, label="Different quads, at most", help_text="0 = automatic"
        )
        found["recipes"] = most, recipes
    return {**found, "mirrored": (forms.BooleanField(required=False, label="Mirrored"), mirrored)}


def _of_work(made: Sketched) -> tuple[float, int]:
    return made.design.loss, made.design.rates.crew


def _work_fields(loss: float, crew: int) -> Fields:
    return {
        "loss": (PercentField(most=50, places=1, label="Loss"), _percent(loss, 1)),
        "crew": (forms.IntegerField(min_value=1, max_value=30, label="People on site"), crew),
    }


def _percent(share: float, places: int) -> Decimal:
    """A share as it stands in the box: 38 or 38.5. A number, so that what is sent back unchanged reads as unchanged."""
    shown = f"{share * 100:.{places}f}"
    return Decimal(shown.removesuffix(".0") if places else shown)


PARTS: Final[Mapping[str, Part]] = {
    "size": Part("width_m height_m", _of_size, _size_fields),
    "garland": Part("fullness sizes body_sizes", _of_garland, _garland_fields),
    "palette": Part("palette add_colour", _of_palette, _palette_fields),
    "frames": Part("frames add_frame", _of_frames, _frame_fields),
    "florals": Part("florals", _of_florals, _floral_fields),
    "sign": Part("sign", _of_sign, _sign_fields),
    "arrangement": Part("arrangement", _of_arrangement, _arrangement_fields),
    "site": Part("site", lambda made: (made.design.site, made.units), site_fields),
    "work": Part("loss crew", _of_work, _work_fields),
}
"""In the order in which they are read."""
_PART_OF: Final = {name: part for part, each in PARTS.items() for name in each.shows.split()}
