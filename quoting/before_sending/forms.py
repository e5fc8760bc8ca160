"""The forms of what is open before an offer goes out: a field for each point, and the owner's word."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError

from quoting.before_sending.open_points import RATE_OF, Matter, OpenPoint, Word
from quoting.before_sending.presenter import HOURS, groups
from quoting.before_sending.settling import Cost, NewTax, Settled
from quoting.pricing.instalments import Instalment
from stock.catalogue.items import cost_field
from stock.models import Item
from studio.models import Studio, TaxRate
from studio.ui.field_layout import lay_out
from studio.ui.forms import DayField, MoneyField

Data = Mapping[str, object] | None
LONGEST_REASON = 200


class CostForm(forms.Form):
    """What one thing costs, and how often it is used if it comes back."""

    def __init__(self, data: Data = None, *, point: OpenPoint, item: Item | None, studio: Studio) -> None:
        super().__init__(data, prefix=f"cost-{point.code}")
        self.point = point
        bag = item.bag_size if item and cost_field(item) == "bag_price" else 0
        self.fields["cost"] = MoneyField(
            currency=studio.currency,
            locale=studio.locale,
            required=False,
            label=f"A bag of {bag}" if bag else "One costs",
        )
        if item and item.is_reusable:
            self.fields["uses"] = forms.IntegerField(
                label="Uses",
                min_value=1,
                max_value=100_000,
                required=False,
                help_text=f"Empty: {studio.usual_uses}.",
            )
        for each in self.fields.values():
            lay_out(each, unmarked=True)

    @property
    def cost(self) -> Cost | None:
        """What was typed, if anything was."""
        amount: Decimal | None = self.cleaned_data.get("cost")
        return None if amount is None else Cost(amount, self.cleaned_data.get("uses"))


class RateForm(forms.Form):
    """What an hour of one phase costs."""

    def __init__(self, data: Data = None, *, point: OpenPoint, studio: Studio) -> None:
        super().__init__(data, prefix=f"hour-{point.code}")
        self.point = point
        self.fields["hour"] = MoneyField(
            currency=studio.currency,
            locale=studio.locale,
            required=False,
            label=f"An hour of {HOURS[point.code]}",
        )
        lay_out(self.fields["hour"], unmarked=True)


class TaxForm(forms.Form):
    """The tax that every line carries, unless it says otherwise."""

    name = forms.CharField(label="Name", max_length=40, required=False, help_text="Such as Sales tax or VAT.")
    percent = forms.DecimalField(
        label="Percent",
        min_value=0,
        max_value=100,
        max_digits=6,
        decimal_places=3,
        required=False,
        help_text="0 if you charge none.",
    )

    def __init__(self, data: Data = None) -> None:
        super().__init__(data, prefix="tax")
        lay_out(self.fields["percent"], unit="%")
        for each in self.fields.values():
            lay_out(each, unmarked=True)

    def clean(self) -> dict[str, object]:
        """A tax has a name and a rate, or neither."""
        cleaned = super().clean() or self.cleaned_data
        name, percent = str(cleaned.get("name") or "").strip(), cleaned.get("percent")
        if name and percent is None and "percent" not in self.errors:
            self.add_error("percent", "Enter the rate.")
        if percent is not None and not name:
            self.add_error("name", "Enter the name.")
        if name and TaxRate.objects.filter(name__iexact=name, retired_at=None).exists():
            self.add_error("name", f"You already have a tax called {name}.")
        return cleaned

    @property
    def tax(self) -> NewTax | None:
        """What was typed, if anything was."""
        name, percent = str(self.cleaned_data["name"]).strip(), self.cleaned_data["percent"]
        return NewTax(name, percent) if name else None


class DayForm(forms.Form):
    """A new day for an instalment that is due already."""

    day = DayField(required=False)

    def __init__(self, data: Data = None, *, point: OpenPoint, share: Decimal, today: date) -> None:
        super().__init__(data, prefix=f"day-{point.code}")
        self.point, self.today = point, today
        self.fields["day"].label = f"New day for {share.normalize():f} %"
        lay_out(self.fields["day"], unmarked=True)

    def clean_day(self) -> date | None:
        """A day to come."""
        day: date | None = self.cleaned_data["day"]
        if day and day <= self.today:
            raise ValidationError("Choose a day after today.")
        return day


class SettleForms:
    """A form for each open point that has a field."""

    def __init__(
        self,
        data: Data = None,
        *,
        points: Sequence[OpenPoint],
        items: Mapping[str, Item],
        planned: frozenset[str],
        instalments: Sequence[Instalment],
        studio: Studio,
        today: date,
    ) -> None:
        shares = {one.due_on: one.percent for one in instalments}
        self.costs = [
            CostForm(data, point=each, item=items.get(each.code), studio=studio)
            for each in points
            if each.matter == Matter.COST and (each.code in items or each.code in planned)
        ]
        self.hours = [
            RateForm(data, point=each, studio=studio) for each in points if each.matter == Matter.HOURS
        ]
        self.tax = TaxForm(data) if any(each.matter == Matter.TAX for each in points) else None
        self.days = [
            DayForm(data, point=each, share=shares[each.due_on], today=today)
            for each in points
            if each.matter == Matter.INSTALMENT and each.due_on
        ]

    @property
    def all(self) -> list[forms.Form]:
        """Every form, in the order of the page."""
        return [*self.costs, *self.hours, *([self.tax] if self.tax else []), *self.days]

    def is_valid(self) -> bool:
        """Whether every form is; each is asked, so that each shows its fault."""
        valid = [each.is_valid() for each in self.all]
        return all(valid)

    def of(self, matter: Matter) -> list[forms.Form]:
        """The forms of one matter."""
        taxes: list[forms.Form] = [self.tax] if self.tax else []
        by_matter: dict[Matter, list[forms.Form]] = {
            Matter.COST: [*self.costs], Matter.HOURS: [*self.hours], Matter.TAX: taxes, Matter.INSTALMENT: [*self.days],
        }  # fmt: skip
        return by_matter.get(matter, [])

    def settled(self) -> Settled:
        """What was filled in, once the forms are valid."""
        return Settled(
            costs={each.point.code: each.cost for each in self.costs if each.cost},
            rates={
                RATE_OF[each.point.code]: each.cleaned_data["hour"]
                for each in self.hours
                if each.cleaned_data["hour"] is not None
            },
            tax=self.tax.tax if self.tax else None,
            days={
                each.point.due_on: each.cleaned_data["day"]
                for each in self.days
                if each.point.due_on and each.cleaned_data["day"]
            },
        )


class WordForm(forms.Form):
    """The owner's word: which matters stand as they are, and why."""

    reason = forms.CharField(
        label="Reason",
        max_length=LONGEST_REASON,
        required=False,
        help_text="Only the studio sees it. It stays with the offer.",
    )
    seen = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, data: Data = None, *, points: Sequence[OpenPoint]) -> None:
        super().__init__(data, initial={"seen": " ".join(each.key for each in points)})
        self.points = points
        self.boxes = groups(points, sees_margin=True)
        for group in self.boxes:
            self.fields[group.matter.value] = forms.BooleanField(label=group.stands, required=False)
        self.order_fields([*(group.matter.value for group in self.boxes), "reason", "seen"])
        lay_out(self.fields["reason"], unmarked=True)

    def word(self) -> Word:
        """The word given for the points that the page showed and that were ticked. Call it on a valid form."""
        seen = set(str(self.cleaned_data["seen"]).split())
        ticked = {each for each in self.points if self.cleaned_data.get(each.matter.value)}
        return Word(
            frozenset(each.key for each in ticked if each.key in seen), str(self.cleaned_data["reason"])
        )
