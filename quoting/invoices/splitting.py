"""A part of a total, tax by tax, so that the parts of a total always add up to it. Pure arithmetic."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal

from quoting.pricing.inputs import HUNDRED
from quoting.pricing.tape import TaxAmount
from studio.money.amounts import rounded, split


def part_of(taxes: Sequence[TaxAmount], amount: Decimal, currency: str) -> tuple[TaxAmount, ...]:
    """So much, tax inside, of a total that consists of ``taxes``: what of it is net and what is tax, by tax.

    The whole total gives the taxes as they are.
    """
    shares = split(amount, [tax.base + tax.amount for tax in taxes], currency)
    return tuple(_part(tax, share, currency) for tax, share in zip(taxes, shares, strict=True))


def without(taxes: Sequence[TaxAmount], earlier: Sequence[TaxAmount]) -> tuple[TaxAmount, ...]:
    """What is left of ``taxes`` after ``earlier`` ones, tax by tax."""
    gone: dict[object, tuple[Decimal, Decimal]] = {}
    for tax in earlier:
        base, amount = gone.get(tax.tax, (Decimal(0), Decimal(0)))
        gone[tax.tax] = (base + tax.base, amount + tax.amount)
    nothing = (Decimal(0), Decimal(0))
    return tuple(
        TaxAmount(
            tax.tax, tax.base - gone.get(tax.tax, nothing)[0], tax.amount - gone.get(tax.tax, nothing)[1]
        )
        for tax in taxes
    )


def total_of(taxes: Iterable[TaxAmount]) -> Decimal:
    """With tax."""
    return sum((tax.base + tax.amount for tax in taxes), Decimal(0))


def net_of(taxes: Iterable[TaxAmount]) -> Decimal:
    """Without tax."""
    return sum((tax.base for tax in taxes), Decimal(0))


def tax_of(taxes: Iterable[TaxAmount]) -> Decimal:
    """The tax alone."""
    return sum((tax.amount for tax in taxes), Decimal(0))


# Private


def _part(tax: TaxAmount, share: Decimal, currency: str) -> TaxAmount:
    base = rounded(share * HUNDRED / (HUNDRED + tax.tax.percent), currency)
    return TaxAmount(tax.tax, base, share - base)
