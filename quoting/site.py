"""The place as it is: what is known of a venue put over what a design took for granted."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from events.models import Venue
from quoting.craft.design import Design, Site
from quoting.craft.takeoff import TakeOff


def at_venue(result: TakeOff, venue: Venue | None) -> TakeOff:
    """The take-off with the venue's doors and ceiling. Nothing of what was placed depends on them."""
    return replace(result, design=over(result.design, venue))


def over(design: Design, venue: Venue | None) -> Design:
    """The design at a venue: its doors and its ceiling where they are known."""
    return replace(design, site=_known(design.site, venue)) if venue else design


# Private


def _known(site: Site, venue: Venue) -> Site:
    known: dict[str, Any] = {
        name: float(value)
        for name in ("door_width_m", "door_height_m", "ceiling_m")
        if (value := getattr(venue, name)) is not None
    }
    return replace(site, **known)
