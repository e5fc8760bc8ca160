"""Random quotes are priced, and what is asked for is split, as an exact calculation of its own has it."""

from __future__ import annotations

import random
from decimal import Decimal
from fractions import Fraction

import pytest

from quoting.invoices.splitting import part_of, total_of, without
from quoting.pricing.tape import Tape, TaxAmount, price
from studio.money.amounts import split
from tests.quoting.pricing.exact_prices import (
    CURRENCIES,
    ExactPrice,
    Quote,
    as_minor,
    exact_price,
    random_quote,
)

A_FEW, MANY = 400, 5000
D = Decimal


def priced(quote: Quote) -> Tape:
    return price(
        shares=quote.shares, work=quote.work, way=quote.way, extras=quote.extras, rates=quote.rates,
        terms=quote.terms, adjustments=quote.adjustments,
    )  # fmt: skip


def in_minor_units(tape: Tape) -> ExactPrice:
    def minor(amount: Decimal) -> int:
        return as_minor(amount, tape.currency)

    return ExactPrice(
        tuple(minor(line.amount) for line in tape.lines),
        tuple((tax.tax, minor(tax.base), minor(tax.amount)) for tax in tape.taxes),
        minor(tape.net),
        minor(tape.total),
        minor(tape.deposit),
    )


def faults_of_split(tape: Tape) -> list[str]:
    """What is wrong with asking for the deposit, then for half of what is left, then for the rest."""
    asked: list[TaxAmount] = []
    faults = []
    digits = CURRENCIES[tape.currency]
    half = (tape.deposit + (tape.total - tape.deposit) / 2).quantize(D(1).scaleb(-digits))
    before = D(0)
    for until in (tape.deposit, half, tape.total):
        part = without(part_of(tape.taxes, until, tape.currency), asked)
        asked += part
        if total_of(part) != until - before:
            faults.append(f"{until - before} was to be asked for, and {total_of(part)} is")
        before = until
        for tax, one in zip(tape.taxes, _summed(asked, tape), strict=True):
            whole = Fraction(tax.base + tax.amount)
            exact = Fraction(until) * whole / Fraction(tape.total) if tape.total else whole
            if abs(Fraction(one) - exact) >= Fraction(1, 10**digits):
                faults.append(f"{one} of {tax.tax.name} until {until}, {float(exact)} in proportion")
    for tax in tape.taxes:
        parts = [one for one in asked if one.tax == tax.tax]
        if (sum(one.base for one in parts), sum(one.amount for one in parts)) != (tax.base, tax.amount):
            faults.append(f"the parts of {tax.tax.name} don't add up")
    return faults


def _summed(asked: list[TaxAmount], tape: Tape) -> list[Decimal]:
    return [sum((one.base + one.amount for one in asked if one.tax == tax.tax), D(0)) for tax in tape.taxes]


def compare(seed: int, quotes: int) -> None:
    dice = random.Random(seed)  # noqa: S311 -- quotes to try, no secrets
    wrong_prices, wrong_parts, with_negative_tax = [], [], 0
    for number in range(quotes):
        quote = random_quote(dice)
        tape = priced(quote)
        if in_minor_units(tape) != exact_price(quote):
            wrong_prices.append(number)
        if tape.total > 0:
            with_negative_tax += any(tax.base < 0 for tax in tape.taxes)
            wrong_parts += [(number, fault) for fault in faults_of_split(tape)]
    assert with_negative_tax > quotes // 50, "some have more taken off under a tax than there is"
    assert (wrong_prices, wrong_parts) == ([], [])


def test_a_few_random_quotes() -> None:
    compare(1, A_FEW)


@pytest.mark.bench
def test_many_random_quotes() -> None:
    compare(2, MANY)


def test_a_deposit_is_what_was_agreed_where_more_is_taken_off_under_a_tax_than_there_is() -> None:
    """623.80 of decor and 100 off a hired thing: 30 % of it were asked for as 153.57 in place of 93.57."""
    assert sum(split(D("93.57"), [D("411.91"), D("-100.00")], "USD")) == D("93.57")
    assert split(D("93.57"), [D("411.91"), D("-100.00")], "USD") == [D("123.57"), D("-30.00")]


@pytest.mark.parametrize("amount", [D("-93.57"), D("0.01"), D("0.00"), D("-0.01"), D("1000.00")])
@pytest.mark.parametrize("weights", [[D(3), D(-1)], [D(-1), D(3), D(-1)], [D(-5), D(2)], [D(1), D(1), D(-1)]])
def test_shares_add_up_and_are_in_proportion_whatever_the_signs(
    amount: Decimal, weights: list[Decimal]
) -> None:
    shares = split(amount, weights, "USD")
    assert sum(shares) == amount
    for share, weight in zip(shares, weights, strict=True):
        assert abs(Fraction(share) - Fraction(amount) * Fraction(weight) / Fraction(sum(weights))) < Fraction(
            1, 100
        )
