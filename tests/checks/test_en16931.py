"""Line amounts, taxes and totals against published example invoices of EN 16931.

Sources, read in their XML: the UBL examples of CEN/TC 434 (ConnectingEurope/eInvoicing-EN16931, ubl-tc434-example
2, 4, 5, 8 and 9) and the examples of Peppol BIS Billing 3.0 (base-example.xml, the VAT category S example).
BT numbers are the business terms of EN 16931-1.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal

import pytest

from quoting.pricing.inputs import Extra, PriceRates, PriceTerms, Tax
from quoting.pricing.tape import line_amount, price, totals

D = Decimal

LINES = [
    # quantity BT-129, net price BT-146, base quantity BT-149, line net amount BT-131
    ("example 8", "132", "15.24", "12", "167.64"),
    ("example 8", "58", "1.53", "1", "88.74"),
    ("example 8", "1", "441.00", "12", "36.75"),
    ("example 8", "1", "678.00", "12", "56.50"),
    ("example 8", "1", "83.34", "1", "83.34"),
    ("example 8", "1", "190.31", "1", "190.31"),
    ("example 4", "1000", "1.00", "1", "1000.00"),
    ("example 4", "500", "5.00", "1", "2500.00"),
    ("base example", "7", "400", "1", "2800.00"),
    ("base example", "-3", "500", "1", "-1500.00"),
]


@pytest.mark.parametrize(("example", "quantity", "net_price", "per", "amount"), LINES)
def test_a_line_s_amount_is_that_of_the_example(
    example: str, quantity: str, net_price: str, per: str, amount: str
) -> None:
    assert line_amount(D(quantity), D(net_price), per=D(per), currency="EUR") == D(amount), example


@dataclass(frozen=True)
class Example:
    name: str
    currency: str
    by_rate: tuple[tuple[str, str, str], ...]
    """Rate BT-119, taxable amount BT-116, tax BT-117."""
    net: str
    tax: str
    total: str


EXAMPLES = [
    Example("CEN/TC 434 example 2", "NOK",
            (("25", "1460.50", "365.13"), ("15", "1.00", "0.15"), ("0", "-25.00", "0.00")),
            "1436.50", "365.28", "1801.78"),
    Example("CEN/TC 434 example 5", "DKK", (("25", "1500.00", "375.00"), ("12", "2500.00", "300.00")),
            "4000.00", "675.00", "4675.00"),
    Example("CEN/TC 434 example 8", "EUR", (("21", "908.91", "190.87"),), "908.91", "190.87", "1099.78"),
    Example("CEN/TC 434 example 9", "EUR", (("21", "147.00", "30.87"),), "147.00", "30.87", "177.87"),
    Example("Peppol BIS base example", "EUR", (("25", "1325.00", "331.25"),), "1325.00", "331.25", "1656.25"),
    Example("Peppol BIS VAT category S", "EUR", (("25", "5000.00", "1250.00"), ("15", "2000.00", "300.00")),
            "7000.00", "1550.00", "8550.00"),
]  # fmt: skip


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: example.name)
def test_taxes_and_total_are_those_of_the_example(example: Example) -> None:
    amounts = [(Tax("VAT", D(rate)), D(base)) for rate, base, _ in example.by_rate]
    net, taxes, total = totals(amounts, currency=example.currency)
    assert [(tax.tax.percent, tax.base, tax.amount) for tax in taxes] == [
        (D(rate), D(base), D(tax)) for rate, base, tax in example.by_rate
    ]
    assert (net, sum(tax.amount for tax in taxes), total) == (
        D(example.net),
        D(example.tax),
        D(example.total),
    )


def test_half_a_cent_of_tax_is_rounded_up_as_example_2_does_and_not_to_even() -> None:
    (_, (tax,), _) = totals([(Tax("VAT", D(25)), D("1460.50"))], currency="NOK")
    exact = D("1460.50") * D("0.25")
    assert exact == D("365.125")
    assert tax.amount == D("365.13") != exact.quantize(D("0.01"), rounding=ROUND_HALF_EVEN)


def test_the_base_example_as_free_lines_of_a_quote_gives_its_totals() -> None:
    """Seven at 400, three taken back at 500, a charge of 25 (Peppol BIS, base-example.xml)."""
    tape = price(
        extras=[
            Extra("seven", D(7), D(400)),
            Extra("taken back", D(3), D(-500)),
            Extra("insurance", D(1), D(25)),
        ],
        rates=PriceRates(),
        terms=PriceTerms("EUR", default_tax=Tax("VAT", D(25))),
    )
    assert (tape.net, tape.taxes[0].amount, tape.total) == (D("1325.00"), D("331.25"), D("1656.25"))
