"""The form fields of a place's air, each with its present value."""

from __future__ import annotations

from decimal import Decimal

from django import forms

from events.contacts.forms import FARTHEST_CARRY
from quoting.craft.design.records import Site
from studio.ui.forms import LengthField
from studio.ui.scale_field import GUST, RISE, WARMTH, Scale, ScaleField


def site_fields(site: Site, units: str) -> dict[str, tuple[forms.Field, object]]:
    """The fields of a site by their keys in :func:`quoting.set_pieces.alter.altered`, each with its present value."""
    found: dict[str, tuple[forms.Field, object]] = {
        "site.prep_temperature_c": (_field(WARMTH, units, "Studio temperature"), site.prep_temperature_c),
        "site.temperature_c": (_field(WARMTH, units, "Site temperature"), site.temperature_c),
        "site.prep_altitude_m": (_field(RISE, units, "Studio elevation"), site.prep_altitude_m),
        "site.altitude_m": (_field(RISE, units, "Site elevation"), site.altitude_m),
        "site.carry_m": (_carry(units), site.carry_m),
        "site.steps": (forms.IntegerField(min_value=0, max_value=2000, label="Steps on the way"), site.steps),
        "site.lift": (forms.BooleanField(required=False, label="Loads go by lift"), site.lift),
        "site.outdoors": (forms.BooleanField(required=False, label="Outdoors"), site.outdoors),
    }
    if site.outdoors:
        found["site.gust_m_s"] = (_field(GUST, units, "Gust to withstand"), site.gust_m_s)
    return found


# Private


def _carry(units: str) -> LengthField:
    return LengthField(units=units, least=Decimal(0), most=FARTHEST_CARRY, label="From the van to the room")


def _field(scale: Scale, units: str, label: str) -> ScaleField:
    return ScaleField(scale=scale, units=units, label=label)
