"""django-allauth's forms in our own words: labels that stay, no placeholders that vanish."""

from __future__ import annotations

from typing import Any

from allauth.account.forms import LoginForm, ResetPasswordForm, SignupForm
from django import forms

LABELS = {
    "login": "E-mail address",
    "email": "E-mail address",
    "password": "Password",
    "password1": "Password",
    "password2": "Confirm password",
}


class PlainWords:
    """Says what a field is beside it, not inside it."""

    fields: dict[str, forms.Field]

    # Arguments and bases are allauth's, which has no types.
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            field.label = LABELS.get(name, field.label)
            field.widget.attrs.pop("placeholder", None)


class SignInForm(PlainWords, LoginForm):  # type: ignore[misc] # as above
    """Address and password."""


class SignUpForm(PlainWords, SignupForm):  # type: ignore[misc] # as above
    """Address, name and password of an invited person."""


class ForgottenPasswordForm(PlainWords, ResetPasswordForm):  # type: ignore[misc] # as above
    """Where to send the link."""
