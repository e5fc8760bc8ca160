"""The forms of the quote page. Fields are named by the keys of :func:`quoting.set_pieces.alter.altered`."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import asdict, dataclass
from decimal import Decimal
from typing import Final

from django import forms

from quoting.pricing.inputs import METRES_BY_UNIT
from quoting.quote_page.percent_field import PercentField
from quoting.quote_page.sketch_fields import LENGTHS, PARTS, Sketched
from studio.models import Studio, TaxRate
from studio.models.spelling import spelled
from studio.ui.forms import MoneyField

MOST_METRES: Final = 2_000_000
PLAIN: Final = forms.TextInput


class SketchForm(forms.Form):
    """Everything that can be changed about one set piece. What was changed comes out as changes to its design."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    piece = forms.IntegerField(widget=forms.HiddenInput)
    again = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(
        self,
        data: Mapping[str, object] | None = None,
        *,
        made: Sketched,
        names: Mapping[str, object],
        parts: Collection[str] = tuple(PARTS),
    ) -> None:
        self.design = made.design
        super().__init__(data, initial={"version": names["version"], "piece": names["piece"]}, prefix=None)
        for part in parts:
            for name, (field, present) in PARTS[part].fields(*PARTS[part].made_from(made)).items():
                field.widget.attrs.setdefault("id", f"sketch-{name.replace('.', '-')}")
                self.fields[name], self.initial[name] = field, present

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
    def body_sizes(self) -> list[int]:
        """The sizes of the quads themselves, which stay."""
        garland = self.design.garlands[0]
        return sorted({entry.size_in for entry in garland.mix if entry.role == "body"})

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

    def _value(self, name: str) -> object:
        value = self.cleaned_data[name]
        if isinstance(self.fields[name], PercentField):
            return float(value) / 100
        if name == "sizes":
            return {int(size) for size in value}
        return float(value) if isinstance(value, Decimal) else value


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

    def __init__(
        self,
        data: Mapping[str, object] | None = None,
        *,
        unit: str,
        initial: Way,
        by_distance: bool = False,
    ) -> None:
        self.unit, self.by_distance = unit, by_distance
        metres = METRES_BY_UNIT[unit]
        shown = (Decimal(initial.distance_m) / metres).quantize(Decimal("0.1")).normalize()
        super().__init__(data, initial={**asdict(initial), "distance": f"{shown:f}"})
        most = int(MOST_METRES / metres)
        self.fields["distance"] = forms.DecimalField(
            min_value=0,
            max_value=most,
            label="Miles one way" if unit == "mile" else spelled("Kilometers one way"),
        )
        if by_distance:
            self.fields["distance"].help_text = "Sets the delivery price."
        self.order_fields(["distance", "drive_minutes", "trips"])
        for name, field in self.fields.items():
            field.widget = PLAIN(attrs={"inputmode": "decimal", "autocomplete": "off", "id": f"way-{name}"})

    def clean(self) -> dict[str, object]:
        """Where delivery is priced by distance, a van that goes needs one."""
        cleaned: dict[str, object] = super().clean() or self.cleaned_data
        if self.by_distance and cleaned.get("trips") and cleaned.get("distance") == 0:
            self.add_error(
                "distance",
                "Enter how far it is: your delivery price depends on it. No delivery: 0 round trips.",
            )
        return cleaned

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
