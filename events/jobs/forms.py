"""Forms that change an event."""

from __future__ import annotations

from collections.abc import Mapping

from django import forms

from events.booking.event_times import EventWindows, windows_of
from events.booking.forms import MOST_CHOICES, MomentField, WantedFields, aware, in_order
from events.models import Event, Venue
from studio.models import Studio
from studio.ui.field_layout import lay_out, set_choices


class TimesForm(forms.Form):
    """Access, ready by, guests, strike and out; typed in the zone of the venue or else of the studio."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    access_from = MomentField(label="Access from")
    ready_by = MomentField(label="Ready by")
    guests_from = MomentField(label="Guests from", required=False)
    strike_from = MomentField(label="Strike from")
    out_by = MomentField(label="Out by")

    def __init__(self, data: Mapping[str, str] | None = None, *, event: Event) -> None:
        shown = {
            name: value.astimezone(event.tz).replace(tzinfo=None) if value else None
            for name, value in (
                (name, getattr(windows_of(event), name)) for name in EventWindows.__dataclass_fields__
            )
        }
        super().__init__(data, initial={**shown, "version": event.version})
        self.zone = event.tz

    def clean(self) -> None:
        """Aware moments, in order."""
        super().clean()
        moments = {
            name: aware(self, name, self.cleaned_data.get(name), self.zone)
            for name in EventWindows.__dataclass_fields__
        }
        access_from, ready_by = moments["access_from"], moments["ready_by"]
        strike_from, out_by = moments["strike_from"], moments["out_by"]
        if access_from and ready_by and strike_from and out_by and not self.errors:
            event_windows = EventWindows(access_from, ready_by, moments["guests_from"], strike_from, out_by)
            self.cleaned_data["windows"] = in_order(self, event_windows)


class DetailsForm(WantedFields, forms.Form):
    """What an event is about and where."""

    two_columns = True
    version = forms.IntegerField(widget=forms.HiddenInput)
    title = forms.CharField(max_length=160, label="Title")
    venue = forms.TypedChoiceField(required=False, coerce=int, empty_value=None, label="Venue")
    notes = forms.CharField(
        required=False, max_length=4000, label="Notes for the day", widget=forms.Textarea(attrs={"rows": 5}),
        help_text="Crew see these too.",
    )  # fmt: skip
    field_order = ("title", "venue", "width_m", "height_m", "ceiling_m", "notes", "version")

    def __init__(self, data: Mapping[str, str] | None = None, *, event: Event, studio: Studio) -> None:
        names = ("title", "notes", "version", "width_m", "height_m", "ceiling_m")
        facts = {name: getattr(event, name) for name in names}
        super().__init__(data, initial={**facts, "venue": event.venue_id})
        self.add_sizes(studio.units)
        self.order_fields(self.field_order)
        venue_choices = [
            ("", "Not known yet"),
            *Venue.objects.order_by("name").values_list("pk", "name")[:MOST_CHOICES],
        ]
        set_choices(self.fields["venue"], venue_choices)
        for name in ("title", "notes"):
            lay_out(self.fields[name], wide=True)
