"""From what a quote needs to what it costs: the price tape.

Pure arithmetic. Costs are exact fractions; rounding happens once a step, half up, to the currency's minor
units (ISO 4217), as EN 16931-1 has it:

1. each line's amount (BT-131), from exact costs; then what is put on or taken off the whole of it (rush, smallest
   order, discount, rounding: BG-20 and BG-21), each by itself and shared out over the taxes that it falls under;
2. the tax of each category and rate: its taxable amount x rate / 100 (BR-CO-17), not line by line;
3. the total with tax is the net plus all taxes, not rounded again (BR-CO-14, BR-CO-15);
4. the deposit, and for the owner cost and margin.

Where prices *include* tax, a line's amount has its tax inside. A category's taxable amount is then its sum
x 100 / (100 + rate), rounded, and its tax the rest, so that net and taxes still add up to the sum of the lines;
that tax may differ from step 2 by one minor unit.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Final

from django.utils.translation import gettext as _

from quoting.pricing import tape_words
from quoting.pricing.client_lines import ClientLine, Shown, client_lines, missing_to, rounded_up
from quoting.pricing.delivery import band_of
from quoting.pricing.inputs import (
    HUNDRED,
    METRES_BY_UNIT,
    Adjustments,
    ByHand,
    Extra,
    Goods,
    PriceRates,
    PriceTerms,
    Share,
    Tax,
    Way,
    Work,
)
from studio.measures.languages import with_decimal_sign
from studio.models.spelling import spelled
from studio.money.amounts import rounded, rounded_exactly, split


@dataclass(frozen=True, slots=True)
class TapeLine:
    """One line of the tape. ``amount`` has tax inside where prices include it; ``cost`` is the owner's to see."""

    label: str
    detail: str
    amount: Decimal
    part: str
    tax: Tax
    piece: int = 0
    cost: Decimal | None = None
    origin: str = ""
    extra: int | None = None
    """Primary key of the free line that this is, if it is one."""
    key: str = ""
    """Names the line within its quote, so that its price can be set by hand; empty where it can't."""
    built: Decimal | None = None
    """What it would cost if nobody had set it by hand; none where nobody has."""
    reason: str = ""
    """Why it was set by hand: for the studio's eyes."""
    is_set: bool = False
    """Whether somebody set its price, so that it isn't rounded for the client."""


@dataclass(frozen=True, slots=True)
class TaxAmount:
    """One tax of the tape: its taxable base and its amount."""

    tax: Tax
    base: Decimal
    amount: Decimal


@dataclass(frozen=True, slots=True)
class Inside:
    """What only the owner sees. ``break_even`` is the net price that covers cost and overhead and no more."""

    cost: Decimal
    overhead: Decimal
    break_even: Decimal
    margin: Decimal
    margin_percent: Decimal
    """Margin as a share of the net price; 0 where there is no price."""


@dataclass(frozen=True, slots=True)
class Tape:
    """The price, line by line. ``net`` + all ``taxes`` = ``total``."""

    currency: str
    inclusive: bool
    lines: tuple[TapeLine, ...]
    net: Decimal
    taxes: tuple[TaxAmount, ...]
    total: Decimal
    deposit: Decimal
    deposit_percent: Decimal
    """0 where the deposit is an amount."""
    inside: Inside | None = None
    shown: tuple[ClientLine, ...] = ()
    """What the client reads in place of the lines; empty where nobody said how much that is."""

    def for_others(self) -> Tape:
        """The same without cost, margin and origin: for everybody but the owner."""
        return replace(
            self, inside=None, lines=tuple(replace(line, cost=None, origin="") for line in self.lines)
        )


NOT_ADJUSTED: Final = Adjustments()


