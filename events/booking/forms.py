"""Forms of the events room: what people type becomes moments, lengths, clients and places."""

from __future__ import annotations

import uuid
import zoneinfo
from datetime import date, datetime
from decimal import Decimal
from typing import Any, Final

from django import forms
from django.core.exceptions import ValidationError

from events.booking import event_times
from events.booking.enquiry import Wanted
from events.booking.event_times import EventWindows
from events.contacts import phone_numbers
from events.jobs.changes import windows_of
from events.models import Client, Event, Setting, Venue, Way
from studio.models import Studio
from studio.ui.forms import ClockField, DayField, LengthField, moment

LEAST: Final = Decimal("0.3")
MOST: Final = Decimal(60)
"""Metres; what a set piece or a room can measure."""
YEARS: Final = range(2000, 2100)
MOST_CHOICES: Final = 500


def take_refusal(form: forms.BaseForm, refusal: ValidationError) -> None:
    """Put a domain function's refusal at the fields that it names, or above the form."""
    if not hasattr(refusal, "error_dict"):
        form.add_error(None, refusal)
        return
    for field, errors in refusal.error_dict.items():
        form.add_error(field if field in form.fields else None, errors)


class MomentField(forms.Field):
    """A day and a time of day by the browser's own picker; cleans to a naive datetime, as clocks show it."""

    widget = forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")

    def to_python(self, value: Any) -> datetime | None:
        """A naive datetime of a year that can be meant."""
        if value in self.empty_values:
            return None
        try:
            shown = datetime.fromisoformat(str(value).strip()).replace(tzinfo=None, second=0, microsecond=0)
        except ValueError:
            raise ValidationError(
                f"“{value}” is no day and time; write them like 2026-12-12 16:00."
            ) from None
        if shown.year not in YEARS:
            raise ValidationError("Write a day between 2000 and 2099.")
        return shown


class PhoneField(forms.CharField):
    """A telephone number as people type it; cleans to E.164."""

    widget = forms.TextInput(attrs={"type": "tel", "autocomplete": "off"})

    def __init__(self, *, region: str, **kwargs: Any) -> None:
        super().__init__(**{"required": False, "max_length": 40, **kwargs})
        self.region = region

    def prepare_value(self, value: Any) -> Any:
        """A kept number as the region writes it, typed text as it was typed."""
        return (
            phone_numbers.shown(value, region=self.region)
            if isinstance(value, str) and value[:1] == "+"
            else value
        )

    def clean(self, value: Any) -> str:
        """E.164, or nothing."""
        return phone_numbers.e164(super().clean(value), region=self.region)


class WantedFields:
    """The sizes that a client speaks of, added to a form."""

    fields: dict[str, forms.Field]

    def add_sizes(self, units: str) -> None:
        """Width, height and ceiling, in the studio's units."""
        for name, label in (
            ("width_m", "Width wanted"),
            ("height_m", "Height wanted"),
            ("ceiling_m", "Ceiling"),
        ):
            self.fields[name] = LengthField(units=units, least=LEAST, most=MOST, required=False, label=label)

    @staticmethod
    def wanted(cleaned: dict[str, Any]) -> Wanted:
        """What was typed."""
        return Wanted(cleaned.get("width_m"), cleaned.get("height_m"), cleaned.get("ceiling_m"))


