"""What a studio adds to an offer in its own words."""

from __future__ import annotations

from collections.abc import Mapping

from django import forms

from quoting.letters.texts import refuse_markup
from quoting.offers.refusals import LONGEST_WORDS


class WordsForm(forms.Form):
    """One or two sentences for this client."""

    words = forms.CharField(
        required=False,
        max_length=LONGEST_WORDS,
        label="A sentence or two in your own words",
        help_text="It stands in the e-mail and on the client’s page, and stays with the offer.",
        validators=[refuse_markup],
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def __init__(self, data: Mapping[str, str] | None = None) -> None:
        super().__init__(data)