def price(
    *,
    shares: Sequence[Share] = (),
    work: Work | None = None,
    way: Way | None = None,
    extras: Sequence[Extra] = (),
    rates: PriceRates,
    terms: PriceTerms,
    adjustments: Adjustments = NOT_ADJUSTED,
    shown: Shown | None = None,
) -> Tape:
    """The tape of a quote: goods, hands, van, free lines; then rush, smallest order, discount and rounding.

    Lines set by hand take the place of the built ones before anything is put on or taken off. ``shown``: each price
    that the client reads is rounded by itself; without it the sum is.
    """
    bags = _bag_shares(shares)
    lines = [line for share in shares for line in _goods_lines(share, bags, rates, terms)]
    lines += _labor_line(work, rates, terms) if work else []
    lines += _van_line(way, work.crew if work else 1, rates, terms) if way else []
    lines = [_as_set_by_hand(line, adjustments.by_hand, terms) for line in lines]
    lines += [_extra_line(extra, terms) for extra in extras]
    lines += _rush_lines(lines, adjustments.rush_percent, terms)
    lines += _minimum_lines(lines, rates.minimum_order, terms)
    lines += _discount_lines(lines, adjustments, terms)
    read = client_lines(lines, shown, terms.currency) if shown else ()
    step = rounded(rates.rounding_step, terms.currency)
    up = rounded_up(read, step)
    lines += (
        _rounding_lines(_sum(up) - _sum(read), lines, terms) if shown else _rounding_line(lines, step, terms)
    )
    net, taxes, total = totals(
        ((line.tax, line.amount) for line in lines), currency=terms.currency, inclusive=terms.inclusive
    )
    return Tape(
        currency=terms.currency,
        inclusive=terms.inclusive,
        lines=tuple(lines),
        net=net,
        taxes=taxes,
        total=total,
        deposit=_deposit(total, terms),
        deposit_percent=terms.deposit_percent if terms.deposit_amount is None else Decimal(0),
        inside=_inside(lines, net, rates, terms.currency),
        shown=up,
    )


def line_amount(
    quantity: Decimal, unit_price: Decimal, *, currency: str, per: Decimal = Decimal(1)
) -> Decimal:
    """Amount of one line: price / ``per`` x quantity, rounded (EN 16931-1, BT-131 from BT-146, BT-149, BT-129)."""
    return rounded(unit_price * quantity / per, currency)


def totals(
    amounts: Iterable[tuple[Tax, Decimal]], *, currency: str, inclusive: bool = False
) -> tuple[Decimal, tuple[TaxAmount, ...], Decimal]:
    """Net, taxes by category and rate, and total of rounded line amounts."""
    sums: dict[Tax, Decimal] = {}
    for tax, amount in amounts:
        sums[tax] = sums.get(tax, Decimal(0)) + amount
    taxes = tuple(_tax_amount(tax, amount, currency, inclusive) for tax, amount in sums.items())
    net = sum((tax.base for tax in taxes), Decimal(0))
    return net, taxes, net + sum((tax.amount for tax in taxes), Decimal(0))


def margin_percent(net: Decimal, cost: Decimal) -> Decimal:
    """Margin as a share of the price, in per cent: (price - cost) / price; 0 where there is no price."""
    return (net - cost) / net * HUNDRED if net else Decimal(0)


def priced(cost: Decimal, *, markup_percent: Decimal, margin_percent: Decimal | None) -> Decimal:
    """The exact price over a cost: cost x (1 + mark-up), or cost / (1 - margin) where a margin is aimed at.

    The two are one rule seen from either side: margin = mark-up / (1 + mark-up).
    """
    return as_decimal(_priced(Fraction(cost), markup_percent, margin_percent))


@dataclass(frozen=True, slots=True)
class PaidHours:
    """Hours of one person that a phase takes, and those that are paid for."""

    phase: str
    worked: Fraction
    paid: Fraction

    @property
    def is_minimum(self) -> bool:
        """Whether it is shorter than the shortest call, which is paid then."""
        return self.paid > self.worked


def paid_hours(work: Work, rates: PriceRates) -> tuple[PaidHours, ...]:
    """The hours of each phase that takes some: on site everybody is paid for the minimum call at least.

    >>> rates = PriceRates(minimum_call_hours=Decimal(2))
    >>> [(str(each.worked), str(each.paid)) for each in paid_hours(Work(prep=Decimal(30), strike=Decimal(36)), rates)]
    [('1/2', '1/2'), ('3/5', '2')]
    """
    least = Fraction(rates.minimum_call_hours) * work.crew
    phases = (
        ("prep", work.prep, Fraction(0)),
        ("install", work.install, least),
        ("strike", work.strike, least),
        ("washing", work.washing, Fraction(0)),
    )
    taken = ((phase, Fraction(minutes) / 60, floor) for phase, minutes, floor in phases if minutes)
    return tuple(PaidHours(phase, hours, max(hours, floor)) for phase, hours, floor in taken)


