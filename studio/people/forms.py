"""The forms of joining, of the members and of the studio's profile."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import TYPE_CHECKING

from django import forms
from django.core.exceptions import ValidationError
from django.http import HttpRequest, QueryDict

from studio import tenancy
from studio.measures import countries, times
from studio.models import ConfirmedBy, Person, Studio, TaxRate, Units
from studio.models.spelling import spelled, spelled_lazy
from studio.paper import images
from studio.tenancy.rights import MEMBER_ROLES
from studio.ui.field_layout import set_choices
from studio.ui.forms import ClockField
from studio.ui.scale_field import RISE, ScaleField

if TYPE_CHECKING:
    # At run time Django's forms take no type in brackets.
    StudioModelForm = forms.ModelForm[Studio]
    TaxRateModelForm = forms.ModelForm[TaxRate]
else:
    StudioModelForm = TaxRateModelForm = forms.ModelForm


class JoinForm(forms.Form):
    """What sign-up asks beside the address and the password."""

    name = forms.CharField(
        max_length=120, label="Your name", widget=forms.TextInput(attrs={"autocomplete": "name"})
    )
    field_order = ["name", "email", "password1", "password2"]

    def signup(self, request: HttpRequest, person: Person) -> None:
        """The account adapter has kept the name already."""


class InvitationForm(forms.Form):
    """Whom to ask, and as what."""

    email = forms.EmailField(label="E-mail address", widget=forms.EmailInput(attrs={"autocomplete": "off"}))
    role = forms.ChoiceField(
        label="Role",
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


class PartForm(StudioModelForm):
    """A part of the studio's settings: saves its own fields and no other."""

    def save(self, commit: bool = True) -> Studio:
        """Save the fields of this part."""
        studio = super().save(commit=False)
        studio.save(update_fields=[*(self._meta.fields or ()), *self.put_further(studio)])
        return studio

    def put_further(self, studio: Studio) -> list[str]:
        """Put on the studio what isn't a field of the form; the names of what was put."""
        return []


class BrandForm(PartForm):
    """Who the studio is, as its clients see it."""

    logo_upload = forms.FileField(
        required=False,
        label="Logo",
        help_text="PNG, JPEG or WebP, up to 5 MB. Shown on offers and on the client's page.",
        widget=forms.FileInput(attrs={"accept": "image/png,image/jpeg,image/webp"}),
    )
    logo_remove = forms.BooleanField(required=False, label="Remove logo")
    brand_colour = forms.RegexField(
        r"^#[0-9A-Fa-f]{6}$",
        required=False,
        label=spelled_lazy("Brand color"),
        help_text=spelled_lazy(
            "Of links and buttons on your clients' pages, such as #7a2e4f. Empty: ours. Where text in this color "
            "would be hard to read, it gets darker or lighter."
        ),
        error_messages={"invalid": spelled_lazy("Enter a color like #7a2e4f.")},
    )

    class Meta:
        model = Studio
        fields = ["name", "address", "email", "phone", "tax_number", "brand_colour", "share_before_agreed"]
        labels = {"share_before_agreed": "Clients may download a picture to post before they agree"}
        help_texts = {
            "address": "Shown on offers and invoices.",
            "email": "Clients' answers to your mail go here.",
            "share_before_agreed": "With your name, without a price. Once they have agreed they always may.",
        }
        widgets = {"address": forms.Textarea(attrs={"rows": 3})}

    def clean_brand_colour(self) -> str:
        """In lower case, as the database has it."""
        return str(self.cleaned_data["brand_colour"]).lower()

    def clean_logo_upload(self) -> images.Picture | None:
        """The logo as a fresh PNG no side of which is longer than 480 px."""
        upload = self.cleaned_data["logo_upload"]
        if not upload:
            return None
        return images.reencoded(upload.file, size=upload.size, longest_side_px=480)

    def put_further(self, studio: Studio) -> list[str]:
        """The logo, if one was sent or is to go."""
        picture: images.Picture | None = self.cleaned_data.get("logo_upload")
        if picture:
            studio.logo, studio.logo_digest = picture.png, picture.digest
        elif self.cleaned_data.get("logo_remove"):
            studio.logo, studio.logo_digest = None, ""
        else:
            return []
        return ["logo", "logo_digest"]


