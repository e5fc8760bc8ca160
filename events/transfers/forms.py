"""The form that chooses a transfer from another event."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django import forms

from events.models import Event
from events.transfers.choices import TransferChoice
from studio.models import dates
from studio.ui.field_layout import set_choices


@dataclass(frozen=True, slots=True)
class WantedTransfer:
    """The transfer that somebody chose."""

    giver_id: int
    code: str
    quantity: int
    unwashed: bool


class TransferForm(forms.Form):
    """Which items of which event, and how many."""

    which = forms.ChoiceField(label="Item and event")
    quantity = forms.IntegerField(label="How many in all", min_value=1, max_value=10_000, initial=1)
    unwashed = forms.BooleanField(label="Take it without cleaning or repair in between", required=False)

    def __init__(
        self, data: Mapping[str, str] | None = None, *, event: Event, choices: Sequence[TransferChoice]
    ) -> None:
        super().__init__(data)
        self.choices = {choice.key: choice for choice in choices}
        set_choices(self.fields["which"], [(choice.key, _words(choice, event)) for choice in choices])
        if not any(choice.item.turnaround for choice in choices):
            del self.fields["unwashed"]

    def clean(self) -> None:
        """Refuse more than the other event can release."""
        super().clean()
        typed = self.cleaned_data
        choice, quantity = self.choices.get(typed.get("which", "")), typed.get("quantity")
        if choice and quantity and quantity > choice.most:
            what, whose = choice.item.name, choice.giver.title
            self.add_error("quantity", f"At most {choice.most} × {what} can be transferred from {whose}.")

    def wanted(self) -> WantedTransfer:
        """What was chosen, once the form is valid."""
        choice, typed = self.choices[self.cleaned_data["which"]], self.cleaned_data
        return WantedTransfer(
            choice.giver.pk, choice.item.code, typed["quantity"], typed.get("unwashed", False)
        )


# --- Private ---


def _words(choice: TransferChoice, event: Event) -> str:
    there = choice.arrives_at.astimezone(event.tz)
    late = ", after the crew has access" if choice.is_late else ""
    unwashed = ", without cleaning" if choice.item.turnaround else ""
    now = f", now {choice.now}" if choice.now else ""
    when = dates.moment_written(there)
    what = f"{choice.item.name} from {choice.giver.title}"
    return f"{what}: up to {choice.most}{now}, there by {when}{late}{unwashed}"