def as_decimal(exact: Fraction) -> Decimal:
    """An exact cost as a decimal number, for reading; amounts are rounded from the exact one."""
    return Decimal(exact.numerator) / Decimal(exact.denominator)


# Private


def _tax_amount(tax: Tax, amount: Decimal, currency: str, inclusive: bool) -> TaxAmount:
    if not inclusive:
        return TaxAmount(tax, amount, rounded(amount * tax.percent / HUNDRED, currency))
    base = rounded(amount * HUNDRED / (HUNDRED + tax.percent), currency)
    return TaxAmount(tax, base, amount - base)


def _priced(cost: Fraction, markup_percent: Decimal, margin_percent: Decimal | None) -> Fraction:
    if margin_percent is None:
        return cost * Fraction(HUNDRED + markup_percent) / 100
    return cost * 100 / Fraction(HUNDRED - margin_percent)


def _asked(cost: Fraction, tax: Tax, rates: PriceRates, terms: PriceTerms) -> Fraction:
    """The exact price built from a cost: overhead, mark-up, and tax where prices include it."""
    covered = cost * Fraction(HUNDRED + rates.overhead_percent) / 100
    built = _priced(covered, rates.markup_percent, rates.margin_percent)
    return built * Fraction(HUNDRED + tax.percent) / 100 if terms.inclusive else built


def _built_line(
    label: str, detail: str, part: str, cost: Fraction, rates: PriceRates, terms: PriceTerms
) -> TapeLine:
    tax = terms.default_tax
    amount = rounded_exactly(_asked(cost, tax, rates, terms), terms.currency)
    return TapeLine(
        label, detail, amount, part, tax, cost=as_decimal(cost), origin=_built_from(rates), key=part
    )


def _built_from(rates: PriceRates) -> str:
    aim = (
        f"{_plain(rates.markup_percent)} % mark-up"
        if rates.margin_percent is None
        else f"priced for {_plain(rates.margin_percent)} % margin"
    )
    return f"cost, {_plain(rates.overhead_percent)} % overhead, {aim}"


def _plain(number: Decimal) -> str:
    return with_decimal_sign(f"{number.normalize():f}")


def _bag_shares(shares: Sequence[Share]) -> dict[str, Fraction]:
    """Pieces to be charged for each piece used, by code, where whole bags are opened for the whole quote."""
    used: dict[str, int] = {}
    size: dict[str, int] = {}
    for goods in (goods for share in shares for goods in share.goods if goods.bag_of):
        used[goods.code] = used.get(goods.code, 0) + goods.quantity
        size[goods.code] = goods.bag_of
    return {
        code: Fraction(math.ceil(Fraction(count, size[code])) * size[code], count)
        for code, count in used.items()
        if count
    }


def _goods_lines(
    share: Share, bags: dict[str, Fraction], rates: PriceRates, terms: PriceTerms
) -> list[TapeLine]:
    """One line for each tax among the goods of a share; goods with a price of their own keep it."""
    lines: list[TapeLine] = []
    for tax in dict.fromkeys(goods.tax or terms.default_tax for goods in share.goods):
        mine = [goods for goods in share.goods if (goods.tax or terms.default_tax) == tax]
        priced_anew = [goods for goods in mine if goods.price is None]
        own = [goods for goods in mine if goods.price is not None]
        built_from = _spent_on(priced_anew, bags)
        cost = built_from + _spent_on(own, bags)
        # Exact, so the price of the sum is the sum of the prices.
        asked = _asked(built_from, tax, rates, terms) + sum(map(_own_price, own), Fraction(0))
        origin = _built_from(rates) + (", some at your fixed price" if own else "")
        amount = rounded_exactly(asked, terms.currency)
        key = f"{share.part}@{share.piece}" + (f"/{tax.name}" if lines else "")
        lines.append(
            TapeLine(
                share.label,
                share.detail,
                amount,
                share.part,
                tax,
                share.piece,
                cost=as_decimal(cost),
                origin=origin,
                key=key,
            )
        )
    return lines


