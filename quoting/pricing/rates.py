"""The studio's rates: read, kept, and as the price tape takes them."""

from __future__ import annotations

from decimal import Decimal
from typing import Final

from quoting.models import DistanceUnit, PriceBy, Rates
from quoting.pricing.inputs import PriceRates, PriceTerms, Tax
from studio.models import Studio, TaxRate
from studio.money import amounts
from studio.tenancy.access import require
from studio.tenancy.kept_query import KeptQuery
from studio.tenancy.rights import Right

AMOUNTS: Final = (
    "prep_hour",
    "install_hour",
    "strike_hour",
    "drive_hour",
    "van_distance",
    "van_hour",
    "print_m2",
)
WITHOUT_MINOR_UNIT: Final = 100
"""Placeholders are made for currencies with cents; where there are none they are this many times as high."""
_KEPT: Final = KeptQuery(lambda: Rates.objects.order_by("pk")[:1])


def rates_of(studio: Studio) -> Rates:
    """The entered studio's rates, or the placeholders that it starts with (not saved)."""
    require(Right.SEE_QUOTES)
    return or_placeholders(_KEPT.first(), studio)


def or_placeholders(kept: Rates | None, studio: Studio) -> Rates:
    """The rates at hand, or where none were ever kept the placeholders that a studio starts with (not saved)."""
    return kept or _placeholders(studio)


def keep_rates(rates: Rates) -> Rates:
    """Keep the rates; quotes are priced with them from now on, what was offered stays. Raises ``ValidationError``."""
    require(Right.EDIT_STUDIO)
    rates.full_clean()
    rates.save()
    return rates


def price_rates(rates: Rates) -> PriceRates:
    """What the price tape needs of them."""
    return PriceRates(
        prep_hour=rates.prep_hour,
        install_hour=rates.install_hour,
        strike_hour=rates.strike_hour,
        drive_hour=rates.drive_hour,
        minimum_call_hours=rates.minimum_call_hours,
        distance_unit=rates.distance_unit,
        van_distance=rates.van_distance,
        van_hour=rates.van_hour,
        overhead_percent=rates.overhead_percent,
        markup_percent=rates.markup_percent,
        margin_percent=rates.margin_percent if rates.price_by == PriceBy.MARGIN else None,
        minimum_order=rates.minimum_order,
        rounding_step=rates.rounding_step,
    )


def price_terms(studio: Studio, standing: list[TaxRate]) -> PriceTerms:
    """Currency, default tax and deposit; without any tax kept, prices carry none."""
    default = next((tax for tax in standing if tax.is_default), None)
    return PriceTerms(
        currency=studio.currency,
        default_tax=as_tax(default) if default else Tax("No tax", Decimal(0)),
        inclusive=studio.prices_include_tax,
        deposit_percent=studio.deposit_percent,
    )


def as_tax(rate: TaxRate) -> Tax:
    """A kept tax as the tape knows it."""
    return Tax(rate.name, rate.percent)


# Private


def _placeholders(studio: Studio) -> Rates:
    rates = Rates(distance_unit=DistanceUnit.MILE if studio.units == "feet" else DistanceUnit.KILOMETRE)
    if amounts.minor_digits(studio.currency) == 0:
        for name in AMOUNTS:
            setattr(rates, name, getattr(rates, name) * WITHOUT_MINOR_UNIT)
    return rates
