"""The forms of the quote page. Fields are named by the keys of :func:`quoting.set_pieces.alter.altered`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from decimal import Decimal
from typing import Final

from django import forms

from quoting.craft.design.records import MOST_FULL, ZONED, Design, Floral, Frame
from quoting.pricing.inputs import METRES_BY_UNIT
from quoting.quote_page.site_fields import site_fields
from quoting.set_pieces import arranging
from quoting.set_pieces.alter import NO_COVER, WHICHEVER_FITS, Owned, sizes_for
from studio.models import Studio, TaxRate
from studio.models.spelling import spelled
from studio.ui.forms import LengthField, MoneyField

SIZES_TO_SWITCH: Final = (5, 17, 24, 36)
"""Sizes that can be switched on and off beside the body of the quads."""
LENGTHS: Final = {"width_m": (Decimal("0.2"), Decimal(60)), "height_m": (Decimal("0.2"), Decimal(20))}
MOST_METRES: Final = 2_000_000
PLAIN: Final = forms.TextInput


class PercentField(forms.DecimalField):
    """A share, typed and shown in per cent; cleans to per cent."""

    def __init__(
        self,
        *,
        most: int,
        places: int = 0,
        unit: str = "",
        label: str = "",
        required: bool = True,
        help_text: str = "",
    ) -> None:
        super().__init__(
            min_value=0,
            max_value=most,
            decimal_places=places,
            label=label,
            required=required,
            help_text=help_text,
        )
        self.unit = unit
        self.widget = PLAIN(attrs={"inputmode": "decimal", "autocomplete": "off", "data-kind": "percent"})
        self.error_messages["invalid"] = f"Enter a percentage from 0 to {most}."

    def to_python(self, value: object) -> Decimal | None:  # type: ignore[override] # the stubs say whole numbers
        text = str(value).strip().removesuffix("%").strip().replace(",", ".") if value is not None else None
        number = super().to_python(text)
        return number if number is None else Decimal(number)


class SketchForm(forms.Form):
    """Everything that can be changed about one set piece. What was changed comes out as changes to its design."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    piece = forms.IntegerField(widget=forms.HiddenInput)
    again = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(
        self, data: Mapping[str, object] | None = None, *, design: Design, size: tuple[Decimal, Decimal], owned: Owned,
        units: str, fullest: int, names: Mapping[str, object],
    ) -> None:  # fmt: skip
        self.fullest = fullest
        self.design, self.owned, self.units = design, owned, units
        super().__init__(data, initial={"version": names["version"], "piece": names["piece"]}, prefix=None)
        for place, (key, (least, most)) in enumerate(LENGTHS.items()):
            label = key.removesuffix("_m").capitalize()
            field = LengthField(units=units, least=least, most=most, label=label)
            field.widget.attrs |= {
                "class": "ruler-number",
                "data-units": units,
                "data-metres": f"{size[place]:.4f}",
                "data-key": label[0],
            }
            self._add(key, field, size[place])
        self._add_garland(design)
        self._add_palette(design, owned)
        for frame in design.frames:
            self._add_frame(frame, owned)
        self._add_layer(design, owned)
        for place, floral in enumerate(design.florals):
            self._add_floral(place, floral)
        self._add_sign(design, owned)
        self._add_arrangement(design)
        for name, (site_field, present) in site_fields(design.site, units).items():
            self._add(name, site_field, present)
        self._add("loss", PercentField(most=50, places=1, label="Loss"), _percent(design.loss, 1))
        crew = forms.IntegerField(min_value=1, max_value=30, label="People on site")
        self._add("crew", crew, design.rates.crew)
        for name, each in self.fields.items():
            each.widget.attrs.setdefault("id", f"sketch-{name.replace('.', '-')}")

    @property
    def changes(self) -> dict[str, object]:
        """What was changed, by the keys that the design knows; size apart."""
        changed = {name: self._value(name) for name in self.changed_data if name in self.cleaned_data}
        skipped = {"version", "piece", "again", *LENGTHS}
        found = {key: value for key, value in changed.items() if key not in skipped and value is not None}
        for name in ("add_colour", "add_frame"):
            if found.get(name) == "":
                del found[name]
        if self.cleaned_data.get("again"):
            found["seed"] = (self.design.seed + 1) % 2**31
        return found

    @property
    def size(self) -> dict[str, Decimal]:
        """The lengths that were changed."""
        return {key: self.cleaned_data[key] for key in LENGTHS if key in self.changed_data}

    def rows(self, kind: str) -> list[forms.BoundField]:
        """The fields of one kind, such as ``share`` or ``frame``."""
        return [self[name] for name in self.fields if name.partition(".")[0] == kind and "." in name]

    @property
    def frames(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        """Each frame with its cover."""
        return [(self[f"frame.{frame.id}"], self[f"cover.{frame.id}"]) for frame in self.design.frames]

    @property
    def palette(self) -> list[tuple[str, str, forms.BoundField, forms.BoundField]]:
        """Each colour: name, sRGB, its share and what it can be swapped for."""
        return [
            (colour.name, colour.hex, self[f"share.{colour.colour}"], self[f"swap.{colour.colour}"])
            for colour in self.design.palette
        ]

    @property
    def florals(self) -> list[forms.BoundField]:
        """How much of each floral."""
        return self.rows("floral")

    @property
    def sign(self) -> list[forms.BoundField]:
        """Which sign, and what it says."""
        return self.rows("sign")

    @property
    def arrangement(self) -> list[forms.BoundField]:
        """How colours are laid, of how many recipes, and which way round."""
        return [self[name] for name in ("pattern", "bands", "recipes", "mirrored") if name in self.fields]

    @property
    def site(self) -> list[forms.BoundField]:
        """Warmth and height of studio and site, the way in, and wind."""
        return self.rows("site")

    @property
    def site_errors(self) -> bool:
        """Whether something is wrong among the facts of the site."""
        return any(name.startswith("site.") for name in self.errors)

    @property
    def size_errors(self) -> bool:
        """Whether something is wrong with fullness or sizes."""
        return any(name in self.errors for name in ("fullness", "sizes"))

    @property
    def more_errors(self) -> bool:
        """Whether something is wrong among the fields that are folded away."""
        folded = (
            "frame.", "cover.", "floral.", "sign.", "loss", "crew", "pattern", "bands", "recipes", "mirrored",
            "add_frame",
        )  # fmt: skip
        return any(name.startswith(folded) for name in self.errors)

    def as_typed(self) -> dict[str, object]:
        """What an unbound form would send: the present values as they are written in the boxes."""
        return {name: self[name].value() for name in self.fields}

    # Private

    def _add(self, name: str, field: forms.Field, initial: object) -> None:
        self.fields[name] = field
        self.initial[name] = initial

    def _value(self, name: str) -> object:
        value = self.cleaned_data[name]
        if isinstance(self.fields[name], PercentField):
            return float(value) / 100
        if name == "sizes":
            return {int(size) for size in value}
        return float(value) if isinstance(value, Decimal) else value

    def _add_garland(self, design: Design) -> None:
        if not design.garlands:
            return
        garland = design.garlands[0]
        if garland.work == "classic":
            return
        fullness = PercentField(most=round(100 * MOST_FULL), label="Fullness")
        fullness.widget.attrs |= {"data-key": "F", "data-most": str(self.fullest)}
        self._add("fullness", fullness, _percent(garland.fullness, 0))
        body = {entry.size_in for entry in garland.mix if entry.role == "body"}
        sizes = forms.MultipleChoiceField(
            required=False, label="Sizes", choices=[(str(n), f"{n}") for n in SIZES_TO_SWITCH if n not in body],
            widget=forms.CheckboxSelectMultiple,
        )  # fmt: skip
        self._add("sizes", sizes, [str(e.size_in) for e in garland.mix if e.role != "body"])
        self.body_sizes = sorted(body)

    def _add_arrangement(self, design: Design) -> None:
        laid = arranging.pattern_of(design)
        if laid is None:
            return
        zoned = [(ZONED, arranging.ZONE_WORDS)] if laid[0] == ZONED else []
        known = [*arranging.PATTERN_WORDS.items(), *zoned]
        pattern = forms.ChoiceField(choices=known, label=spelled("Colors"))
        self._add("pattern", pattern, laid[0])
        if laid[0] in arranging.COUNTED:
            label = {"bands": "Bands", "clusters": "Clusters", "spiral": "Turns"}[laid[0]]
            bands = forms.IntegerField(min_value=1, max_value=arranging.MOST_BANDS, label=label)
            self._add("bands", bands, laid[1])
        if laid[0] == "scatter" and any(garland.work == "organic" for garland in design.garlands):
            recipes = forms.IntegerField(
                min_value=0, max_value=60, label="Different quads, at most", help_text="0 = automatic"
            )
            self._add("recipes", recipes, design.garlands[0].recipes)
        self._add("mirrored", forms.BooleanField(required=False, label="Mirrored"), design.mirrored)

    def _add_palette(self, design: Design, owned: Owned) -> None:
        present = {colour.colour for colour in design.palette}
        for colour in design.palette:
            share = PercentField(most=100, places=1, label=f"{colour.name}, share")
            self._add(f"share.{colour.colour}", share, _percent(colour.share, 1))
            choices = [(colour.colour, colour.name.lower())]
            choices += [
                (code, name.lower()) for code, (name, _) in owned.colours.items() if code not in present
            ]
            swap = forms.ChoiceField(choices=choices, label=f"Replace {colour.name.lower()}")
            self._add(f"swap.{colour.colour}", swap, colour.colour)
        spare = [(code, name.lower()) for code, (name, _) in owned.colours.items() if code not in present]
        self._add(
            "add_colour",
            forms.ChoiceField(required=False, choices=[("", spelled("add a color")), *spare]),
            "",
        )

    def _add_frame(self, frame: Frame, owned: Owned) -> None:
        sizes = sizes_for(frame, owned)
        choices = [(size.item, size.label) for size in sizes]
        pinned = len(frame.sizes) == 1 < len(sizes) and frame.sizes[0].item in dict(choices)
        stays = arranging.carries(self.design, frame.id)
        gone = [] if stays else [(arranging.TAKEN_AWAY, "remove it")]
        fits = (WHICHEVER_FITS, f"{frame.label}, whichever fits" if not pinned else "whichever fits")
        field = forms.ChoiceField(
            choices=[fits, *choices, *gone], label=f"{frame.id.replace('-', ' ').capitalize()} frame"
        )
        self._add(f"frame.{frame.id}", field, frame.sizes[0].item if pinned else WHICHEVER_FITS)
        stem = f"cover-{frame.item.removeprefix('frame-')}-"
        covers = {code: label for code, (label, _, _) in owned.covers.items() if code.startswith(stem)}
        if frame.cover:
            covers.setdefault(frame.cover.item, frame.cover.label)
        cover = forms.ChoiceField(choices=[(NO_COVER, "no cover"), *covers.items()], label="Its cover")
        self._add(f"cover.{frame.id}", cover, frame.cover.item if frame.cover else NO_COVER)

    def _add_layer(self, design: Design, owned: Owned) -> None:
        known = arranging.layers(owned.frames)
        if known and len(design.frames) < arranging.MOST_FRAMES:
            choices = [("", "none"), *((item, size.label) for item, (_, size) in known.items())]
            field = forms.ChoiceField(required=False, choices=choices, label="Add a frame behind")
            self._add("add_frame", field, "")

    def _add_floral(self, place: int, floral: Floral) -> None:
        if floral.kind == "greenery":
            field = PercentField(most=200, unit="% of the garland", label=f"{floral.label}, along")
            self._add(f"floral.{place}", field, _percent(floral.share, 0))
            return
        spacing = LengthField(
            units=self.units, least=Decimal("0.05"), most=Decimal(30), label=f"{floral.label}, one every"
        )
        self._add(f"floral.{place}", spacing, Decimal(str(round(floral.spacing_m, 4))))

    def _add_sign(self, design: Design, owned: Owned) -> None:
        present = {design.sign.item: design.sign.label} if design.sign else {}
        choices = {**present, **owned.signs}
        if not choices:
            return
        field = forms.ChoiceField(required=False, choices=[("", "no sign"), *choices.items()], label="Sign")
        self._add("sign.item", field, design.sign.item if design.sign else "")
        if design.sign:
            self._add("sign.text", forms.CharField(max_length=60, label="Sign text"), design.sign.text)


@dataclass(frozen=True, slots=True)
class Way:
    """The way to the venue: metres and minutes one way, and round trips."""

    distance_m: int
    drive_minutes: int
    trips: int


class WayForm(forms.Form):
    """How far the venue is and how often the van goes."""

    drive_minutes = forms.IntegerField(min_value=0, max_value=24 * 60, label="Minutes one way")
    trips = forms.IntegerField(min_value=0, max_value=20, label="Round trips")

    def __init__(self, data: Mapping[str, object] | None = None, *, unit: str, initial: Way) -> None:
        self.unit = unit
        metres = METRES_BY_UNIT[unit]
        shown = (Decimal(initial.distance_m) / metres).quantize(Decimal("0.1")).normalize()
        super().__init__(data, initial={**asdict(initial), "distance": f"{shown:f}"})
        most = int(MOST_METRES / metres)
        self.fields["distance"] = forms.DecimalField(
            min_value=0,
            max_value=most,
            label="Miles one way" if unit == "mile" else spelled("Kilometers one way"),
        )
        self.order_fields(["distance", "drive_minutes", "trips"])
        for name, field in self.fields.items():
            field.widget = PLAIN(attrs={"inputmode": "decimal", "autocomplete": "off", "id": f"way-{name}"})

    @property
    def distance_m(self) -> int:
        """Whole metres."""
        metres: Decimal = self.cleaned_data["distance"] * METRES_BY_UNIT[self.unit]
        return round(metres)


class FreeLineForm(forms.Form):
    """A line by hand; a price below nothing is a discount."""

    label = forms.CharField(max_length=120, label="Description")
    quantity = forms.DecimalField(
        min_value=Decimal("0.001"), max_digits=9, decimal_places=3, initial=1, label="Quantity",
        widget=PLAIN(attrs={"inputmode": "decimal"}),
    )  # fmt: skip

    def __init__(
        self, data: Mapping[str, object] | None = None, *, studio: Studio, taxes: Sequence[TaxRate]
    ) -> None:
        super().__init__(data)
        self.fields["unit_price"] = MoneyField(
            currency=studio.currency, locale=studio.locale, least=None, label="Unit price"
        )
        choices = [(tax.pk, str(tax)) for tax in taxes]
        self.fields["tax_id"] = forms.TypedChoiceField(
            coerce=int, choices=choices, required=bool(choices), label="Tax", empty_value=None
        )
        for name, field in self.fields.items():
            field.widget.attrs["id"] = f"line-{name}"


class BudgetForm(forms.Form):
    """What the client wants to pay, tax included."""

    def __init__(self, data: Mapping[str, object] | None = None, *, studio: Studio) -> None:
        super().__init__(data)
        self.fields["budget"] = MoneyField(
            currency=studio.currency, locale=studio.locale, least=Decimal(1), label="Budget, tax included"
        )
        self.fields["budget"].widget.attrs |= {"id": "fit-budget", "data-key": "B"}


# Private


def _percent(share: float, places: int) -> Decimal:
    """A share as it stands in the box: 38 or 38.5. A number, so that what is sent back unchanged reads as unchanged."""
    shown = f"{share * 100:.{places}f}"
    return Decimal(shown.removesuffix(".0") if places else shown)
