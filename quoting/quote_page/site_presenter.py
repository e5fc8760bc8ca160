"""Prep and site on the quote page: only what applies to this piece at this place, in the studio's units."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from events.models import Event, Venue
from quoting.craft.air.wind import FRICTION
from quoting.craft.design.things import CARRIED_KG
from quoting.craft.sheets.stored import StoredPrep, stored_prep
from quoting.craft.site.transport import Box, goes_through
from quoting.craft.takeoff.sign_room import MUCH_OF_A_SIGN
from quoting.models import SetPiece
from quoting.set_pieces import measures
from quoting.set_pieces.presenter import frame_words, limit_words
from quoting.set_pieces.site import judged_gust_m_s
from quoting.set_pieces.worked import taken_off
from studio.measures import air
from studio.models.spelling import spelled
from studio.trade.cautions import HELIUM, RELEASE, WIND
from studio.trade.packing import FRAME_DEPTH_M

BARE_STEEL: Final = FRICTION["steel", "concrete"]
"""Friction that the wind figures take for granted."""


@dataclass(frozen=True, slots=True)
class Card:
    """One matter: its facts, and the caution that goes with them."""

    title: str
    facts: tuple[tuple[str, str], ...]
    note: str = ""
    caution: str = ""


@dataclass(frozen=True, slots=True)
class SiteWords:
    """What prep and site ask of a piece. ``minds`` are said in sight, the cards are folded away."""

    summary: str
    minds: tuple[str, ...]
    cards: tuple[Card, ...]
    limits: str = ""
    """At which gusts somebody watches the wind and takes the piece down; empty indoors."""


def site_words(piece: SetPiece, event: Event, units: str) -> SiteWords:
    """What to say of a set piece at the event's venue. No query where event and venue are loaded."""
    found = piece.takeoff.prep or stored_prep(taken_off(piece.read_design()))
    if found.fault:
        return SiteWords("", (found.fault,), ())
    venue, site = event.venue, piece.design.get("site", {})
    doors, stuck = _doors(piece, venue, units)
    cards = [
        _sizing(found, site, units),
        _van(found, doors, units),
        _wind(found, units),
        _helium(found, units),
    ]
    minds = [*stuck, *_wind_minds(found, units), *_sign_minds(found), *_ring_minds(found, units)]
    words = [f"{measures.volume(found.volume_m3, units)} in the van"]
    if found.wind:
        words.append(f"falls over at a gust of {air.speed_limit(found.wind.comes_down_at_m_s, units)}")
    if cards[0]:
        words.append("sized for the site")
    gust = judged_gust_m_s(site)
    limits = limit_words(gust, units) if gust > 0 else ""
    return SiteWords(", ".join(words), tuple(minds), tuple(card for card in cards if card), limits)


# Private


def _sizing(found: StoredPrep, site: Mapping[str, float], units: str) -> Card | None:
    """The ring, where the place asks for another one than the design's."""
    rows = [row for row in found.rings if _span(row.ring_m, units) != _span(row.site_m, units)]
    if not rows:
        return None
    facts = tuple(
        (
            f"{row.size_in} in",
            f"ring {_span(row.ring_m, units)} for {_span(row.site_m, units)} there",
        )
        for row in found.rings
    )
    prep, there = site.get("prep_temperature_c", 20.0), site.get("temperature_c", 20.0)
    note = f"Sized at {air.warmth(prep, units)} in the studio, hung at {air.warmth(there, units)}"
    rise = site.get("altitude_m", 0.0) - site.get("prep_altitude_m", 0.0)
    if abs(rise) >= 1:
        way = "higher up" if rise > 0 else "lower down"
        note += f", {abs(air.in_rise(rise, units)):,.0f} {air.rise_unit(units)} {way}"
    return Card("Sizing ring", facts, f"{note}.")


def _span(ends: tuple[float, float], units: str) -> str:
    least, most = (measures.ring(end, units) for end in ends)
    return least if least == most else f"{least.rpartition(' ')[0]} to {most}"


def _ring_minds(found: StoredPrep, units: str) -> list[str]:
    return [f"{row.size_in} in: {row.note}" for row in found.rings if row.note]


