"""Form fields that parse what people type, and the kernel's own forms."""

from __future__ import annotations

import zoneinfo
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from studio import tenancy
from studio.measures import lengths, times
from studio.measures.times import Window
from studio.models import Studio, TaxRate
from studio.money import amounts
from studio.paper import images
from studio.people.access import MEMBER_ROLES


class LengthField(forms.Field):
    """A length as people type it; cleans to metres (:class:`~decimal.Decimal`, 0.1 mm)."""

    widget = forms.TextInput

    def __init__(
        self,
        *,
        units: str,
        least: Decimal | None = None,
        most: Decimal | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(**kwargs)
        self.units, self.least, self.most = units, least, most
        self.widget.attrs.update({"inputmode": "text", "autocomplete": "off", "data-kind": "length"})

    def prepare_value(self, value: Any) -> Any:
        """What is shown in the box: a stored length as the studio writes it, typed text as it was typed."""
        return lengths.written(value, self.units) if isinstance(value, Decimal | float) else value

    def to_python(self, value: Any) -> Decimal | None:
        if value in self.empty_values:
            return None
        try:
            metres = lengths.parsed(str(value), self.units)
        except lengths.NotALength as fault:
            raise ValidationError(str(fault), code="length") from None
        if self.least is not None and metres < self.least:
            raise ValidationError(f"At least {lengths.written(self.least, self.units)}.", code="short")
        if self.most is not None and metres > self.most:
            raise ValidationError(f"At most {lengths.written(self.most, self.units)}.", code="long")
        return metres

    def has_changed(self, initial: Any, data: Any) -> bool:
        return bool(self.prepare_value(initial) != data)


class MoneyField(forms.Field):
    """An amount as people type it; cleans to :class:`~decimal.Decimal` in whole minor units."""

    widget = forms.TextInput

    def __init__(
        self, *, currency: str, locale: str, least: Decimal | None = Decimal(0), **kwargs: Any
    ) -> None:
        super().__init__(**kwargs)
        self.currency, self.locale, self.least = currency, locale, least
        self.widget.attrs.update({"inputmode": "decimal", "autocomplete": "off", "data-kind": "money"})

    def prepare_value(self, value: Any) -> Any:
        """A stored amount as the studio writes it, typed text as it was typed."""
        return amounts.written(value, self.currency, self.locale) if isinstance(value, Decimal) else value

    def to_python(self, value: Any) -> Decimal | None:
        if value in self.empty_values:
            return None
        try:
            amount = amounts.parsed(str(value), self.currency, self.locale)
        except amounts.NotMoney as fault:
            raise ValidationError(str(fault), code="money") from None
        if self.least is not None and amount < self.least:
            raise ValidationError(
                f"At least {amounts.written(self.least, self.currency, self.locale)}.", code="negative"
            )
        return amount


class DayField(forms.DateField):
    """A calendar day, by the browser's own picker."""

    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class ClockField(forms.TimeField):
    """A time of day, by the browser's own picker."""

    widget = forms.TimeInput(attrs={"type": "time"}, format="%H:%M")


def moment(
    form: forms.Form, field: str, day: date | None, at: time | None, zone: zoneinfo.ZoneInfo
) -> datetime | None:
    """The aware moment of two cleaned fields; a skipped daylight-saving hour becomes an error at ``field``."""
    if day is None or at is None:
        return None
    try:
        return times.local(day, at, zone)
    except times.NoSuchTime as fault:
        form.add_error(field, str(fault))
        return None


def window(form: forms.Form, field: str, start: datetime | None, end: datetime | None) -> Window | None:
    """The window between two moments; an end that isn't later becomes an error at ``field``."""
    if start is None or end is None:
        return None
    if end <= start:
        form.add_error(field, "This must come after the start.")
        return None
    return Window(start, end)


class JoinForm(forms.Form):
    """What sign-up asks beside the address and the password."""

    name = forms.CharField(
        max_length=120, label="Your name", widget=forms.TextInput(attrs={"autocomplete": "name"})
    )
    field_order = ["name", "email", "password1", "password2"]

    def signup(self, request: Any, person: Any) -> None:
        """The account adapter has kept the name already."""


class InvitationForm(forms.Form):
    """Whom to ask, and as what."""

    email = forms.EmailField(label="E-mail address", widget=forms.EmailInput(attrs={"autocomplete": "off"}))
    role = forms.ChoiceField(
        label="Part",
        choices=[
            ("staff", "Staff: quotes, events and stock, no margins"),
            ("crew", "Crew: lists on the day, no prices"),
            ("owner", "Owner: everything"),
        ],
    )


class RoleForm(forms.Form):
    """Another part for a member."""

    ROLES = [(role.value, role.value.capitalize()) for role in MEMBER_ROLES]

    role = forms.ChoiceField(choices=ROLES)


class StudioForm(forms.ModelForm):  # type: ignore[type-arg]
    """The studio's profile."""

    logo_upload = forms.FileField(
        required=False,
        label="Logo",
        help_text="PNG, JPEG or WebP, at most 5 MB. Stands on offers and on the client's page.",
        widget=forms.FileInput(attrs={"accept": "image/png,image/jpeg,image/webp"}),
    )
    logo_remove = forms.BooleanField(required=False, label="Take the logo off")
    day_starts = ClockField(label="Working day starts")
    day_ends = ClockField(label="Working day ends")

    class Meta:
        model = Studio
        fields = [
            "name", "address", "email", "phone", "tax_number", "zone", "units", "locale", "currency",
            "prices_include_tax", "deposit_percent", "deposit_days", "balance_days", "confirmed_by", "remind_days",
            "account_holder", "iban", "bic", "payment_words", "offer_days", "day_starts", "day_ends", "terms",
        ]  # fmt: skip
        widgets = {
            "address": forms.Textarea(attrs={"rows": 3}),
            "terms": forms.Textarea(attrs={"rows": 6}),
            "payment_words": forms.Textarea(attrs={"rows": 3}),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        zones = sorted(name for name in zoneinfo.available_timezones() if "/" in name or name == "UTC")
        self.fields["zone"] = forms.ChoiceField(
            label="Time zone", choices=[(name, name.replace("_", " ")) for name in zones]
        )

    def clean_locale(self) -> str:
        """A locale that CLDR knows."""
        from babel import Locale, UnknownLocaleError

        value: str = self.cleaned_data["locale"].strip().replace("-", "_")
        try:
            return str(Locale.parse(value))
        except (UnknownLocaleError, ValueError):
            raise ValidationError(
                f"“{value}” is no language and country known; write one like de_DE."
            ) from None

    def clean_currency(self) -> str:
        """ISO 4217 codes are capitals."""
        return str(self.cleaned_data["currency"]).upper()

    def clean_iban(self) -> str:
        """Kept without spaces; the field's own check has refused what is no IBAN."""
        return "".join(str(self.cleaned_data["iban"]).split()).upper()

    def clean_bic(self) -> str:
        """Kept without spaces."""
        return "".join(str(self.cleaned_data["bic"]).split()).upper()

    def clean_logo_upload(self) -> images.Picture | None:
        """The logo as a fresh PNG no side of which is longer than 480 px."""
        upload = self.cleaned_data["logo_upload"]
        if not upload:
            return None
        return images.reencoded(upload.file, size=upload.size, longest_side_px=480)

    def clean(self) -> dict[str, Any]:
        """The working day must end after it starts."""
        cleaned = super().clean() or self.cleaned_data
        starts, ends = cleaned.get("day_starts"), cleaned.get("day_ends")
        if starts and ends and ends <= starts:
            self.add_error("day_ends", "The working day must end after it starts.")
        return cleaned

    def save(self, commit: bool = True) -> Studio:
        """Keep the profile, and the logo if one was sent."""
        studio: Studio = super().save(commit=False)
        picture: images.Picture | None = self.cleaned_data.get("logo_upload")
        if picture:
            studio.logo, studio.logo_digest = picture.png, picture.digest
        elif self.cleaned_data.get("logo_remove"):
            studio.logo, studio.logo_digest = None, ""
        changed = [
            *(self._meta.fields or ()),
            *(["logo", "logo_digest"] if "logo" in studio.__dict__ else []),
        ]
        studio.save(update_fields=changed)
        return studio


class TaxRateForm(forms.ModelForm):  # type: ignore[type-arg]
    """A named tax."""

    class Meta:
        model = TaxRate
        fields = ["name", "percent", "is_default"]

    def clean_name(self) -> str:
        """Two taxes of one name could not be told apart on an invoice."""
        name = str(self.cleaned_data["name"]).strip()
        tenancy.current()
        if TaxRate.objects.filter(name__iexact=name, retired_at=None).exclude(pk=self.instance.pk).exists():
            raise ValidationError(f"There is a tax called {name} already.")
        return name
