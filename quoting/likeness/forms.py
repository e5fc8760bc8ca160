"""The forms of a picture that a client likes: the picture, and which of its colours count."""

from __future__ import annotations

import io
import re
from typing import Final

from django import forms
from django.core.exceptions import ValidationError
from django.core.files import File

from quoting.craft.colour.picture_colours import PictureColour, PictureColours, picture_colours
from studio.paper import images

LOOKED_AT_PX: Final = 160
"""So many pixels on the longer side are enough for colours and proportion (setting)."""
WRITTEN: Final = re.compile(r"([0-9a-f]{6})-(\d{1,4})-([01])")
MOST_COLOURS: Final = 8
FARTHEST_PROPORTION: Final = 20.0


class PictureForm(forms.Form):
    """A picture to look at; nothing of it is kept."""

    picture = forms.FileField(
        label="Picture", help_text="PNG, JPEG or WebP, up to 12 MB. It is not kept.",
        widget=forms.FileInput(attrs={"accept": "image/png,image/jpeg,image/webp"}),
    )  # fmt: skip
    found: PictureColours

    def clean_picture(self) -> File[bytes]:
        upload: File[bytes] = self.cleaned_data["picture"]
        content = io.BytesIO(upload.read())
        seen = images.pixels(content, size=upload.size, longest_side_px=LOOKED_AT_PX)
        if min(seen.shape[:2]) < 8:
            raise ValidationError("The picture is too small: send one of at least 8 by 8 pixels.")
        self.found = picture_colours(seen)
        return upload


class FoundForm(forms.Form):
    """What a picture showed, as the address carries it: ``found`` and ``proportion``; ``use`` is what was ticked."""

    found = forms.CharField(max_length=200)
    proportion = forms.FloatField(min_value=1 / FARTHEST_PROPORTION, max_value=FARTHEST_PROPORTION)

    def clean_found(self) -> tuple[PictureColour, ...]:
        words = str(self.cleaned_data["found"]).split(",")
        read = [WRITTEN.fullmatch(word) for word in words]
        colours = tuple(PictureColour(f"#{one[1]}", int(one[2]) / 1000, one[3] == "1") for one in read if one)
        if len(colours) != len(words) or len(words) > MOST_COLOURS or not all(one.share for one in colours):
            raise ValidationError("This address is not complete.")
        return colours


def written(colours: tuple[PictureColour, ...]) -> str:
    """Colours as the address carries them.

    >>> written((PictureColour("#efe6d6", 0.3814, True),))
    'efe6d6-381-1'
    """
    return ",".join(f"{one.hex[1:]}-{round(1000 * one.share)}-{int(one.is_behind)}" for one in colours)
