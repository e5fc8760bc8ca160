"""Forms of crew, vans and rules."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Final

from django import forms

from events.crew.people import CrewPerson
from events.models import Skill, Van, WorkRules
from studio.models import Studio
from studio.ui.field_layout import lay_out
from studio.ui.forms import ClockField, DayField, LengthField, MoneyField

WEEKDAYS: Final = (
    ("0", "Mon"), ("1", "Tue"), ("2", "Wed"), ("3", "Thu"), ("4", "Fri"), ("5", "Sat"), ("6", "Sun"),
)  # fmt: skip


UNITS: Final = {"hours": "h", "minutes": "min", "people": "people"}


class MemberForm(forms.Form):
    """Somebody as crew."""

    is_called = forms.BooleanField(required=False, label="Can be called for events")
    skills = forms.MultipleChoiceField(
        required=False, choices=[(skill.value, skill.label) for skill in Skill], label="Skills",
        widget=forms.CheckboxSelectMultiple,
    )  # fmt: skip
    weekdays = forms.MultipleChoiceField(
        choices=WEEKDAYS, label="Works on", widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Tick at least one day, or untick “can be called”."},
    )  # fmt: skip
    from_time = ClockField(required=False, label="Works from", help_text="Empty: at any time of day.")
    to_time = ClockField(required=False, label="Works until")

    def __init__(
        self, data: Mapping[str, str] | None = None, *, who: CrewPerson, studio: Studio, sees_pay: bool
    ) -> None:
        member = who.member
        initial = {
            "is_called": member.is_called,
            "skills": [skill.value for skill in member.skills],
            "weekdays": [str(day) for day in range(7) if member.weekdays[day] == "1"],
            "from_time": member.from_time,
            "to_time": member.to_time,
            "pay_an_hour": member.pay_an_hour,
        }
        super().__init__(data, initial=initial)
        if sees_pay:
            self.fields["pay_an_hour"] = MoneyField(
                currency=studio.currency, locale=studio.locale, required=False, label="Pay an hour",
                help_text="Owners see this, nobody else.",
            )  # fmt: skip

    def facts(self) -> dict[str, object]:
        """What was typed, as columns of a crew member."""
        typed = self.cleaned_data
        facts = {
            "is_called": typed["is_called"],
            "weekdays": "".join("1" if str(day) in typed["weekdays"] else "0" for day in range(7)),
            "from_time": typed["from_time"],
            "to_time": typed["to_time"],
            **{skill.value: skill.value in typed["skills"] for skill in Skill},
        }
        return facts | ({"pay_an_hour": typed["pay_an_hour"]} if "pay_an_hour" in self.fields else {})


class DaysOffForm(forms.Form):
    """Days on which somebody can't be called."""

    first_day = DayField(label="From")
    last_day = DayField(label="Until, that day included", required=False)
    why = forms.CharField(max_length=120, required=False, label="Why")

    def clean(self) -> dict[str, object]:
        """One day where no last one is given."""
        cleaned = super().clean() or self.cleaned_data
        if cleaned.get("first_day") and not cleaned.get("last_day") and "last_day" not in self.errors:
            cleaned["last_day"] = cleaned["first_day"]
        return cleaned


class VanForm(forms.Form):
    """A van."""

    name = forms.CharField(max_length=60, label="Name")
    seats = forms.IntegerField(min_value=1, max_value=60, initial=3, label="Seats")
    load_m3 = forms.DecimalField(
        required=False, min_value=Decimal("0.01"), max_value=200, decimal_places=2, label="Load space"
    )
    is_in_use = forms.BooleanField(required=False, initial=True, label="In use")
    field_order = ("name", "seats", "load_m3", "longest_m", "is_in_use")

    def __init__(
        self, data: Mapping[str, str] | None = None, *, studio: Studio, van: Van | None = None
    ) -> None:
        super().__init__(data, initial={name: getattr(van, name) for name in self.field_order} if van else {})
        self.fields["longest_m"] = LengthField(
            units=studio.units, least=Decimal("0.1"), most=Decimal(30), required=False,
            label="Longest piece that goes in",
        )  # fmt: skip
        lay_out(self.fields["load_m3"], unit="m³")
        self.order_fields(self.field_order)


class RulesForm(forms.ModelForm):  # type: ignore[type-arg] # at run time it takes none
    """The studio's rules for work and rest."""

    two_columns = True

    class Meta:
        model = WorkRules
        fields = [
            "daily_rest_hours", "weekly_rest_hours", "weekly_hours", "fresh_hours", "drying_hours", "prep_people",
            "install_people", "strike_people", "ask_again_minutes",
        ]  # fmt: skip

    def __init__(self, data: Mapping[str, str] | None = None, *, instance: WorkRules) -> None:
        super().__init__(data, instance=instance)
        for name, field in self.fields.items():
            lay_out(field, unit=UNITS[name.rpartition("_")[2]])

    def _post_clean(self) -> None:
        """The domain function checks the row; the form only reads."""
