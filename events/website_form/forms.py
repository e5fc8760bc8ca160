"""The form that a client fills in on the studio's website, and its switch."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from django import forms
from django.core import signing
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.utils.datastructures import MultiValueDict
from django.utils.translation import gettext_lazy as _

from events.contacts.forms import PhoneField
from events.contacts.phone_numbers import region_of_studio
from events.models import Source
from events.models.wishes import MOST_GUESTS
from events.website_form.receiving import Asked, new_key
from events.wishes.wishes import Wished
from studio.models import Studio
from studio.ui.forms import ClockField, DayField, MoneyField

SALT: Final = "events.website_form"
LEAST_SECONDS: Final = 3
"""Nobody fills the form in faster; programs do."""
MOST_SECONDS: Final = 24 * 3600
MOST_PHOTO_BYTES: Final = 7 * 1024 * 1024


class SwitchForm(forms.Form):
    """Whether the form is open, and what stands above it."""

    is_open = forms.BooleanField(required=False, label="Clients can send enquiries")
    greeting = forms.CharField(
        max_length=300, required=False, label="Words above the form", widget=forms.Textarea(attrs={"rows": 3})
    )


class AskForm(forms.Form):
    """What a client says. ``opened`` is when the form was opened and its key, signed; ``more`` stays empty: only
    programs fill it in. It is shown empty again."""

    opened = forms.CharField(widget=forms.HiddenInput, max_length=200)
    more = forms.CharField(required=False, max_length=500)
    name = forms.CharField(
        max_length=120, label=_("Your name"), widget=forms.TextInput(attrs={"autocomplete": "name"})
    )
    email = forms.EmailField(
        label=_("E-mail address"), widget=forms.EmailInput(attrs={"autocomplete": "email"})
    )
    occasion = forms.CharField(max_length=80, label=_("What do you celebrate?"))
    day = DayField(label=_("Day"))
    starts_at = ClockField(required=False, label=_("Guests come at"))
    place = forms.CharField(max_length=300, required=False, label=_("Where?"))
    guests = forms.IntegerField(
        min_value=1, max_value=MOST_GUESTS, required=False, label=_("Number of guests")
    )
    colours = forms.CharField(max_length=200, required=False, label=_("Palette that you like"))
    words = forms.CharField(
        max_length=2000, required=False, label=_("What do you have in mind?"),
        widget=forms.Textarea(attrs={"rows": 4}),
    )  # fmt: skip
    photo = forms.FileField(
        required=False, label=_("A picture that you like"),
        widget=forms.FileInput(attrs={"accept": "image/jpeg,image/png,image/webp"}),
    )  # fmt: skip
    field_order = [
        "opened", "name", "email", "phone", "occasion", "day", "starts_at", "place", "guests", "colours", "budget",
        "words", "photo",
    ]  # fmt: skip

    def __init__(
        self,
        data: Mapping[str, object] | None = None,
        files: MultiValueDict[str, UploadedFile[bytes]] | None = None,
        *,
        studio: Studio,
    ) -> None:
        super().__init__(data, files, initial={"opened": signing.dumps(new_key(), salt=SALT)})
        self.fields["phone"] = PhoneField(region=region_of_studio(studio), label=str(_("Telephone")))
        self.fields["budget"] = MoneyField(
            currency=studio.currency, locale=studio.locale, required=False, label=_("Budget, about")
        )
        self.order_fields(self.field_order)

    def clean_opened(self) -> str:
        """The form's key, if it was opened a while ago and not too long."""
        text = self.cleaned_data["opened"]
        try:
            key: str = signing.loads(text, salt=SALT, max_age=MOST_SECONDS)
        except signing.BadSignature:
            raise ValidationError(_("This form was open for too long. Send it again.")) from None
        return key

    def clean_photo(self) -> UploadedFile[bytes] | None:
        """A photo that isn't too large; what it is, the studio's file store finds out."""
        photo: UploadedFile[bytes] | None = self.cleaned_data["photo"]
        if photo and photo.size and photo.size > MOST_PHOTO_BYTES:
            raise ValidationError(_("This picture is larger than 7 MB. Send a smaller one."))
        return photo

    def seen(self) -> list[forms.BoundField]:
        """The fields that a person sees."""
        return [self[name] for name in self.fields if name not in ("opened", "more")]

    def clean(self) -> None:
        """Refuse what a program would send; a person who presses again gets through."""
        super().clean()
        if self.cleaned_data.get("more") or self._is_too_quick():
            raise ValidationError(
                _("This looks as if a program had sent it. If you are a person, send it once more.")
            )

    def _is_too_quick(self) -> bool:
        """Whether the form was opened only just now."""
        try:
            signing.loads(str(self.data.get("opened", "")), salt=SALT, max_age=LEAST_SECONDS)
        except signing.BadSignature:
            return False
        return True

    def asked(self) -> Asked:
        """What was written, once it is valid."""
        said = self.cleaned_data
        wished = Wished(
            occasion=said["occasion"],
            guests=said["guests"],
            colours=said["colours"],
            budget=said["budget"],
            source=Source.WEBSITE,
        )
        return Asked(
            name=said["name"],
            email=said["email"].lower(),
            phone=said["phone"] or "",
            day=said["day"],
            starts_at=said["starts_at"],
            place=said["place"].strip(),
            wished=wished,
            words=said["words"].strip(),
        )