class CountryForm(PartForm):
    """Where the studio is: its language, money, units and clock."""

    class Meta:
        model = Studio
        fields = ["country", "locale", "currency", "units", "zone", "altitude_m"]
        help_texts = {"locale": "Language and country for amounts and dates, such as en_US."}

    def __init__(self, data: Mapping[str, object] | None = None, *, instance: Studio) -> None:
        super().__init__(data, instance=instance)
        set_choices(
            self.fields["units"],
            [(Units.FEET, "feet and inches"), (Units.METRIC, spelled("meters and centimeters"))],
        )
        self.fields["altitude_m"] = ScaleField(
            scale=RISE, units=instance.units, required=False, label="Elevation of the studio",
            help_text="Balloons grow at venues that lie higher. Empty = at sea level.",
        )  # fmt: skip
        self.fields["zone"] = forms.ChoiceField(
            label="Time zone", choices=[(name, name.replace("_", " ")) for name in times.zones_of_places()]
        )
        self.fields["country"] = CountryField()

    def clean_locale(self) -> str:
        """A locale that CLDR knows."""
        from babel import Locale, UnknownLocaleError

        value: str = self.cleaned_data["locale"].strip().replace("-", "_")
        try:
            return str(Locale.parse(value))
        except (UnknownLocaleError, ValueError):
            raise ValidationError(
                f"“{value}” isn't a known language and country; enter one such as de_DE."
            ) from None

    def clean_altitude_m(self) -> Decimal:
        """Metres, as the database keeps them."""
        return Decimal(str(round(self.cleaned_data["altitude_m"] or 0.0, 2)))

    def clean_currency(self) -> str:
        """ISO 4217 codes are capitals."""
        return str(self.cleaned_data["currency"]).upper()


def with_usual_ways(typed: QueryDict) -> QueryDict:
    """What was typed, with what is usual in its country in place of language, money, units and zone."""
    filled, country, zone = typed.copy(), str(typed["country"]), str(typed.get("zone"))
    if countries.is_country(country):
        ways = countries.usual_ways(country)
        filled["locale"], filled["currency"], filled["units"] = ways.locale, ways.currency, ways.units
        filled["zone"] = zone if zone in ways.zones else ways.zones[0]
    return filled


class CountryField(forms.ChoiceField):
    """A country, by its name."""

    # Arguments are Django's own.
    def __init__(self, *, required: bool = False) -> None:
        super().__init__(label="Country", required=required, choices=[("", ""), *countries.countries()])


class PaymentForm(PartForm):
    """How clients pay."""

    two_columns = True

    class Meta:
        model = Studio
        fields = [
            "prices_include_tax", "deposit_percent", "deposit_days", "balance_days", "confirmed_by", "remind_days",
            "account_holder", "iban", "bic", "payment_words",
        ]  # fmt: skip
        labels = {
            "confirmed_by": "Confirm the event when",
            "deposit_days": "Days to pay the deposit",
            "balance_days": "Balance due, days before the event",
            "payment_words": "Other ways to pay",
            "remind_days": "Days between payment reminders",
        }
        help_texts = {
            "prices_include_tax": "On: prices include tax. Off: tax is added to them.",
            "balance_days": "0 = on the day. Negative = days after the event, such as -14.",
            "confirmed_by": "Until then the event is tentative and its stock is on hold.",
            "remind_days": "For overdue invoices, three reminders at most. 0 = none.",
            "account_holder": "Only if it isn't the studio's name.",
            "payment_words": "Printed on invoices: routing number, payment by mail, accepted cards.",
        }
        widgets = {"payment_words": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, data: Mapping[str, object] | None = None, *, instance: Studio) -> None:
        super().__init__(data, instance=instance)
        set_choices(
            self.fields["confirmed_by"],
            [(ConfirmedBy.AGREEMENT, "the client agrees"), (ConfirmedBy.DEPOSIT, "the deposit is paid")],
        )

    def clean_iban(self) -> str:
        """Kept without spaces; the field's own check has refused what is no IBAN."""
        return "".join(str(self.cleaned_data["iban"]).split()).upper()

    def clean_bic(self) -> str:
        """Kept without spaces."""
        return "".join(str(self.cleaned_data["bic"]).split()).upper()


class OfferTermsForm(PartForm):
    """What every offer says, and how long it stays open."""

    class Meta:
        model = Studio
        fields = ["offer_days", "terms"]
        labels = {"offer_days": "Days an offer stays open"}
        widgets = {"terms": forms.Textarea(attrs={"rows": 10})}


class HoursForm(PartForm):
    """When the studio works, and how long its things last."""

    day_starts = ClockField(label="Working day starts")
    day_ends = ClockField(label="Working day ends")

    class Meta:
        model = Studio
        fields = ["day_starts", "day_ends", "usual_uses"]

    def clean(self) -> None:
        """The working day must end after it starts."""
        super().clean()
        cleaned = self.cleaned_data
        starts, ends = cleaned.get("day_starts"), cleaned.get("day_ends")
        if starts and ends and ends <= starts:
            self.add_error("day_ends", "The working day must end after it starts.")


class OpeningForm(forms.Form):
    """What a new studio is called and where it is; the browser adds its own clock's zone."""

    name = forms.CharField(max_length=120, label="Name of your studio")
    country = CountryField(required=True)
    zone = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput(attrs={"data-zone": ""}))


class TaxRateForm(TaxRateModelForm):
    """A named tax."""

    class Meta:
        model = TaxRate
        fields = ["name", "percent", "is_default"]
        labels = {"is_default": "Use by default"}

    def clean_name(self) -> str:
        """Two taxes of one name could not be told apart on an invoice."""
        name = str(self.cleaned_data["name"]).strip()
        tenancy.current()
        if TaxRate.objects.filter(name__iexact=name, retired_at=None).exclude(pk=self.instance.pk).exists():
            raise ValidationError(f"You already have a tax called {name}.")
        return name
