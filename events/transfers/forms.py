"""The form that chooses what comes straight from another event."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from events.models import Event
from events.transfers.transfers import Choice
from studio.measures import times


class StraightForm(forms.Form):
    """Which pieces of which event, and how many."""

    which = forms.ChoiceField(label="What and from where")
    quantity = forms.IntegerField(label="How many in all", min_value=1, max_value=10_000, initial=1)
    unwashed = forms.BooleanField(
        label="It may come as it is, neither cleaned nor mended on the way", required=False
    )

    def __init__(self, data: Any = None, *, event: Event, choices: Sequence[Choice]) -> None:
        super().__init__(data)
        self.choices = {choice.key: choice for choice in choices}
        listed = [(choice.key, _words(choice, event)) for choice in choices]
        self.fields["which"].choices = listed  # type: ignore[attr-defined]
        if not any(choice.item.turnaround for choice in choices):
            del self.fields["unwashed"]

    def clean(self) -> dict[str, Any]:
        """No more than can come from there."""
        typed = super().clean() or {}
        choice, quantity = self.choices.get(typed.get("which", "")), typed.get("quantity")
        if choice and quantity and quantity > choice.most:
            who = choice.giver.title
            self.add_error(
                "quantity", f"Up to {choice.most} × {choice.item.name} can come straight from {who}."
            )
        return typed

    def asked(self) -> dict[str, Any]:
        """What was chosen, for :func:`events.transfers.transfers.choose`."""
        giver, _, code = self.cleaned_data["which"].partition(":")
        return {
            "giver_id": int(giver),
            "code": code,
            "quantity": self.cleaned_data["quantity"],
            "unwashed": self.cleaned_data.get("unwashed", False),
        }


# --- Private ---


def _words(choice: Choice, event: Event) -> str:
    there = choice.there_at.astimezone(event.tz)
    late = ", after the crew comes in" if choice.is_late else ""
    unwashed = ", as it is" if choice.item.turnaround else ""
    now = f", now {choice.now}" if choice.now else ""
    when = f"{times.day_written(there)}, {times.time_written(there)}"
    what = f"{choice.item.name} from {choice.giver.title}"
    return f"{what}: up to {choice.most}{now}, there by {when}{late}{unwashed}"
