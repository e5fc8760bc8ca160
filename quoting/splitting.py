"""Amounts split in whole minor units, so that the parts always add up: a discount over taxes, a deposit out of a total.

Pure arithmetic. Shares are rounded down, and what is left goes, a unit each, to those who lost most by that
(the method of largest remainders).
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_FLOOR, Decimal

from quoting.pricing import HUNDRED, TaxAmount
from studio.money import minor_digits, rounded


def split(amount: Decimal, weights: Sequence[Decimal], currency: str) -> list[Decimal]:
    """``amount`` (whole minor units) in shares in proportion to ``weights`` (none below nothing); they add up to it.

    All of it goes to the first share where every weight is nothing.
    """
    whole = sum(weights, Decimal(0))
    if not weights:
        return []
    if not whole:
        return [amount, *(Decimal(0) for _ in weights[1:])]
    unit = Decimal(1).scaleb(-minor_digits(currency))
    exact = [abs(amount) * weight / whole for weight in weights]
    shares = [share.quantize(unit, rounding=ROUND_FLOOR) for share in exact]
    left = int((abs(amount) - sum(shares, Decimal(0))) / unit)
    neediest = sorted(range(len(weights)), key=lambda place: shares[place] - exact[place])
    for place in neediest[:left]:
        shares[place] += unit
    return [share.copy_sign(amount) if share else share for share in shares]


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


# Private


def _part(tax: TaxAmount, share: Decimal, currency: str) -> TaxAmount:
    base = rounded(share * HUNDRED / (HUNDRED + tax.tax.percent), currency)
    return TaxAmount(tax.tax, base, share - base)