def _doors(piece: SetPiece, venue: Venue | None, units: str) -> tuple[str, list[str]]:
    """How the frames go through the venue's narrowest door; what doesn't is listed in sight."""
    frames = [frame for frame in piece.design.get("frames", []) if frame.get("weight_kg", 0) <= CARRIED_KG]
    if not frames:
        return "", []
    if venue is None or venue.door_width_m is None:
        return "width not known yet", []
    width, height = float(venue.door_width_m), float(venue.door_height_m or 0) or 2.0
    door = measures.length(width, units)
    if venue.door_height_m is not None:
        door += f" × {measures.length(height, units)}"
    ways = [
        (
            frame["label"],
            goes_through(
                Box((frame["width_m"], frame["height_m"], FRAME_DEPTH_M)), width=width, height=height
            ),
        )
        for frame in frames
    ]
    stuck = [label for label, way in ways if not way.passes]
    if stuck:
        words = frame_words(stuck)
        return f"{door}: doesn't fit in one piece", [
            f"{words[:1].upper()}{words[1:]} won't fit through the {door} door in one piece."
        ]
    tilted = any(way.tilted for _, way in ways)
    return f"{door}: fits{', tilted' if tilted else ''}", []


def _van(found: StoredPrep, door: str, units: str) -> Card:
    facts = [("Packed", measures.volume(found.volume_m3, units))]
    if found.longest_m:
        facts.append(("Longest piece", measures.length(found.longest_m, units)))
    if found.mass_kg:
        facts.append(("Frames and sign", measures.weight(found.mass_kg, units)))
    if door:
        facts.append(("Narrowest door", door))
    return Card("In the van", tuple(facts))


def _wind(found: StoredPrep, units: str) -> Card | None:
    wind = found.wind
    if not wind:
        return None
    tips, slides = (air.speed_limit(gust, units) for gust in (wind.tips_at_m_s, wind.slides_at_m_s))
    gust = air.speed(wind.gust_m_s, units)
    facts = (
        ("Without ballast", f"tips over at a gust of {tips}, slides on bare steel feet at {slides}"),
        (f"Tipping at {gust}", f"{_ballast(wind.against_tipping_kg, units)} of ballast on its feet"),
        (
            f"Sliding at {gust}",
            f"{_ballast(wind.against_sliding_kg, units)}, or fix the feet to the ground",
        ),
    )
    note = f"Bare steel feet on concrete, friction {BARE_STEEL:g}; wet or sandy ground holds less."
    return Card("Wind", facts, note, WIND.shown)


def _ballast(kg: float, units: str) -> str:
    return measures.weight_up(kg, units) if kg else "none"


def _wind_minds(found: StoredPrep, units: str) -> list[str]:
    wind = found.wind
    if not wind:
        return []
    gust = air.speed(wind.gust_m_s, units)
    if not wind.against_tipping_kg and not wind.against_sliding_kg:
        return []
    needs = []
    if wind.against_tipping_kg:
        needs.append(f"needs {measures.weight_up(wind.against_tipping_kg, units)} of ballast against tipping")
    if wind.against_sliding_kg:
        needs.append("must be fixed against sliding")
    return [
        f"Outdoors, at a gust of {gust}, it {' and '.join(needs)}: this is an estimate; the site's rules come first."
    ]


def _sign_minds(found: StoredPrep) -> list[str]:
    minds = []
    if found.sign_hidden >= MUCH_OF_A_SIGN:
        minds.append(f"Balloons hide about {found.sign_hidden:.0%} of the sign.".replace("%", " %"))
    if found.sign_outside >= MUCH_OF_A_SIGN:
        minds.append(
            f"About {found.sign_outside:.0%} of the sign stands out past its frame.".replace("%", " %")
        )
    return minds


def _helium(found: StoredPrep, units: str) -> Card | None:
    helium = found.helium
    if not helium:
        return None
    facts = [
        (
            one.label,
            (
                f"lifts {measures.small_weight(max(one.net_lift_kg, 0), units)}, weight "
                f"{measures.small_weight(one.weight_kg, units)} or more, "
                f"afloat {one.hours[0]:.0f} to {one.hours[1]:.0f} h"
            ),
        )
        for one in helium.bouquets
    ]
    many = helium.cylinders
    cylinders = f"{many} cylinder{'' if many == 1 else 's'} of 10 {spelled('liters')}"
    facts.append(("Gas", f"{measures.volume(helium.gas_m3, units)}, {cylinders}"))
    note = "Float times are common practice for untreated latex. Promise the lower figure."
    return Card("Helium", tuple(facts), note, f"{HELIUM.text} {RELEASE.shown}")
