"""A studio that never kept rates starts with placeholders in its own units and currency."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

import pytest

from quoting.models import DistanceUnit, PriceBy, Rates
from quoting.pricing.rates import or_placeholders, price_rates
from studio.models import Studio
from tests.people import House


@pytest.fixture(autouse=True)
def _entered(wickerlark: House) -> Iterator[None]:
    with wickerlark.enter():
        yield


@pytest.mark.parametrize(("units", "unit"), [("feet", DistanceUnit.MILE), ("metres", DistanceUnit.KILOMETRE)])
def test_roads_are_measured_as_the_studio_measures(units: str, unit: str) -> None:
    assert or_placeholders(None, Studio(units=units, currency="EUR")).distance_unit == unit


def test_a_currency_without_cents_starts_a_hundred_times_as_high() -> None:
    cents = or_placeholders(None, Studio(units="metres", currency="EUR"))
    whole = or_placeholders(None, Studio(units="metres", currency="JPY"))
    for name in ("prep_hour", "install_hour", "strike_hour", "drive_hour", "van_distance", "van_hour"):
        assert getattr(whole, name) == 100 * getattr(cents, name)
    assert cents.prep_hour > 0
    assert whole.minimum_call_hours == cents.minimum_call_hours


def test_what_was_kept_stays() -> None:
    own = Rates(prep_hour=Decimal(31))
    assert or_placeholders(own, Studio(units="feet", currency="JPY")) is own


def test_the_margin_aimed_at_counts_only_where_prices_are_built_by_it() -> None:
    rates = Rates(margin_percent=Decimal(40), price_by=PriceBy.MARGIN)
    assert price_rates(rates).margin_percent == Decimal(40)
    rates.price_by = next(way for way in PriceBy if way != PriceBy.MARGIN)
    assert price_rates(rates).margin_percent is None