def _spent_on(goods: Sequence[Goods], bags: Mapping[str, Fraction]) -> Fraction:
    """What goods cost the studio, exactly: those bought by the same number are summed before they are divided."""
    by_number: dict[int, Decimal] = {}
    spent = Fraction(0)
    for each in goods:
        if each.code in bags:
            spent += Fraction(each.cost * each.quantity) * bags[each.code] / each.per
        else:
            by_number[each.per] = by_number.get(each.per, Decimal(0)) + each.cost * each.quantity
        by_number[1] = by_number.get(1, Decimal(0)) + each.care * each.quantity
    return spent + sum((Fraction(sum_) / per for per, sum_ in by_number.items()), Fraction(0))


def _own_price(goods: Goods) -> Fraction:
    return Fraction(goods.price or 0) * goods.quantity


def _labor_line(work: Work, rates: PriceRates, terms: PriceTerms) -> list[TapeLine]:
    hours = paid_hours(work, rates)
    if not hours:
        return []
    hour = {"install": rates.install_hour, "strike": rates.strike_hour}
    cost = sum((each.paid * Fraction(hour.get(each.phase, rates.prep_hour)) for each in hours), Fraction(0))
    detail = ", ".join(tape_words.hours(each.phase, each.paid) for each in hours)
    line = _built_line(spelled(_("Labor")), detail, "hands", cost, rates, terms)
    return [replace(line, origin="; ".join([*filter(None, map(_call_words, hours)), line.origin]))]


def _call_words(hours: PaidHours) -> str:
    """Why more hours are paid than are worked."""
    if not hours.is_minimum:
        return ""
    worked, paid = (f"{as_decimal(each):.1f} h" for each in (hours.worked, hours.paid))
    return f"{hours.phase} takes {worked} and is paid as the minimum call of {paid}"


def _van_line(way: Way, crew: int, rates: PriceRates, terms: PriceTerms) -> list[TapeLine]:
    """There and back ``trips`` times; everybody on the van is paid for the hours on the road.

    Where the studio has bands, the price is its band's; what it costs stays as it is reckoned.
    """
    if rates.bands is None:
        return _reckoned_van(way, crew, rates, terms)
    band = band_of(rates.bands, way.distance_m, rates.distance_unit) if way.trips else None
    if band is None:
        return []
    (line,) = _reckoned_van(way, crew, rates, terms)
    words = tape_words.up_to(f"{band.up_to.normalize():f}", rates.distance_unit)
    return [
        replace(
            line, label=_("Delivery"), detail=words, amount=rounded(band.price, terms.currency),
            origin=f"your delivery price {words}", is_set=True,
        )
    ]  # fmt: skip


def _reckoned_van(way: Way, crew: int, rates: PriceRates, terms: PriceTerms) -> list[TapeLine]:
    if not way.trips or not (way.distance_m or way.drive_minutes):
        return []
    legs = 2 * way.trips
    distance = way.distance_m / Fraction(METRES_BY_UNIT[rates.distance_unit])
    hours = Fraction(way.drive_minutes * legs, 60)
    cost = distance * legs * Fraction(rates.van_distance)
    cost += hours * Fraction(rates.van_hour + rates.drive_hour * crew)
    figure = f"{as_decimal(distance):.1f}".removesuffix(".0")
    written = tape_words.distance(figure, rates.distance_unit)
    detail = tape_words.there_and_back(written if way.distance_m else f"{way.drive_minutes} min", way.trips)
    return [_built_line(_("Van"), detail, "van", cost, rates, terms)]


def _extra_line(extra: Extra, terms: PriceTerms) -> TapeLine:
    amount = line_amount(extra.quantity, extra.unit_price, currency=terms.currency)
    detail = "" if extra.quantity == 1 else f"{extra.quantity.normalize():f} ×"
    tax = extra.tax or terms.default_tax
    return TapeLine(extra.label, detail, amount, "free", tax, cost=Decimal(0), extra=extra.pk, is_set=True)


