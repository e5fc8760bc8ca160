"""The place where a set piece stands: what is known of a venue put over what a design took for granted, and what that
means for prep, van and wind.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from typing import Final

from events.models import Venue
from events.models.venue import Setting
from quoting.craft.design.records import Design, Site
from quoting.craft.site.placing import Facts, in_the_open, with_fact
from quoting.craft.takeoff.takeoff import TakeOff
from studio.models import Studio

ALTERED_HERE: Final = (
    "temperature_c", "prep_temperature_c", "altitude_m", "prep_altitude_m", "outdoors", "gust_m_s", "carry_m", "steps",
    "lift",
)  # fmt: skip
"""What may be changed on the quote page, as fields of the site."""


def at_venue(result: TakeOff, venue: Venue | None) -> TakeOff:
    """The take-off with the venue's doors and ceiling. Nothing of what was placed depends on them."""
    return replace(result, design=over(result.design, venue))


def over(design: Design, venue: Venue | None) -> Design:
    """The design at a venue: its doors and its ceiling where they are known."""
    return replace(design, site=_known(design.site, venue)) if venue else design


def first_placed(design: Design, venue: Venue | None, studio: Studio) -> Design:
    """The design as it goes to a venue at first: its climate, the way in, its roof or the gust to be judged by.

    A venue that is indoors and outdoors counts as open to the wind until somebody says that the piece stands inside.
    Warmth, elevation and way of the place that the design was drawn for stay behind. What isn't known of the venue is
    as it is in the studio.
    """
    climate = _climate(venue, _within_range("altitude_m", float(studio.altitude_m)))
    placed = over(replace(design, site=replace(design.site, **climate, **_way_in(venue))), venue)
    if venue is None:
        return placed
    return replace(placed, site=in_the_open(placed.site, outdoors=venue.setting != Setting.INDOOR))


def with_site(design: Design, name: str, value: float) -> Design:
    """The design with one fact of its site changed. Raises ``DesignError`` at ``site.<name>`` out of its range."""
    return with_fact(design, name, value, among=ALTERED_HERE)


def judged_gust_m_s(site: Mapping[str, float]) -> float:
    """The gust of a design's document that its piece is held for; 0 indoors."""
    return site.get("gust_m_s", 0.0) if site.get("outdoors") else 0.0


# Private


def _climate(venue: Venue | None, studio_altitude_m: float) -> Facts:
    climate: Facts = {name: getattr(Site(), name) for name in ("temperature_c", "prep_temperature_c")}
    climate |= {"altitude_m": studio_altitude_m, "prep_altitude_m": studio_altitude_m}
    for name in ("temperature_c", "altitude_m"):
        known = getattr(venue, name, None)
        if known is not None:
            climate[name] = _within_range(name, float(known))
    return climate


def _way_in(venue: Venue | None) -> Facts:
    """The way from the van; what isn't known of it is as a design takes it for granted."""
    way: Facts = {name: getattr(Site(), name) for name in ("carry_m", "steps", "lift")}
    if venue is None:
        return way
    if venue.carry_m is not None:
        way["carry_m"] = float(venue.carry_m)
    return {**way, "steps": venue.stairs or 0, "lift": venue.lift_takes_loads}


def _within_range(name: str, value: float) -> float:
    """The nearest value of a site's fact that the laws of air are given for: a venue may lie beyond it."""
    rule = next(field.metadata["rule"] for field in fields(Site) if field.name == name)
    return float(min(max(value, rule.low), rule.high))


def _known(site: Site, venue: Venue) -> Site:
    known: Facts = {
        name: float(value)
        for name in ("door_width_m", "door_height_m", "ceiling_m")
        if (value := getattr(venue, name)) is not None
    }
    return replace(site, **known)
