"""What the office types about a consent, and the switches of the public page."""

from __future__ import annotations

from django import forms

from studio.ui.forms import DayField


class ConsentForm(forms.Form):
    """Who said yes, when, and in which words."""

    given_by = forms.CharField(max_length=120, label="Who said yes")
    given_on = DayField(label="When")
    words = forms.CharField(
        max_length=1000,
        label="In which words",
        help_text="As they said or wrote it, such as “You may show photos of our party on your site.”",
        widget=forms.Textarea(attrs={"rows": 3}),
    )


class PortfolioForm(forms.Form):
    """The switches of the public page."""

    is_shown = forms.BooleanField(required=False, label="Show the portfolio in public")
    is_indexed = forms.BooleanField(required=False, label="Let search engines list it")
