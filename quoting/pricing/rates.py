"""The studio's rates: read, kept, and as the price tape takes them."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Final

from django.core.exceptions import ValidationError
from django.db import transaction

from quoting.models import DeliveryBand, DeliveryBy, DistanceUnit, PriceBy, Rates
from quoting.pricing.inputs import Band, PriceRates, PriceTerms, Tax
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
_BANDS: Final = KeptQuery(lambda: DeliveryBand.objects.order_by("up_to"))
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


def find_bands() -> tuple[Band, ...]:
    """The table of delivery prices, whether it counts or not; nearest first."""
    require(Right.SEE_QUOTES)
    return tuple(Band(band.up_to, band.price) for band in _BANDS.rows())


def keep_client_terms(rates: Rates, bands: Sequence[tuple[int, Band]]) -> Rates:
    """Keep what clients see, and the table of delivery prices with the row that each stood in.

    Raises ``ValidationError`` at the field: ``up_to_2`` for the second row.
    """
    require(Right.EDIT_STUDIO)
    _refuse_bands(rates, bands)
    with transaction.atomic():
        rates.full_clean()
        rates.save()
        DeliveryBand.objects.all().delete()
        for _, band in bands:
            DeliveryBand.objects.create(up_to=band.up_to, price=band.price)
    return rates


def bands_of(rates: Rates) -> tuple[Band, ...] | None:
    """The studio's delivery prices by distance, nearest first; none where delivery is reckoned from costs.

    A query only where they count.
    """
    if rates.delivery_by != DeliveryBy.BANDS:
        return None
    return find_bands()


def price_rates(rates: Rates, bands: tuple[Band, ...] | None = None) -> PriceRates:
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
        bands=bands,
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


def _refuse_bands(rates: Rates, bands: Sequence[tuple[int, Band]]) -> None:
    """Each band begins where the one before it ends: no two of one distance, and none that goes back."""
    if rates.delivery_by == DeliveryBy.BANDS and not bands:
        raise ValidationError({"up_to_1": "Enter at least one distance and its price."})
    last = Decimal(0)
    for place, band in bands:
        if band.up_to <= last:
            words = f"Enter more than {last.normalize():f}: each row goes on where the one before it ends."
            raise ValidationError({f"up_to_{place}": words})
        if band.price < 0:
            raise ValidationError({f"price_{place}": "Enter a price of zero or more."})
        last = band.up_to


def _placeholders(studio: Studio) -> Rates:
    rates = Rates(distance_unit=DistanceUnit.MILE if studio.units == "feet" else DistanceUnit.KILOMETRE)
    if amounts.minor_digits(studio.currency) == 0:
        for name in AMOUNTS:
            setattr(rates, name, getattr(rates, name) * WITHOUT_MINOR_UNIT)
    return rates
