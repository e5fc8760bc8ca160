"""The enquiry form, and the fields that it shares with the forms of later stages."""

from __future__ import annotations

import uuid
import zoneinfo
from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Final

from django import forms
from django.core.exceptions import ValidationError

from events.booking import event_times
from events.booking.enquiry import Wanted
from events.booking.event_times import EventWindows
from events.contacts import phone_numbers
from events.contacts.forms import LEAST, MOST, PhoneField
from events.models import Client, Venue
from events.wishes.forms import WishFields
from studio.models import Studio
from studio.models.spelling import spelled_lazy
from studio.ui.field_layout import lay_out, set_choices
from studio.ui.form_errors import add_errors
from studio.ui.forms import ClockField, DayField, LengthField, moment

YEARS: Final = range(2000, 2100)
MOST_CHOICES: Final = 500
SIZE_WORDS: Final = {
    "feet": "In feet and inches, such as 9 ft 6 in.",
    "metric": spelled_lazy("In meters or centimeters, such as 2.9 m."),
}


class MomentField(forms.Field):
    """A day and a time of day by the browser's own picker; cleans to a naive datetime, as clocks show it."""

    widget = forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")

    def to_python(self, value: object) -> datetime | None:
        """A naive datetime of a year that can be meant."""
        if value in self.empty_values:
            return None
        try:
            shown = datetime.fromisoformat(str(value).strip()).replace(tzinfo=None, second=0, microsecond=0)
        except ValueError:
            raise ValidationError(
                f"“{value}” isn’t a date and time. Write them like 2026-12-12 16:00."
            ) from None
        if shown.year not in YEARS:
            raise ValidationError("Write a day between 2000 and 2099.")
        return shown


class WantedFields:
    """The sizes that a client speaks of, added to a form."""

    fields: dict[str, forms.Field]
    size_words: str
    """In what lengths are written."""

    def add_sizes(self, units: str) -> None:
        """Width, height and ceiling, in the studio's units."""
        for name, label in (
            ("width_m", "Width wanted"),
            ("height_m", "Height wanted"),
            ("ceiling_m", "Ceiling"),
        ):
            self.fields[name] = LengthField(units=units, least=LEAST, most=MOST, required=False, label=label)
        self.size_words = SIZE_WORDS["feet" if units == "feet" else "metric"]

    @staticmethod
    def wanted(cleaned: Mapping[str, Decimal | None]) -> Wanted:
        """What was typed."""
        return Wanted(cleaned.get("width_m"), cleaned.get("height_m"), cleaned.get("ceiling_m"))


class EnquiryForm(WantedFields, WishFields, forms.Form):
    """What is said on the first call."""

    key = forms.CharField(widget=forms.HiddenInput, max_length=64)
    title = forms.CharField(max_length=160, label="Title", help_text="For example: Library centenary.")
    day = DayField(label="Day")
    client = forms.TypedChoiceField(required=False, coerce=int, empty_value=None, label="Client")
    client_name = forms.CharField(max_length=120, required=False, label="New client’s name")
    client_email = forms.EmailField(required=False, label="E-mail address")
    venue = forms.TypedChoiceField(required=False, coerce=int, empty_value=None, label="Venue")
    venue_name = forms.CharField(max_length=120, required=False, label="New venue")
    venue_address = forms.CharField(
        required=False, max_length=500, label="Venue address", widget=forms.Textarea(attrs={"rows": 2})
    )
    ready_by = ClockField(label="Ready by")
    guests_from = ClockField(required=False, label="Guests from")
    access_from = MomentField(
        required=False, label="Access from", help_text="Left empty: four hours before ready-by."
    )
    strike_from = MomentField(
        required=False, label="Strike from", help_text="Left empty: five hours after the guests."
    )
    out_by = MomentField(
        required=False, label="Out by", help_text="Left empty: two hours after the strike starts."
    )
    said = forms.CharField(
        required=False, max_length=2000, label="Note", widget=forms.Textarea(attrs={"rows": 3}),
        help_text="First entry in the event's notes and history. The office sees it.",
    )  # fmt: skip
    notes = forms.CharField(
        required=False, max_length=4000, label="Notes for the day", widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Crew see these too.",
    )  # fmt: skip

    def __init__(
        self,
        data: Mapping[str, str] | None = None,
        *,
        studio: Studio,
        initial: Mapping[str, str] | None = None,
    ) -> None:
        super().__init__(data, initial={"key": uuid.uuid4().hex, **(initial or {})})
        self.studio_tz = studio.tz
        self.add_sizes(studio.units)
        self.add_wishes(studio)
        self.fields["client_phone"] = PhoneField(
            region=phone_numbers.region_of_studio(studio), label="Telephone"
        )
        self.venues = list(Venue.objects.order_by("name")[:MOST_CHOICES])
        clients = Client.objects.order_by("name").values_list("pk", "name", "email")[:MOST_CHOICES]
        client_choices = [
            ("", "New client"),
            *((pk, f"{name} · {email}" if email else name) for pk, name, email in clients),
        ]
        set_choices(self.fields["client"], client_choices)
        venue_choices = [
            ("", "New venue, or not known yet"),
            *((venue.pk, venue.name) for venue in self.venues),
        ]
        set_choices(self.fields["venue"], venue_choices)
        for name in ("client", "client_name", "venue"):
            lay_out(self.fields[name], unmarked=True)

    @property
    def has_venue_times(self) -> bool:
        """Whether something was typed as access, strike or out-by time."""
        return any(self[name].data or self[name].errors for name in ("access_from", "strike_from", "out_by"))

    def clean_day(self) -> date:
        """A day that can be meant."""
        day: date = self.cleaned_data["day"]
        if day.year not in YEARS:
            raise ValidationError("Write a day between 2000 and 2099.")
        return day

    def clean(self) -> None:
        """A client, known or named; moments in the zone of the place, in order."""
        super().clean()
        cleaned = self.cleaned_data
        if not cleaned.get("client") and not cleaned.get("client_name") and "client_name" not in self.errors:
            self.add_error("client_name", "Choose a client, or type the new client’s name.")
        zone = self._zone(cleaned.get("venue"))
        ready_by = moment(self, "ready_by", cleaned.get("day"), cleaned.get("ready_by"), zone)
        others = {
            name: aware(self, name, cleaned.get(name), zone)
            for name in ("access_from", "strike_from", "out_by")
        }
        others["guests_from"] = moment(
            self, "guests_from", cleaned.get("day"), cleaned.get("guests_from"), zone
        )
        if ready_by and not self.errors.keys() & {*others, "ready_by", "day"}:
            cleaned["windows"] = in_order(self, event_times.usual(ready_by=ready_by, **others))

    def _zone(self, venue_id: int | None) -> zoneinfo.ZoneInfo:
        venue = next((venue for venue in self.venues if venue.pk == venue_id), None)
        return (venue.tz if venue else None) or self.studio_tz


def aware(form: forms.Form, field: str, shown: datetime | None, zone: zoneinfo.ZoneInfo) -> datetime | None:
    """The moment at which clocks in the zone show it; a skipped hour becomes an error at the field."""
    return moment(form, field, shown.date(), shown.time(), zone) if shown else None


def in_order(form: forms.Form, event_windows: EventWindows) -> EventWindows | None:
    """The windows, or None with an error at each field that is out of order."""
    try:
        event_windows.check()
    except ValidationError as refusal:
        add_errors(form, refusal)
        return None
    return event_windows
