"""Forms of clients and venues."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Final

from django import forms

from events.contacts import phone_numbers
from events.models import Client, Setting, Venue, Way
from studio.measures import times
from studio.models import Studio
from studio.ui.field_layout import lay_out, set_choices
from studio.ui.forms import LengthField
from studio.ui.scale_field import RISE, WARMTH, ScaleField

LEAST: Final = Decimal("0.3")
MOST: Final = Decimal(60)
"""Metres; what a set piece or a room can measure."""
FARTHEST_CARRY: Final = Decimal(2000)


class PhoneField(forms.CharField):
    """A telephone number as people type it; cleans to E.164."""

    widget = forms.TextInput(attrs={"type": "tel", "autocomplete": "off"})

    def __init__(self, *, region: str, label: str) -> None:
        super().__init__(required=False, max_length=40, label=label)
        self.region = region

    def prepare_value(self, value: object) -> object:
        """A stored number as the region writes it, typed text as it was typed."""
        return (
            phone_numbers.shown(value, region=self.region)
            if isinstance(value, str) and value[:1] == "+"
            else value
        )

    def clean(self, value: object) -> str:
        """E.164, or nothing."""
        return phone_numbers.e164(super().clean(value), region=self.region)


class ClientForm(forms.Form):
    """What is known of a client."""

    name = forms.CharField(max_length=120, label="Name")
    email = forms.EmailField(required=False, label="E-mail address")
    bill_to = forms.CharField(
        required=False, max_length=400, label="Address for invoices", widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Printed below the name on every invoice. Local law may require it.",
    )  # fmt: skip
    language = forms.ChoiceField(
        required=False, label="Language of e-mails",
        choices=[("", "as yours"), ("en", "English"), ("de", "Deutsch")],
    )  # fmt: skip
    notes = forms.CharField(
        required=False, max_length=4000, label="Notes", widget=forms.Textarea(attrs={"rows": 4}),
        help_text="For the office. Crew don't see them.",
    )  # fmt: skip
    field_order = ("name", "email", "phone", "bill_to", "language", "notes")

    def __init__(
        self, data: Mapping[str, str] | None = None, *, studio: Studio, client: Client | None = None
    ) -> None:
        super().__init__(data, initial=_facts(client, self.field_order) if client else {})
        self.fields["phone"] = PhoneField(region=phone_numbers.region_of_studio(studio), label="Telephone")
        self.order_fields(self.field_order)


class WayForm(forms.Form):
    """A further way to reach a client."""

    who = forms.CharField(
        max_length=120, label="Name or role", help_text="For example: caretaker, on the day."
    )
    way = forms.ChoiceField(choices=Way.choices, label="By")
    address = forms.CharField(max_length=254, label="Number or address")
    on_the_day = forms.BooleanField(required=False, label="Show to crew around the day")


class VenueForm(forms.Form):
    """What the crew must know of a place."""

    two_columns = True
    name = forms.CharField(max_length=120, label="Name")
    address = forms.CharField(
        required=False, max_length=500, label="Address", widget=forms.Textarea(attrs={"rows": 3})
    )
    setting = forms.ChoiceField(choices=Setting.choices, label="Indoors or outdoors")
    zone = forms.ChoiceField(required=False, label="Time zone")
    drive_minutes = forms.IntegerField(
        min_value=0, max_value=24 * 60, initial=30, label="Drive from the studio"
    )
    access = forms.CharField(
        required=False, max_length=4000, label="Access", widget=forms.Textarea(attrs={"rows": 4}),
        help_text="Dock, stairs, lift, keys, contact on site, parking.",
    )  # fmt: skip
    access_hours = forms.CharField(
        required=False,
        max_length=200,
        label="Access hours",
        help_text="For example: weekdays 7 to 19, Sundays on request.",
    )
    dock = forms.CharField(required=False, max_length=200, label="Loading dock")
    stairs = forms.IntegerField(required=False, min_value=0, max_value=2000, label="Stairs on the way")
    lift = forms.CharField(
        required=False, max_length=200, label="Lift", help_text="Inside and door size, or: none."
    )
    lift_takes_loads = forms.BooleanField(
        required=False, label="Loads go by lift", help_text="Instead of the stairs."
    )
    power = forms.CharField(
        required=False, max_length=200, label="Power", help_text="Outlets, and how far away."
    )
    surface = forms.CharField(required=False, max_length=200, label="Floor or ground")
    house_rules = forms.CharField(
        required=False, max_length=4000, label="House rules", widget=forms.Textarea(attrs={"rows": 3})
    )
    fire_rules = forms.CharField(
        required=False, max_length=4000, label="Fire rules for fabric", widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Required by the venue: flame-test papers, an extinguisher nearby. The fire marshal decides.",
    )  # fmt: skip
    field_order = (
        "name", "setting", "address", "drive_minutes", "zone", "access_hours", "dock", "carry_m", "stairs", "lift",
        "lift_takes_loads", "access",
        "ceiling_m", "door_width_m", "door_height_m", "surface", "power", "altitude_m", "temperature_c",
        "house_rules", "fire_rules",
    )  # fmt: skip

    def __init__(
        self, data: Mapping[str, str] | None = None, *, studio: Studio, venue: Venue | None = None
    ) -> None:
        super().__init__(data, initial=_facts(venue, self.field_order) if venue else {})
        zone_choices = [
            ("", f"Same as the studio ({studio.zone.replace('_', ' ')})"),
            *((name, name.replace("_", " ")) for name in times.zones_of_places()),
        ]
        set_choices(self.fields["zone"], zone_choices)
        for name, label, most in (
            ("ceiling_m", "Ceiling", MOST),
            ("door_width_m", "Narrowest door, width", Decimal(20)),
            ("door_height_m", "Lowest door, height", Decimal(20)),
        ):
            self.fields[name] = LengthField(
                units=studio.units, least=LEAST, most=most, required=False, label=label
            )
        self.fields["carry_m"] = LengthField(
            units=studio.units, least=Decimal(0), most=FARTHEST_CARRY, required=False,
            label="From the van to the room", help_text="New quotes allow time to carry everything in and out.",
        )  # fmt: skip
        self.fields["altitude_m"] = ScaleField(
            scale=RISE, units=studio.units, required=False, label="Elevation",
            help_text="Balloons grow where the air is thinner: new quotes size them for it.",
        )  # fmt: skip
        self.fields["temperature_c"] = ScaleField(
            scale=WARMTH, units=studio.units, required=False, label="Temperature",
            help_text="Where it is warmer or colder than in your studio. New quotes size balloons for it.",
        )  # fmt: skip
        lay_out(self.fields["drive_minutes"], unit="min")
        lay_out(self.fields["stairs"], unit="steps")
        self.order_fields(self.field_order)
        for name in ("address", "access", "house_rules", "fire_rules"):
            lay_out(self.fields[name], wide=True)

    def clean_altitude_m(self) -> Decimal | None:
        """Metres, as the database keeps them."""
        return _decimal(self.cleaned_data["altitude_m"])

    def clean_temperature_c(self) -> Decimal | None:
        """Degrees Celsius, as the database keeps them."""
        return _decimal(self.cleaned_data["temperature_c"])


class DriveForm(forms.Form):
    """How long the drive to another venue takes; empty minutes forget it."""

    other = forms.ModelChoiceField(Venue.objects.none(), label="To", empty_label=None)
    minutes = forms.IntegerField(
        required=False, min_value=0, max_value=24 * 60, label="Minutes", help_text="Leave empty to remove it."
    )

    def __init__(self, data: Mapping[str, str] | None = None, *, venue: Venue) -> None:
        super().__init__(data)
        others = Venue.objects.exclude(pk=venue.pk).order_by("name", "pk")
        self.fields["other"].queryset = others  # type: ignore[attr-defined] # a declared ModelChoiceField
        self.has_choices = others.exists()


# --- Private ---


def _decimal(value: float | None) -> Decimal | None:
    return None if value is None else Decimal(str(round(value, 2)))


def _facts(known: Client | Venue, names: Iterable[str]) -> dict[str, object]:
    return {name: getattr(known, name) for name in names}
