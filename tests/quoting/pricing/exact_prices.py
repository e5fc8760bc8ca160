"""Prices worked out a second time, in exact fractions and whole minor units, from the rules of EN 16931-1 alone.

It shares no arithmetic with the product: no ``Decimal``, no rounding or splitting of its. An amount is a whole number
of minor units; a tax is its rate in per cent. What is spread over taxes goes by largest remainders, the earlier tax
first among equals.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from quoting.pricing.inputs import Adjustments, Extra, Goods, PriceRates, PriceTerms, Share, Tax, Way, Work

CURRENCIES = {"EUR": 2, "USD": 2, "JPY": 0, "KWD": 3}
TAXES = (
    Tax("Standard", Decimal(19)),
    Tax("Reduced", Decimal("7")),
    Tax("Sales tax", Decimal("6.25")),
    Tax("None", Decimal(0)),
)


@dataclass(frozen=True)
class Quote:
    """Everything that a price is worked out from."""

    shares: tuple[Share, ...]
    work: Work | None
    way: Way | None
    extras: tuple[Extra, ...]
    rates: PriceRates
    terms: PriceTerms
    adjustments: Adjustments


@dataclass(frozen=True)
class ExactPrice:
    """In minor units; taxes by their place of first use: rate, base, amount."""

    lines: tuple[int, ...]
    taxes: tuple[tuple[Tax, int, int], ...]
    net: int
    total: int
    deposit: int


def random_quote(dice: random.Random) -> Quote:
    """A quote of a small studio: round and odd figures, free lines with either sign under any tax."""
    currency = dice.choice(list(CURRENCIES))
    digits = CURRENCIES[currency]

    def money(most: int) -> Decimal:
        return Decimal(dice.randint(0, most * 10**digits)).scaleb(-digits)

    def percent(most: int) -> Decimal:
        return Decimal(dice.choice([0, 0, dice.randint(0, most * 100)])) / 100

    def minutes() -> Decimal:
        return Decimal(dice.randint(0, 60000)) / 100

    goods = [
        Goods(
            code=f"item-{number % 4}", quantity=dice.randint(1, 400), cost=money(40),
            per=dice.choice([1, 1, 50, 100]), bag_of=100 if number % 4 == 0 else 0,
            price=money(20) if dice.random() < 0.1 else None,
            tax=dice.choice([None, None, *TAXES]), care=money(3) if dice.random() < 0.2 else Decimal(0),
        )
        for number in range(dice.randint(1, 8))
    ]  # fmt: skip
    halves = dice.randint(0, len(goods))
    return Quote(
        shares=(
            Share("garland", "Garland", "", tuple(goods[:halves])),
            Share("frames", "Frames", "", tuple(goods[halves:])),
        ),
        work=Work(minutes(), minutes(), minutes(), washing=minutes(), crew=dice.randint(1, 4)),
        way=Way(dice.randint(0, 90000), dice.randint(0, 90), dice.randint(0, 3)),
        extras=tuple(
            Extra(
                "Free line", Decimal(dice.randint(1, 12)) / dice.choice([1, 1, 4]),
                money(120) * dice.choice([1, 1, -1]), dice.choice([None, *TAXES]),
            )
            for _ in range(dice.randint(0, 4))
        ),
        rates=PriceRates(
            prep_hour=money(40), install_hour=money(50), strike_hour=money(45), drive_hour=money(30),
            minimum_call_hours=Decimal(dice.randint(0, 16)) / 4, distance_unit=dice.choice(["km", "mile"]),
            van_distance=money(2), van_hour=money(20), overhead_percent=percent(30), markup_percent=percent(90),
            margin_percent=percent(80) if dice.random() < 0.4 else None,
            minimum_order=money(300) if dice.random() < 0.3 else Decimal(0),
            rounding_step=Decimal(dice.choice([0, 0, 1, 5])),
        ),
        terms=PriceTerms(currency, dice.choice(TAXES), dice.random() < 0.5, percent(100)),
        adjustments=_random_adjustments(dice, percent, money),
    )  # fmt: skip


def exact_price(quote: Quote) -> ExactPrice:
    """The price of the quote."""
    per_unit = _units(quote.terms.currency)
    lines = [*_goods(quote, per_unit), *_labor(quote, per_unit), *_van(quote, per_unit)]
    lines += [
        (extra.tax or quote.terms.default_tax, minor(_f(extra.quantity) * _f(extra.unit_price), per_unit))
        for extra in quote.extras
    ]
    lines += _spread(
        minor(Fraction(max(_sum(lines), 0)) * _share(quote.adjustments.rush_percent)), lines, quote
    )
    lines += _spread(_up_to_minimum(quote, lines, per_unit), lines, quote)
    lines += _spread(-_discount(quote, lines, per_unit), lines, quote)
    lines += _spread(_rounding(quote, lines, per_unit), lines, quote)
    taxes = tuple(_taxes(lines, inclusive=quote.terms.inclusive))
    net, total = sum(base for _, base, _ in taxes), sum(base + tax for _, base, tax in taxes)
    deposit = minor(total * _share(quote.terms.deposit_percent))
    return ExactPrice(tuple(amount for _, amount in lines), taxes, net, total, deposit)


def minor(exact: Fraction, per_unit: int = 1) -> int:
    """The nearest whole number of minor units, halves away from zero."""
    scaled = abs(exact) * per_unit
    nearest = (2 * scaled.numerator + scaled.denominator) // (2 * scaled.denominator)
    return nearest if exact >= 0 else -nearest


def as_minor(amount: Decimal, currency: str) -> int:
    """A written amount in minor units; it has no smaller part."""
    exact = _f(amount) * _units(currency)
    assert exact.denominator == 1
    return exact.numerator


# Private

Line = tuple[Tax, int]


Figure = Callable[[int], Decimal]


def _random_adjustments(dice: random.Random, percent: Figure, money: Figure) -> Adjustments:
    kind = dice.randint(0, 2)
    return Adjustments(
        rush_percent=percent(50),
        discount_percent=percent(40) if kind == 1 else Decimal(0),
        discount_amount=money(80) if kind == 2 else Decimal(0),
    )


def _units(currency: str) -> int:
    """Minor units in one of the currency."""
    return int(f"1{'0' * CURRENCIES[currency]}")


def _f(number: Decimal | int) -> Fraction:
    return Fraction(number)


def _share(percent: Decimal) -> Fraction:
    return _f(percent) / 100


def _sum(lines: Iterable[Line]) -> int:
    return sum(amount for _, amount in lines)


def _built(cost: Fraction, tax: Tax, quote: Quote) -> Fraction:
    """Cost and overhead, times mark-up or over what the margin leaves, with tax where prices have it."""
    rates = quote.rates
    covered = cost * (1 + _share(rates.overhead_percent))
    aim = rates.margin_percent
    sold = covered * (1 + _share(rates.markup_percent)) if aim is None else covered / (1 - _share(aim))
    return sold * (1 + _share(tax.percent)) if quote.terms.inclusive else sold


def _goods(quote: Quote, per_unit: int) -> list[Line]:
    every = [goods for share in quote.shares for goods in share.goods]
    lines = []
    for share in quote.shares:
        by_tax: dict[Tax, Fraction] = {}
        for goods in share.goods:
            tax = goods.tax or quote.terms.default_tax
            used = Fraction(goods.quantity)
            charged = used
            if goods.bag_of:
                together = sum(each.quantity for each in every if each.code == goods.code and each.bag_of)
                charged = used * Fraction(-(-together // goods.bag_of) * goods.bag_of, together)
            cost = _f(goods.cost) * charged / goods.per + _f(goods.care) * used
            asked = _built(cost, tax, quote) if goods.price is None else _f(goods.price) * used
            by_tax[tax] = by_tax.get(tax, Fraction(0)) + asked
        lines += [(tax, minor(asked, per_unit)) for tax, asked in by_tax.items()]
    return lines


def _labor(quote: Quote, per_unit: int) -> list[Line]:
    work, rates = quote.work, quote.rates
    if work is None or not (work.prep or work.install or work.strike or work.washing):
        return []
    least = _f(rates.minimum_call_hours) * work.crew
    cost = _f(work.prep + work.washing) * _f(rates.prep_hour) / 60
    for minutes, hour in ((work.install, rates.install_hour), (work.strike, rates.strike_hour)):
        cost += max(_f(minutes) / 60, least) * _f(hour) if minutes else 0
    tax = quote.terms.default_tax
    return [(tax, minor(_built(cost, tax, quote), per_unit))]


def _van(quote: Quote, per_unit: int) -> list[Line]:
    way, rates = quote.way, quote.rates
    if way is None or not way.trips or not (way.distance_m or way.drive_minutes):
        return []
    metres = Fraction(1000) if rates.distance_unit == "km" else Fraction(1609344, 1000)
    crew = quote.work.crew if quote.work else 1
    far = Fraction(way.distance_m) / metres * 2 * way.trips
    hours = Fraction(way.drive_minutes, 60) * 2 * way.trips
    cost = far * _f(rates.van_distance) + hours * (_f(rates.van_hour) + _f(rates.drive_hour) * crew)
    tax = quote.terms.default_tax
    return [(tax, minor(_built(cost, tax, quote), per_unit))]


def _up_to_minimum(quote: Quote, lines: Sequence[Line], per_unit: int) -> int:
    there = _sum(lines)
    return max(minor(_f(quote.rates.minimum_order), per_unit) - there, 0) if lines and there >= 0 else 0


def _discount(quote: Quote, lines: Sequence[Line], per_unit: int) -> int:
    there, taken = max(_sum(lines), 0), quote.adjustments
    asked = minor(_f(taken.discount_amount), per_unit) or minor(there * _share(taken.discount_percent))
    return min(asked, there)


def _rounding(quote: Quote, lines: Sequence[Line], per_unit: int) -> int:
    there, step = _sum(lines), minor(_f(quote.rates.rounding_step), per_unit)
    return -there % step if step and there > 0 else 0


def _spread(amount: int, lines: Sequence[Line], quote: Quote) -> list[Line]:
    if not amount:
        return []
    sums: dict[Tax, int] = {}
    for tax, each in lines:
        sums[tax] = sums.get(tax, 0) + each
    taxes = list(sums) or [quote.terms.default_tax]
    weights = [max(sums.get(tax, 0), 0) for tax in taxes]
    if not sum(weights):
        return [(taxes[0], amount)]
    exact = [Fraction(abs(amount) * weight, sum(weights)) for weight in weights]
    shares = [math.floor(share) for share in exact]
    lost = sorted(range(len(taxes)), key=lambda place: (shares[place] - exact[place], place))
    for place in lost[: abs(amount) - sum(shares)]:
        shares[place] += 1
    sign = 1 if amount > 0 else -1
    return [(tax, sign * share) for tax, share in zip(taxes, shares, strict=True) if share]


def _taxes(lines: Sequence[Line], *, inclusive: bool) -> Iterable[tuple[Tax, int, int]]:
    sums: dict[Tax, int] = {}
    for tax, amount in lines:
        sums[tax] = sums.get(tax, 0) + amount
    for tax, amount in sums.items():
        if inclusive:
            base = minor(amount / (1 + _share(tax.percent)))
            yield tax, base, amount - base
        else:
            yield tax, amount, minor(amount * _share(tax.percent))
