"""The form of a file with clients."""

from __future__ import annotations

from django import forms


class ClientsFileForm(forms.Form):
    """A file that is looked at before anything is written."""

    file = forms.FileField(
        label="CSV or vCard file",
        help_text="The first line of a CSV file names its columns. Nothing changes until you confirm.",
        widget=forms.FileInput(attrs={"accept": ".csv,text/csv,.vcf,text/vcard"}),
    )
