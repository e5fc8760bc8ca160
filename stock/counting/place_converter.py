"""A place of the shelf within an address, whatever it is called; no name at all stands for what has no place yet."""

from __future__ import annotations

from typing import Final

LONGEST_PLACE: Final = 40


class PlaceConverter:
    """Any text up to the length that a place has, slashes too."""

    regex = rf"[^\x00]{{0,{LONGEST_PLACE}}}"

    def to_python(self, value: str) -> str:
        """The name as it stands on the shelf."""
        return value

    def to_url(self, value: str) -> str:
        """The same; Django quotes it."""
        return value
