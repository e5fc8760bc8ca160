"""A URL converter for places on the shelf; the empty name is for items without a place."""

from __future__ import annotations

from typing import Final

LONGEST_PLACE: Final = 40


class PlaceConverter:
    """Any text up to the length of a place, slashes included."""

    regex = rf"[^\x00]{{0,{LONGEST_PLACE}}}"

    def to_python(self, value: str) -> str:
        """The name as it is in the address."""
        return value

    def to_url(self, value: str) -> str:
        """The same; Django quotes it."""
        return value