class WindowsForm(forms.Form):
    """Access, ready by, guests, strike and out; typed in the zone of the venue or else of the studio."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    access_from = MomentField(label="Access from")
    ready_by = MomentField(label="Ready by")
    guests_from = MomentField(label="Guests from", required=False)
    strike_from = MomentField(label="Strike from")
    out_by = MomentField(label="Out by")

    def __init__(self, *args: Any, event: Event, **kwargs: Any) -> None:
        shown = {
            name: value.astimezone(event.tz).replace(tzinfo=None) if value else None
            for name, value in (
                (name, getattr(windows_of(event), name)) for name in EventWindows.__dataclass_fields__
            )
        }
        kwargs["initial"] = {**shown, "version": event.version}
        super().__init__(*args, **kwargs)
        self.zone = event.tz

    def clean(self) -> dict[str, Any]:
        """Aware moments, in order."""
        cleaned = super().clean() or self.cleaned_data
        moments = {
            name: aware(self, name, cleaned.get(name), self.zone)
            for name in EventWindows.__dataclass_fields__
        }
        if not self.errors:
            cleaned["windows"] = _in_order(self, EventWindows(**moments))  # type: ignore[arg-type]
        return cleaned


class EnquiryForm(WantedFields, forms.Form):
    """What is said on the first call."""

    key = forms.CharField(widget=forms.HiddenInput, max_length=64)
    title = forms.CharField(max_length=160, label="What is it", help_text="Such as: library centenary.")
    day = DayField(label="Day")
    client = forms.TypedChoiceField(required=False, coerce=int, empty_value=None, label="Client")
    client_name = forms.CharField(max_length=120, required=False, label="New client’s name")
    client_email = forms.EmailField(required=False, label="E-mail address")
    venue = forms.TypedChoiceField(required=False, coerce=int, empty_value=None, label="Where")
    venue_name = forms.CharField(max_length=120, required=False, label="New place")
    venue_address = forms.CharField(
        required=False, max_length=500, label="Its address", widget=forms.Textarea(attrs={"rows": 2})
    )
    ready_by = ClockField(label="Ready by")
    guests_from = ClockField(required=False, label="Guests from")
    access_from = MomentField(
        required=False, label="Access from", help_text="Else four hours before it is ready."
    )
    strike_from = MomentField(
        required=False, label="Strike from", help_text="Else five hours after the guests."
    )
    out_by = MomentField(required=False, label="Out by", help_text="Else two hours after the strike starts.")
    said = forms.CharField(
        required=False, max_length=2000, label="What was said", widget=forms.Textarea(attrs={"rows": 3}),
        help_text="First line of the event's log; the office sees it.",
    )  # fmt: skip
    notes = forms.CharField(
        required=False, max_length=4000, label="Notes for the day", widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Crew see these as well.",
    )  # fmt: skip

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        kwargs["initial"] = {"key": uuid.uuid4().hex, **(kwargs.get("initial") or {})}
        super().__init__(*args, **kwargs)
        self.studio_tz = studio.tz
        self.add_sizes(studio.units)
        self.fields["client_phone"] = PhoneField(
            region=phone_numbers.region_of(studio.locale), label="Telephone"
        )
        self.venues = list(Venue.objects.order_by("name")[:MOST_CHOICES])
        clients = Client.objects.order_by("name").values_list("pk", "name", "email")[:MOST_CHOICES]
        self.fields["client"].choices = [  # type: ignore[attr-defined]
            ("", "Somebody new"),
            *((pk, f"{name} · {email}" if email else name) for pk, name, email in clients),
        ]
        self.fields["venue"].choices = [  # type: ignore[attr-defined]
            ("", "Somewhere new, or not known yet"),
            *((venue.pk, venue.name) for venue in self.venues),
        ]

    def clean_day(self) -> date:
        """A day that can be meant."""
        day: date = self.cleaned_data["day"]
        if day.year not in YEARS:
            raise ValidationError("Write a day between 2000 and 2099.")
        return day

    def clean(self) -> dict[str, Any]:
        """A client, known or named; moments in the zone of the place, in order."""
        cleaned = super().clean() or self.cleaned_data
        if not cleaned.get("client") and not cleaned.get("client_name") and "client_name" not in self.errors:
            self.add_error("client_name", "Choose a client, or write the new client’s name.")
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
            cleaned["windows"] = _in_order(self, event_times.usual(ready_by=ready_by, **others))
        return cleaned

    def _zone(self, venue_id: int | None) -> zoneinfo.ZoneInfo:
        venue = next((venue for venue in self.venues if venue.pk == venue_id), None)
        return (venue.tz if venue else None) or self.studio_tz


class DetailsForm(WantedFields, forms.Form):
    """What an event is about and where."""

    two_columns = True
    version = forms.IntegerField(widget=forms.HiddenInput)
    title = forms.CharField(max_length=160, label="What is it")
    venue = forms.TypedChoiceField(required=False, coerce=int, empty_value=None, label="Where")
    notes = forms.CharField(
        required=False, max_length=4000, label="Notes for the day", widget=forms.Textarea(attrs={"rows": 5}),
        help_text="Crew see these as well.",
    )  # fmt: skip
    field_order = ("title", "venue", "width_m", "height_m", "ceiling_m", "notes", "version")

    def __init__(self, *args: Any, event: Event, studio: Studio, **kwargs: Any) -> None:
        names = ("title", "notes", "version", "width_m", "height_m", "ceiling_m")
        kwargs["initial"] = {name: getattr(event, name) for name in names} | {"venue": event.venue_id}
        super().__init__(*args, **kwargs)
        self.add_sizes(studio.units)
        self.order_fields(self.field_order)
        self.fields["venue"].choices = [  # type: ignore[attr-defined]
            ("", "Not known yet"),
            *Venue.objects.order_by("name").values_list("pk", "name")[:MOST_CHOICES],
        ]
        for name in ("title", "notes"):
            self.fields[name].wide = True  # type: ignore[attr-defined]


class ClientForm(forms.Form):
    """What is known of a client."""

    name = forms.CharField(max_length=120, label="Name")
    email = forms.EmailField(required=False, label="E-mail address")
    bill_to = forms.CharField(
        required=False, max_length=400, label="Address for invoices", widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Below the name on every invoice; local law may ask for it.",
    )  # fmt: skip
    notes = forms.CharField(
        required=False, max_length=4000, label="Notes", widget=forms.Textarea(attrs={"rows": 4}),
        help_text="For the office; crew don't see them.",
    )  # fmt: skip
    field_order = ("name", "email", "phone", "bill_to", "notes")

    def __init__(self, *args: Any, studio: Studio, client: Client | None = None, **kwargs: Any) -> None:
        kwargs["initial"] = {name: getattr(client, name) for name in self.field_order} if client else {}
        super().__init__(*args, **kwargs)
        self.fields["phone"] = PhoneField(region=phone_numbers.region_of(studio.locale), label="Telephone")
        self.order_fields(self.field_order)


class WayForm(forms.Form):
    """A further way to reach a client."""

    who = forms.CharField(max_length=120, label="Who", help_text="Such as: caretaker, on the day.")
    way = forms.ChoiceField(choices=Way.choices, label="By")
    address = forms.CharField(max_length=254, label="Number or address")
    on_the_day = forms.BooleanField(required=False, label="Crew see it around the day")


class VenueForm(forms.Form):
    """What the crew must know of a place."""

    two_columns = True
    name = forms.CharField(max_length=120, label="Name")
    address = forms.CharField(
        required=False, max_length=500, label="Address", widget=forms.Textarea(attrs={"rows": 3})
    )
    setting = forms.ChoiceField(choices=Setting.choices, label="Under a roof")
    zone = forms.ChoiceField(required=False, label="Time zone")
    drive_minutes = forms.IntegerField(
        min_value=0, max_value=24 * 60, initial=30, label="Drive from the studio"
    )
    access = forms.CharField(
        required=False, max_length=4000, label="Getting in", widget=forms.Textarea(attrs={"rows": 4}),
        help_text="Dock, stairs, lift, keys, whom to ask, where to park.",
    )  # fmt: skip
    access_hours = forms.CharField(
        required=False,
        max_length=200,
        label="Access hours",
        help_text="Such as: weekdays 7 to 19, Sundays on request.",
    )
    dock = forms.CharField(required=False, max_length=200, label="Loading dock")
    stairs = forms.IntegerField(required=False, min_value=0, max_value=2000, label="Stairs on the way")
    lift = forms.CharField(
        required=False, max_length=200, label="Lift", help_text="Its inside and its door, or: none."
    )
    power = forms.CharField(required=False, max_length=200, label="Power", help_text="Sockets, and how far.")
    surface = forms.CharField(required=False, max_length=200, label="Floor or ground")
    house_rules = forms.CharField(
        required=False, max_length=4000, label="House rules", widget=forms.Textarea(attrs={"rows": 3})
    )
    fire_rules = forms.CharField(
        required=False, max_length=4000, label="Fire rules for fabric", widget=forms.Textarea(attrs={"rows": 3}),
        help_text="What the house asks for: flame-test papers, an extinguisher beside it. The fire marshal decides.",
    )  # fmt: skip
    field_order = (
        "name", "setting", "address", "drive_minutes", "zone", "access_hours", "dock", "stairs", "lift", "access",
        "ceiling_m", "door_width_m", "door_height_m", "surface", "power", "altitude_m", "house_rules",
        "fire_rules",
    )  # fmt: skip

    def __init__(self, *args: Any, studio: Studio, venue: Venue | None = None, **kwargs: Any) -> None:
        kwargs["initial"] = {name: getattr(venue, name) for name in self.field_order} if venue else {}
        super().__init__(*args, **kwargs)
        zones = sorted(name for name in zoneinfo.available_timezones() if "/" in name or name == "UTC")
        self.fields["zone"].choices = [  # type: ignore[attr-defined]
            ("", f"The studio's own ({studio.zone.replace('_', ' ')})"),
            *((name, name.replace("_", " ")) for name in zones),
        ]
        for name, label, most in (
            ("ceiling_m", "Ceiling", MOST),
            ("door_width_m", "Narrowest door, width", Decimal(20)),
            ("door_height_m", "Lowest door, height", Decimal(20)),
        ):
            self.fields[name] = LengthField(
                units=studio.units, least=LEAST, most=most, required=False, label=label
            )
        self.metres_in_unit = Decimal("0.3048") if studio.units == "feet" else Decimal(1)
        if venue and venue.altitude_m is not None:
            self.initial["altitude_m"] = round(venue.altitude_m / self.metres_in_unit)
        self.fields["altitude_m"] = forms.IntegerField(
            required=False, min_value=-1400, max_value=19000, label="Altitude",
            help_text="High up, balloons are fuller: the take-off wants to know.",
        )  # fmt: skip
        self.fields["altitude_m"].unit = "ft" if studio.units == "feet" else "m"  # type: ignore[attr-defined]
        self.fields["drive_minutes"].unit = "min"  # type: ignore[attr-defined]
        self.fields["stairs"].unit = "steps"  # type: ignore[attr-defined]
        self.order_fields(self.field_order)
        for name in ("address", "access", "house_rules", "fire_rules"):
            self.fields[name].wide = True  # type: ignore[attr-defined]

    def clean_altitude_m(self) -> Decimal | None:
        """Metres, of what was typed in the studio's unit."""
        typed: int | None = self.cleaned_data["altitude_m"]
        return None if typed is None else typed * self.metres_in_unit


