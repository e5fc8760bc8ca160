"""Currencies, rounding and payment codes against ISO 4217, CLDR and the official invoice examples."""

from __future__ import annotations

from decimal import Decimal

import iso4217
import pytest
from babel.numbers import get_currency_precision

from studio.money import amounts

# ISO 4217 list one, published 2026-01-01.
MINOR_UNITS = [
    ("EUR", 2),
    ("USD", 2),
    ("GBP", 2),
    ("CHF", 2),
    ("JPY", 0),
    ("KRW", 0),
    ("ISK", 0),
    ("VND", 0),
    ("KWD", 3),
    ("TND", 3),
    ("CLF", 4),
    ("HUF", 2),
    ("CAD", 2),
    ("CZK", 2),
]

# CEN/TC 434 example invoices (ConnectingEurope/eInvoicing-EN16931): VAT of a category is rounded once
# (BR-CO-17).
VAT_AMOUNTS = [  # taxable, rate, VAT
    ("NOK", "1460.50", "25", "365.13"),  # example 2: exactly 365.125, half to even would give 365.12
    ("NOK", "1.00", "15", "0.15"),  # example 2
    ("EUR", "908.91", "21", "190.87"),  # example 8
    ("DKK", "1500.00", "25", "375.00"),  # example 5
    ("EUR", "1325.00", "25", "331.25"),  # Peppol BIS Billing 3.0 base example
]


@pytest.mark.parametrize(("currency", "digits"), MINOR_UNITS)
def test_minor_units_are_those_of_iso_4217(currency: str, digits: int) -> None:
    assert amounts.minor_digits(currency) == digits


@pytest.mark.parametrize(("currency", "digits"), MINOR_UNITS)
def test_minor_units_of_common_currencies_are_also_those_of_cldr(currency: str, digits: int) -> None:
    """Unicode CLDR through Babel; where the two part (HUF in cash, IQD, ...) the ISO list counts."""
    assert get_currency_precision(currency) == digits == amounts.minor_digits(currency)


def test_every_currency_of_the_iso_list_has_its_minor_units() -> None:
    """The official list as carried by the iso4217 package; codes without minor units (gold, tests) are left
    out."""
    listed = {one.code: one.exponent for one in iso4217.Currency if one.exponent is not None}
    assert len(listed) > 150
    assert {code: amounts.minor_digits(code) for code in listed} == listed


@pytest.mark.parametrize(("currency", "taxable", "rate", "tax"), VAT_AMOUNTS)
def test_tax_is_rounded_as_in_the_official_examples(currency: str, taxable: str, rate: str, tax: str) -> None:
    exact = Decimal(taxable) * Decimal(rate) / 100
    assert amounts.rounded(exact, currency) == Decimal(tax)


def test_a_line_priced_by_the_dozen_is_rounded_as_in_the_official_example() -> None:
    """ubl-tc434-example8.xml: 132 pieces at 15.24 per 12 make 167.64 EUR."""
    assert amounts.rounded(Decimal("15.24") / 12 * 132, "EUR") == Decimal("167.64")


def test_credits_round_away_from_zero_like_charges() -> None:
    """EN 16931 rounds half up by magnitude: an invoice and its credit note cancel out."""
    assert amounts.rounded(Decimal("-365.125"), "NOK") == -amounts.rounded(Decimal("365.125"), "NOK")
