"""What to try in the demo, in five lines for each role, beside the sign-in that it starts with."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

PASSWORD: Final = "garland-on-a-string"  # noqa: S105 - the demo's, shown to whoever opens it


@dataclass(frozen=True, slots=True)
class Try:
    """One person of the demo and what to try as them."""

    role: str
    name: str
    email: str
    lines: tuple[str, ...]


GUIDE: Final = (
    Try(
        "Owner: from a call to a promise",
        "Ines Marlow",
        "ines@wickerlark.example",
        (
            "Add an enquiry from this week's page and start a quote from a design.",
            "Drag the width and the fullness and watch picture, counts and price follow.",
            "Press Make an offer and open the client's link in a private window.",
            "Open an agreed event: what is reserved, what is short, who works when.",
            "Open Settings: what clients see, your rates, your terms, your team.",
        ),
    ),
    Try(
        "Staff: stock and orders",
        "Teo Brandt",
        "teo@wickerlark.example",
        (
            "Open Shelf and see what is free on a day.",
            "Open Buy and order what an event lacks.",
            "Receive an order, and count a place.",
            "Draw a set piece of your own under Designs.",
            "Notice what you don't see: costs and margins.",
        ),
    ),
    Try(
        "Crew: the day, on a phone",
        "Marit Osei",
        "marit@wickerlark.example",
        (
            "Open the next event's load-out list and tick a few lines.",
            "Switch the network off, tick on, and switch it on again.",
            "Open the build sheet and turn the piece.",
            "Add a photo, a note and your hours.",
            "Count back what returns.",
        ),
    ),
)
