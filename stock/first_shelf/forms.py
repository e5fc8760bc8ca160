"""The forms of the first shelf: what is there, and the costs that nobody has checked yet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError
from django.utils.html import format_html

from stock.catalogue.items import cost_field
from stock.first_shelf import usual
from stock.first_shelf.setting_up import Owned
from stock.first_shelf.usual import UsualThing
from stock.models import Item, Kind
from studio.models import Studio
from studio.models.spelling import spelled
from studio.templatetags.studio_look import swatch
from studio.ui.field_layout import lay_out
from studio.ui.forms import MoneyField

Data = Mapping[str, object] | None
MOST_OF_ONE = 10_000
GROUPS = (
    (Kind.FRAME, "Frames"),
    (Kind.FLORAL, "Florals"),
    (Kind.PROP, "Props"),
    (Kind.HARDWARE, "Hardware"),
    (Kind.TOOL, "Tools"),
)


class OwnedForm(forms.Form):
    """How many of each usual thing there are; sizes and colors of latex, colors of covers."""

    def __init__(self, data: Data = None, *, studio: Studio) -> None:
        super().__init__(data)
        colours = [
            (each.code, format_html("{}{}", swatch(each.hex), spelled(each.name))) for each in usual.COLOURS
        ]
        self.groups = [
            (
                name,
                [(thing, self._add_count(thing, studio)) for thing in usual.things() if thing.kind == kind],
            )
            for kind, name in GROUPS
        ]
        self.fields["sizes"] = forms.TypedMultipleChoiceField(
            label="Sizes of latex",
            choices=[(each.size_in, f"{each.size_in} in, bags of {each.bag}") for each in usual.SIZES],
            coerce=int,
            required=False,
            widget=forms.CheckboxSelectMultiple,
        )
        self.fields["colours"] = forms.MultipleChoiceField(
            label=spelled("Colors of latex"),
            choices=colours,
            required=False,
            widget=forms.CheckboxSelectMultiple,
        )
        self.fields["bags"] = forms.IntegerField(
            label="Bags of each that are here now", min_value=0, max_value=1_000, required=False
        )
        self.fields["cover_colours"] = forms.MultipleChoiceField(
            label=spelled("Colors of covers"),
            help_text="A cover in each for every frame above that takes one.",
            choices=colours,
            required=False,
            widget=forms.CheckboxSelectMultiple,
        )

    @classmethod
    def of_a_small_studio(cls, studio: Studio) -> OwnedForm:
        """Filled in with what a studio of two people starts with, to be changed before it is added."""
        form = cls(studio=studio)
        counts = {f"count-{thing.code}": thing.small for thing in usual.things() if thing.small is not None}
        form.initial = {**counts, **usual.SMALL_STUDIO}
        return form

    def _add_count(self, thing: UsualThing, studio: Studio) -> str:
        name = f"count-{thing.code}"
        self.fields[name] = forms.IntegerField(
            label=thing.named(studio.units), min_value=0, max_value=MOST_OF_ONE, required=False
        )
        self.fields[name].widget.attrs["inputmode"] = "numeric"
        lay_out(self.fields[name], unmarked=True)
        return name

    def rows(self) -> list[tuple[str, list[forms.BoundField]]]:
        """The fields of each group with its heading."""
        return [(name, [self[field] for _, field in fields]) for name, fields in self.groups]

    def clean(self) -> dict[str, object]:
        """Latex has sizes and colors, or neither; covers belong to frames."""
        cleaned = super().clean() or self.cleaned_data
        covered = [f"count-{thing.code}" for thing in usual.things() if thing.cover_cost is not None]
        if cleaned.get("cover_colours") and all(cleaned.get(name) is None for name in covered):
            self.add_error("cover_colours", "Enter how many frames you have: covers are added for them.")
        if cleaned.get("sizes") and not cleaned.get("colours"):
            self.add_error("colours", spelled("Tick the colors that you have."))
        if cleaned.get("colours") and not cleaned.get("sizes"):
            self.add_error("sizes", "Tick the sizes that you have.")
        return cleaned

    def owned(self) -> Owned:
        """What was said, once the form is valid. A thing is taken where a number stands, be it 0."""
        said = self.cleaned_data
        counted = {thing.code: said[field] for _, fields in self.groups for thing, field in fields}
        return Owned(
            things={code: count for code, count in counted.items() if count is not None},
            colours=tuple(said["colours"]),
            sizes=tuple(said["sizes"]),
            bags=said["bags"] or 0,
            cover_colours=tuple(said["cover_colours"]),
        )


class CostsForm(forms.Form):
    """A cost for each item that has a usual one; what is left empty stays to be checked.

    What differs in nothing but its color and costs the same has one field.
    """

    def __init__(self, data: Data = None, *, items: Sequence[Item], studio: Studio) -> None:
        super().__init__(data)
        self.groups = _alike(items)
        for name, group in self.groups.items():
            field = MoneyField(
                currency=studio.currency, locale=studio.locale, required=False, label=_label(group)
            )
            field.initial = _cost(group[0])
            lay_out(field, unmarked=True)
            self.fields[f"cost-{name}"] = field
            self.fields[f"checked-{name}"] = forms.BooleanField(label="Checked", required=False)

    def rows(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        """The two fields of each group."""
        return [(self[f"cost-{name}"], self[f"checked-{name}"]) for name in self.groups]

    def clean(self) -> dict[str, object]:
        """What is checked has a cost."""
        cleaned = super().clean() or self.cleaned_data
        for name in self.groups:
            cost = f"cost-{name}"
            if cleaned.get(f"checked-{name}") and cleaned.get(cost) is None and cost not in self.errors:
                self.add_error(cost, ValidationError("Enter what it costs."))
        return cleaned

    def checked(self, *, every: bool = False) -> dict[int, Decimal]:
        """Costs by the item's id, of those that are checked or were changed, or of every one that has a cost."""
        said, costs = self.cleaned_data, dict[int, Decimal]()
        for name, group in self.groups.items():
            cost = said[f"cost-{name}"]
            if cost is not None and (every or said[f"checked-{name}"] or cost != _cost(group[0])):
                costs |= {item.pk: cost for item in group}
        return costs


# Private


def _alike(items: Sequence[Item]) -> dict[int, list[Item]]:
    """The items in groups that differ in nothing but their color, by the id of each group's first."""
    groups: dict[tuple[object, ...], list[Item]] = {}
    for item in items:
        coloured = item.kind in (Kind.LATEX, Kind.TWISTING, Kind.COVER)
        likeness = (item.size_in, item.bag_size, item.fits_frame_id) if coloured else (item.pk,)
        groups.setdefault((item.kind, _cost(item), *likeness), []).append(item)
    return {group[0].pk: group for group in groups.values()}


def _cost(item: Item) -> Decimal | None:
    cost: Decimal | None = getattr(item, cost_field(item))
    return cost


def _label(group: Sequence[Item]) -> str:
    item, several = group[0], len(group) > 1
    colours = spelled(f", {len(group)} colors") if several else ""
    name = item.name
    if several and item.kind == Kind.LATEX:
        name = f"Latex {item.size_in} in"
    elif several and item.kind == Kind.TWISTING:
        name = "260s"
    elif several and item.kind == Kind.COVER:
        name = item.name.rpartition(", ")[0]
    bag = f", a bag of {item.bag_size}" if cost_field(item) == "bag_price" else ""
    return f"{name}{bag}{colours}"
