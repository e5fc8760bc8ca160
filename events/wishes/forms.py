"""The fields of a client's wishes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from decimal import Decimal

from django import forms

from events.models.wishes import MOST_GUESTS, Source
from events.wishes.wishes import Wished
from studio.models import Studio
from studio.models.spelling import spelled_lazy
from studio.ui.forms import MoneyField


class WishFields:
    """Occasion, guests, colors, budget and source, added to a form."""

    fields: dict[str, forms.Field]

    def add_wishes(self, studio: Studio) -> None:
        """The five fields; the budget in the studio's currency."""
        self.fields["occasion"] = forms.CharField(max_length=80, required=False, label="Occasion")
        self.fields["guests"] = forms.IntegerField(
            min_value=1, max_value=MOST_GUESTS, required=False, label="Number of guests"
        )
        self.fields["colours"] = forms.CharField(
            max_length=200, required=False, label=spelled_lazy("Colors wanted"),
            help_text="In the client's words, such as sage and cream.",
        )  # fmt: skip
        self.fields["budget"] = MoneyField(
            currency=studio.currency, locale=studio.locale, required=False, label="Budget"
        )
        self.fields["source"] = forms.ChoiceField(
            choices=[("", ""), *Source.choices],
            required=False,
            label="Source",
            help_text="How they found you.",
        )

    @staticmethod
    def wished(cleaned: Mapping[str, object]) -> Wished:
        """What was typed."""
        guests, budget = cleaned.get("guests"), cleaned.get("budget")
        return Wished(
            occasion=str(cleaned.get("occasion") or ""),
            guests=guests if isinstance(guests, int) else None,
            colours=str(cleaned.get("colours") or ""),
            budget=budget if isinstance(budget, Decimal) else None,
            source=str(cleaned.get("source") or ""),
        )


class WishesForm(WishFields, forms.Form):
    """A client's wishes by themselves."""

    two_columns = True

    def __init__(
        self, data: Mapping[str, object] | None = None, *, studio: Studio, wished: Wished | None = None
    ) -> None:
        known = asdict(wished) if wished else None
        super().__init__(data, initial=known)
        self.add_wishes(studio)
