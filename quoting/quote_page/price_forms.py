"""The small forms beside the tape: rush and discount, and one line's price by hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from django import forms

from quoting.models import ClientView, Quote, Rates
from quoting.pricing import instalments
from quoting.pricing.tape import TapeLine
from quoting.quote_page.percent_field import PercentField
from studio.models import Studio
from studio.models.spelling import spelled
from studio.money import amounts
from studio.ui.forms import DayField, MoneyField

LONGEST_REASON = 120
ROWS = 3
"""Instalments that the form has room for."""


class AdjustForm(forms.Form):
    """What is put on or taken off the whole quote."""

    rush_percent = PercentField(most=300, unit="%", places=2, label="Rush", required=False)
    discount_percent = PercentField(most=100, unit="%", places=2, label="Discount in percent", required=False)

    def __init__(
        self,
        data: Mapping[str, object] | None = None,
        *,
        quote: Quote,
        studio: Studio,
        usual_rush: Decimal = Decimal(0),
    ) -> None:
        super().__init__(
            data,
            initial={
                "rush_percent": _shown(quote.rush_percent),
                "discount_percent": _shown(quote.discount_percent),
                "discount_amount": quote.discount_amount or None,
                "reason": quote.discount_reason,
            },
        )
        self.fields["discount_amount"] = MoneyField(
            currency=studio.currency, locale=studio.locale, required=False, label="or as an amount"
        )
        self.fields["reason"] = forms.CharField(
            max_length=LONGEST_REASON, required=False, label="Reason", help_text="Only the studio sees it."
        )
        if usual_rush:
            self.fields["rush_percent"].help_text = f"Usually {usual_rush.normalize():f} %."
        for name, each in self.fields.items():
            each.widget.attrs["id"] = f"adjust-{name}"

    def clean(self) -> dict[str, object]:
        """What is left empty is nothing."""
        cleaned: dict[str, object] = super().clean() or self.cleaned_data
        for name in ("rush_percent", "discount_percent", "discount_amount"):
            if name in cleaned:
                cleaned[name] = cleaned[name] or Decimal(0)
        return cleaned


class PaymentPlanForm(forms.Form):
    """Deposit and instalments of one quote, the day of each, and how much of the price its client sees."""

    def __init__(
        self, data: Mapping[str, object] | None = None, *, quote: Quote, studio: Studio, rates: Rates
    ) -> None:
        known = instalments.read(quote.instalments)
        initial: dict[str, object] = {
            "deposit_percent": None
            if quote.deposit_percent is None
            else _shown(quote.deposit_percent) or "0",
            "deposit_amount": quote.deposit_amount,
            "client_view": quote.client_view,
        }
        for place, one in enumerate(known, start=1):
            initial |= {f"percent_{place}": _shown(one.percent), f"due_on_{place}": one.due_on}
        super().__init__(data, initial=initial)
        usual = f"{studio.deposit_percent.normalize():f} %"
        if rates.deposit_amount is not None:
            usual = amounts.written(rates.deposit_amount, studio.currency, studio.locale)
        self.fields["deposit_percent"] = PercentField(
            most=100,
            places=2,
            required=False,
            label="Deposit",
            help_text=f"Leave empty for your usual {usual}.",
        )
        self.fields["deposit_amount"] = MoneyField(
            currency=studio.currency, locale=studio.locale, required=False, label="or as an amount"
        )
        self.fields["client_view"] = forms.ChoiceField(
            choices=[("", f"as usual: {spelled(ClientView(rates.client_view).label)}")]
            + [(value, spelled(label)) for value, label in ClientView.choices],
            required=False,
            label="The client sees",
        )
        for place in range(1, ROWS + 1):
            self.fields[f"percent_{place}"] = PercentField(
                most=100, unit="%", places=2, required=False, label=f"Instalment {place}"
            )
            self.fields[f"due_on_{place}"] = DayField(required=False, label="by")
        for name, each in self.fields.items():
            each.widget.attrs["id"] = f"plan-{name}"

    def clean(self) -> dict[str, object]:
        """An instalment has a share and a day, or neither."""
        cleaned: dict[str, object] = super().clean() or self.cleaned_data
        for place in range(1, ROWS + 1):
            share, day = cleaned.get(f"percent_{place}"), cleaned.get(f"due_on_{place}")
            if share and not day and f"due_on_{place}" not in self.errors:
                self.add_error(f"due_on_{place}", "Enter the due date.")
            if day and not share and f"percent_{place}" not in self.errors:
                self.add_error(f"percent_{place}", "Enter the percentage.")
        return cleaned

    @property
    def instalments(self) -> list[instalments.Instalment]:
        """Those that were filled in."""
        said = self.cleaned_data
        return [
            instalments.Instalment(said[f"percent_{place}"], said[f"due_on_{place}"])
            for place in range(1, ROWS + 1)
            if said[f"percent_{place}"]
        ]


class ByHandForm(forms.Form):
    """One line, its price, and why."""

    def __init__(
        self, data: Mapping[str, object] | None = None, *, lines: Sequence[TapeLine], studio: Studio
    ) -> None:
        super().__init__(data, auto_id="id_by_hand_%s")
        choices = [(line.key, line.label) for line in lines if line.key]
        self.fields["key"] = forms.ChoiceField(choices=choices, label="Line")
        self.fields["amount"] = MoneyField(
            currency=studio.currency, locale=studio.locale, required=False, label="Price"
        )
        self.fields["reason"] = forms.CharField(
            max_length=LONGEST_REASON, required=False, label="Reason", help_text="Only the studio sees it."
        )
        for name, each in self.fields.items():
            each.widget.attrs["id"] = f"by-hand-{name}"


# Private


def _shown(percent: Decimal) -> str:
    return f"{percent.normalize():f}" if percent else ""