def _as_set_by_hand(line: TapeLine, by_hand: Mapping[str, ByHand], terms: PriceTerms) -> TapeLine:
    found = by_hand.get(line.key)
    if found is None:
        return line
    amount = rounded(found.amount, terms.currency)
    return replace(line, amount=amount, built=line.amount, reason=found.reason, is_set=True)


def _rush_lines(lines: Sequence[TapeLine], percent: Decimal, terms: PriceTerms) -> list[TapeLine]:
    amount = rounded(max(_sum(lines), Decimal(0)) * percent / HUNDRED, terms.currency)
    return _spread(_("Rush"), f"{_plain(percent)} %", "rush", amount, lines, terms)


def _minimum_lines(lines: Sequence[TapeLine], least: Decimal, terms: PriceTerms) -> list[TapeLine]:
    """What brings a small order up to the smallest that the studio takes; an empty quote stays empty."""
    there = _sum(lines)
    missing = max(rounded(least, terms.currency) - there, Decimal(0)) if lines and there >= 0 else Decimal(0)
    return _spread(_("Minimum order"), "", "minimum", missing, lines, terms)


def _discount_lines(lines: Sequence[TapeLine], taken: Adjustments, terms: PriceTerms) -> list[TapeLine]:
    there = max(_sum(lines), Decimal(0))
    asked = taken.discount_amount or there * taken.discount_percent / HUNDRED
    amount = min(rounded(asked, terms.currency), there)
    detail = "" if taken.discount_amount else f"{_plain(taken.discount_percent)} %"
    return _spread(_("Discount"), detail, "discount", -amount, lines, terms)


def _spread(
    label: str, detail: str, part: str, amount: Decimal, lines: Sequence[TapeLine], terms: PriceTerms
) -> list[TapeLine]:
    """An amount on the whole of a quote, shared out over its taxes by what falls under each; a line for each."""
    if not amount:
        return []
    sums: dict[Tax, Decimal] = {}
    for line in lines:
        sums[line.tax] = sums.get(line.tax, Decimal(0)) + line.amount
    weights = [max(each, Decimal(0)) for each in sums.values()]
    split_up = zip(sums, split(amount, weights, terms.currency), strict=True)
    shares = [(tax, share) for tax, share in split_up if share]
    return [
        TapeLine(
            label,
            detail
            if len(shares) == 1
            else ", ".join(filter(None, (detail, _("under %(tax)s") % {"tax": tax.name}))),
            share,
            part,
            tax,
            cost=Decimal(0),
        )
        for tax, share in shares
    ]


def _sum(lines: Iterable[TapeLine | ClientLine]) -> Decimal:
    return sum((line.amount for line in lines), Decimal(0))


def _rounding_line(lines: Sequence[TapeLine], step: Decimal, terms: PriceTerms) -> list[TapeLine]:
    """What brings the sum of the lines up to the next multiple of the studio's step, as a line of its own."""
    before = _sum(lines)
    return _rounding_lines(missing_to(before, step) if step > 0 and before > 0 else Decimal(0), lines, terms)


def _rounding_lines(missing: Decimal, lines: Sequence[TapeLine], terms: PriceTerms) -> list[TapeLine]:
    return _spread(_("Rounding"), "", "rounding", missing, lines, terms)


def _deposit(total: Decimal, terms: PriceTerms) -> Decimal:
    if terms.deposit_amount is None:
        return rounded(total * terms.deposit_percent / HUNDRED, terms.currency)
    return max(min(rounded(terms.deposit_amount, terms.currency), total), Decimal(0))


def _inside(lines: Sequence[TapeLine], net: Decimal, rates: PriceRates, currency: str) -> Inside:
    direct = sum((line.cost for line in lines if line.cost is not None), Decimal(0))
    cost = rounded(direct, currency)
    overhead = rounded(direct * rates.overhead_percent / HUNDRED, currency)
    margin = net - cost - overhead
    return Inside(cost, overhead, cost + overhead, margin, margin_percent(net, cost + overhead))
