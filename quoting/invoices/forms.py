"""The forms of the invoice pages: a payment, money paid back, a credit note, a further invoice."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Final

from django import forms

from quoting.invoices.called_off import refund_faults
from quoting.invoices.settling import today_at
from quoting.models import PaidBy, PaymentChoice, PaymentDecision
from quoting.pricing.instalments import Part
from studio.models import Studio
from studio.ui.forms import DayField, MoneyField

BALANCE: Final = "balance"
INSTALMENT: Final = "instalment"


class KeyedForm(forms.Form):
    """A form that carries a key of its own: sent twice, it is one deed."""

    key = forms.CharField(max_length=40, widget=forms.HiddenInput)

    def __init__(self, data: Mapping[str, str] | None = None, *, initial: dict[str, object]) -> None:
        super().__init__(data, initial=initial)
        self.initial.setdefault("key", secrets.token_hex(12))
        for name, each in self.fields.items():
            each.widget.attrs["id"] = f"{type(self).__name__.lower()}-{name}"

    def _money(
        self, name: str, studio: Studio, *, label: str, help_text: str = "", required: bool = True
    ) -> None:
        field = MoneyField(
            currency=studio.currency,
            locale=studio.locale,
            label=label,
            help_text=help_text,
            required=required,
        )
        field.widget.attrs["id"] = f"{type(self).__name__.lower()}-{name}"
        self.fields[name] = field


class PaymentForm(KeyedForm):
    """Money that came in, or went back."""

    received_on = DayField(label="On")
    paid_by = forms.ChoiceField(choices=lambda: [(way.value, way.in_words()) for way in PaidBy], label="How")
    words = forms.CharField(max_length=200, required=False, label="Note", help_text="Printed on the receipt.")

    def __init__(
        self, data: Mapping[str, str] | None = None, *, studio: Studio, today: date, amount: Decimal
    ) -> None:
        super().__init__(data, initial={"received_on": today, "amount": amount})
        self._money("amount", studio, label="Amount")
        self.order_fields(["key", "amount", "received_on", "paid_by", "words"])


class PayBackForm(PaymentForm):
    """Money that went back to the client."""


class CreditForm(KeyedForm):
    """What is taken back of an invoice, and why."""

    words = forms.CharField(
        max_length=400, required=False, label="Why", help_text="Printed on the credit note."
    )

    def __init__(
        self, data: Mapping[str, str] | None = None, *, studio: Studio, amount: Decimal = Decimal(0)
    ) -> None:
        super().__init__(data, initial={"amount": amount or None})
        self._money("amount", studio, label="Amount, with tax")
        self.order_fields(["key", "amount", "words"])


class SettleForm(KeyedForm):
    """What happens with what was paid for an event that was called off."""

    choice = forms.ChoiceField(
        choices=PaymentChoice.choices,
        widget=forms.RadioSelect,
        label="What was paid",
        error_messages={"required": "Choose what happens with what was paid."},
    )
    words = forms.CharField(
        max_length=400,
        label="Reason",
        help_text="Printed on the credit note. Not needed for a new date.",
        error_messages={"required": "Enter a reason. It is printed on the credit note."},
    )

    def __init__(
        self,
        data: Mapping[str, str] | None = None,
        *,
        studio: Studio,
        kept: Decimal,
        decision: PaymentDecision | None = None,
    ) -> None:
        initial: dict[str, object] = {"refund": kept}
        if decision:
            initial |= {"choice": decision.choice, "words": decision.words}
        super().__init__(data, initial=initial)
        self.kept = kept
        self._money("refund", studio, label="Refund", help_text="Only counts if you refund.")
        self.order_fields(["key", "choice", "refund", "words"])

    def clean(self) -> dict[str, object]:
        """A refund has its amount; what is kept refunds nothing, and a new date needs no reason."""
        cleaned = super().clean() or self.cleaned_data
        if cleaned.get("choice") == PaymentChoice.MOVE:
            cleaned["words"] = ""
            self.errors.pop("words", None)
        if cleaned.get("choice") != PaymentChoice.REFUND:
            cleaned["refund"] = Decimal(0)
            self.errors.pop("refund", None)
        elif "refund" not in self.errors and not cleaned.get("refund"):
            self.add_error("refund", "Enter how much you refund.")
        if cleaned.get("choice") == PaymentChoice.REFUND and "refund" in cleaned:
            self._add_faults(cleaned["refund"], cleaned.get("words", ""))
        return cleaned

    def _add_faults(self, refund: Decimal, words: str) -> None:
        """What the refund would be refused for, at once with what was left empty."""
        for field, fault in refund_faults(refund, self.kept, words).items():
            if field not in self.errors:
                self.add_error(field, fault)


class FurtherInvoiceForm(KeyedForm):
    """The balance of an offer, or one more part of it."""

    kind = forms.ChoiceField(
        choices=[(BALANCE, "The balance"), (INSTALMENT, "Part of it")],
        widget=forms.RadioSelect,
        label="What",
        initial=BALANCE,
    )
    due_on = DayField(label="Due")
    label = forms.CharField(max_length=80, required=False, label="Called", initial="Instalment")
    bill_to = forms.CharField(
        max_length=400, required=False, label="Address",
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Printed below the client's name; some countries require it.",
    )  # fmt: skip

    def __init__(
        self,
        data: Mapping[str, str] | None = None,
        *,
        studio: Studio,
        due_on: date,
        bill_to: str = "",
        planned: tuple[str, Part] | None = None,
    ) -> None:
        initial: dict[str, object] = {"due_on": due_on, "bill_to": bill_to}
        if planned:
            label, part = planned
            initial |= {"kind": INSTALMENT, "label": label, "amount": part.amount}
            initial["due_on"] = max(part.due_on, today_at(studio))
        super().__init__(data, initial=initial)
        self._money("amount", studio, required=False, label="Amount of the part, with tax")
        self.order_fields(["key", "kind", "amount", "label", "due_on", "bill_to"])

    def clean(self) -> dict[str, object]:
        """A part needs its amount and its name."""
        cleaned = super().clean() or self.cleaned_data
        if cleaned.get("kind") == INSTALMENT:
            if "amount" in cleaned and not cleaned["amount"]:
                self.add_error("amount", "Enter the amount of this part.")
            if not cleaned.get("label", "").strip():
                self.add_error("label", "Enter a name for this part, such as “Second instalment”.")
        return cleaned