class DriveForm(forms.Form):
    """How long the drive to another venue takes; empty minutes forget it."""

    other = forms.ModelChoiceField(Venue.objects.none(), label="To", empty_label=None)
    minutes = forms.IntegerField(
        required=False, min_value=0, max_value=24 * 60, label="Minutes", help_text="Empty: not known."
    )

    def __init__(self, *args: Any, venue: Venue, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        others = Venue.objects.exclude(pk=venue.pk).order_by("name", "pk")
        self.fields["other"].queryset = others  # type: ignore[attr-defined]


def aware(form: forms.Form, field: str, shown: datetime | None, zone: zoneinfo.ZoneInfo) -> datetime | None:
    """The moment at which clocks in the zone show it; a skipped hour becomes an error at the field."""
    return moment(form, field, shown.date(), shown.time(), zone) if shown else None


def _in_order(form: forms.Form, event_windows: EventWindows) -> EventWindows | None:
    try:
        event_windows.check()
    except ValidationError as refusal:
        take_refusal(form, refusal)
        return None
    return event_windows


class WhosePhoneForm(forms.Form):
    """Whose phone is given an event."""

    whose = forms.CharField(
        label="Whose phone",
        max_length=40,
        help_text="Such as Rosa, or van phone: what is ticked there carries the name.",
        error_messages={"required": "Say whose phone it is: its ticks carry the name."},
    )
