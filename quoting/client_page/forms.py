"""What a client types on an offer's page. The rules stand in :mod:`quoting.offers.agreeing`."""

from __future__ import annotations

from collections.abc import Mapping

from django import forms
from django.utils.translation import gettext_lazy as _


class AgreeForm(forms.Form):
    """A name and a tick. Version, total and digest of the document on the page go along as hidden values."""

    prefix = "agree"
    name = forms.CharField(
        label=_("Your name"),
        error_messages={"required": _("Enter your name. It is your signature under the offer.")},
        help_text=_("This is your signature under the offer."),
        widget=forms.TextInput(attrs={"autocomplete": "name", "maxlength": 120}),
    )
    ticked = forms.BooleanField(error_messages={"required": _("Tick this to agree.")})

    def __init__(
        self,
        data: Mapping[str, str] | None = None,
        *,
        statement: str,
        initial: Mapping[str, object] | None = None,
    ) -> None:
        super().__init__(data, initial=dict(initial or {}))
        self.fields["ticked"].label = statement


class WishForm(forms.Form):
    """What the client would like to be different."""

    prefix = "wish"
    words = forms.CharField(
        label=_("What would you like to change?"),
        error_messages={"required": _("Tell us what you would like to change.")},
        widget=forms.Textarea(attrs={"rows": 4, "maxlength": 2000}),
    )
    name = forms.CharField(
        label=_("Your name"),
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "name", "maxlength": 120}),
    )


class DeclineForm(forms.Form):
    """Why not, if the client cares to say."""

    prefix = "decline"
    words = forms.CharField(
        label=_("Reason"),
        required=False,
        widget=forms.Textarea(attrs={"rows": 3, "maxlength": 2000}),
    )
