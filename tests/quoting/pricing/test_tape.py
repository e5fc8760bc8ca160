"""The price tape: what its lines are built from, and laws that hold whatever the numbers."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quoting.pricing.inputs import (
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
from quoting.pricing.tape import Tape, margin_percent, price, priced, totals
from studio.money.amounts import minor_digits, split

D = Decimal
VAT = Tax("VAT", D(20))
PLAIN = PriceRates()
EURO = PriceTerms("EUR", default_tax=VAT)


def _sum_of_lines(tape: Tape) -> Decimal:
    """The net, or where prices include tax the total."""
    return sum((line.amount for line in tape.lines), D(0))


def share(*goods: Goods, part: str = "garland") -> Share:
    return Share(part, "Garland", "", goods)


def test_goods_are_charged_by_the_piece_out_of_a_bag() -> None:
    tape = price(shares=[share(Goods("latex-11-oat", 49, D("12.00"), per=100))], rates=PLAIN, terms=EURO)
    assert tape.lines[0].amount == D("5.88")


def test_whole_bags_are_opened_once_for_all_set_pieces_together() -> None:
    bagged = Goods("latex-11-oat", 60, D("12.00"), per=100, bag_of=100)
    tape = price(shares=[share(bagged), share(replace(bagged, quantity=20))], rates=PLAIN, terms=EURO)
    assert _sum_of_lines(tape) == D("12.00"), "80 of one bag of 100 is one bag"
    assert [line.amount for line in tape.lines] == [D("9.00"), D("3.00")], "shared as they use it"


def test_a_price_of_its_own_takes_the_place_of_the_built_one() -> None:
    rates = replace(PLAIN, markup_percent=D(100))
    own = Goods("frame-ring", 2, D("8.00"), price=D("25.00"))
    tape = price(shares=[share(own, part="frames")], rates=rates, terms=EURO)
    assert tape.lines[0].amount == D("50.00")
    assert tape.inside is not None
    assert tape.inside.cost == D("16.00")


def test_overhead_and_mark_up_are_put_on_every_cost() -> None:
    rates = replace(PLAIN, overhead_percent=D(15), markup_percent=D(60), prep_hour=D(18))
    tape = price(work=Work(prep=D(90)), rates=rates, terms=EURO)
    assert tape.lines[0].amount == D("49.68"), "1.5 h x 18 x 1.15 x 1.60"


def test_a_minimum_call_is_paid_for_each_pair_of_hands_on_site() -> None:
    rates = replace(PLAIN, prep_hour=D(10), install_hour=D(10), strike_hour=D(10), minimum_call_hours=D(2))
    tape = price(work=Work(prep=D(30), install=D(300), strike=D(15), crew=2), rates=rates, terms=EURO)
    assert tape.lines[0].amount == D("95.00"), "prep 0.5 h, install 5 h, strike two people for two hours"
    assert tape.lines[0].detail == "prep 0.5 h, install 5.0 h, strike 4.0 h"
    assert tape.lines[0].origin.startswith(
        "strike takes 0.2 h and is paid as the minimum call of 4.0 h; cost"
    )
    assert "install" not in tape.lines[0].origin


def test_washing_is_paid_by_the_hour_of_prep_and_takes_no_minimum_call() -> None:
    rates = replace(PLAIN, prep_hour=D(18), strike_hour=D(30), minimum_call_hours=D(2))
    tape = price(work=Work(washing=D(40), crew=2), rates=rates, terms=EURO)
    assert (tape.lines[0].amount, tape.lines[0].detail) == (D("12.00"), "washing 0.7 h"), (
        "40 min x 18 an hour"
    )


def test_the_van_goes_there_and_back_and_everybody_on_it_is_paid() -> None:
    rates = replace(PLAIN, van_distance=D("0.70"), van_hour=D(5), drive_hour=D(18), distance_unit="mile")
    way = Way(distance_m=17703, drive_minutes=30, trips=2)
    tape = price(work=Work(crew=2), way=way, rates=rates, terms=EURO)
    assert tape.lines[0].detail == "11 miles there and back, twice"
    assert tape.lines[0].amount == D("112.80"), "four legs: 44 miles x 0.70 + 2 h x (5 + 2 x 18)"


@pytest.mark.parametrize(
    ("metres", "unit", "words"),
    [
        (1609, "mile", "1 mile there and back, once"),
        (3219, "mile", "2 miles there and back, once"),
        (804, "mile", "0.5 miles there and back, once"),
        (1000, "km", "1 km there and back, once"),
    ],
)
def test_one_mile_is_not_several(metres: int, unit: str, words: str) -> None:
    rates = replace(PLAIN, van_distance=D(1), distance_unit=unit)
    tape = price(way=Way(distance_m=metres, trips=1), rates=rates, terms=EURO)
    assert tape.lines[0].detail == words


def test_an_extra_says_how_many_there_are_only_where_there_are_several() -> None:
    extras = [Extra("rope", D(1), D("4.99")), Extra("lamp", D(2), D("9.00")), Extra("cloth", D("2.50"), D(6))]
    tape = price(extras=extras, rates=PLAIN, terms=EURO)
    assert [line.detail for line in tape.lines] == ["", "2 ×", "2.5 ×"]


def test_a_quote_whose_lines_come_to_nothing_is_brought_up_to_the_minimum_order() -> None:
    rates = replace(PLAIN, minimum_order=D(50))
    free = price(extras=[Extra("plinth", D(1), D(0))], rates=rates, terms=EURO)
    assert [(line.label, line.amount) for line in free.lines][1:] == [("Minimum order", D("50.00"))]
    taken_off = price(extras=[Extra("voucher", D(1), D(-10))], rates=rates, terms=EURO)
    assert len(taken_off.lines) == 1
    assert price(rates=rates, terms=EURO).lines == ()


def test_no_van_line_where_there_is_no_way() -> None:
    assert price(way=Way(trips=2), rates=PLAIN, terms=EURO).lines == ()


def test_the_sum_is_brought_up_to_the_studio_s_step_by_a_line_of_its_own() -> None:
    rates = replace(PLAIN, rounding_step=D(5))
    tape = price(extras=[Extra("plinth", D(1), D("61.20"))], rates=rates, terms=EURO)
    assert [(line.label, line.amount) for line in tape.lines] == [
        ("plinth", D("61.20")),
        ("Rounding", D("3.80")),
    ]
    even = price(extras=[Extra("plinth", D(1), D("60.00"))], rates=rates, terms=EURO)
    assert len(even.lines) == 1, "what is even already is left alone"


def test_prices_with_tax_inside_total_what_the_lines_say() -> None:
    terms = replace(EURO, inclusive=True)
    tape = price(
        extras=[Extra("plinth", D(1), D("61.20")), Extra("rope", D(3), D("4.99"))], rates=PLAIN, terms=terms
    )
    assert tape.total == _sum_of_lines(tape) == D("76.17")
    assert (tape.net, tape.taxes[0].amount) == (D("63.48"), D("12.69")), "76.17 / 1.20 = 63.475, half up"


def test_a_built_price_is_the_same_for_the_client_with_tax_inside_or_on_top() -> None:
    work, rates = Work(prep=D(60)), replace(PLAIN, prep_hour=D(50), markup_percent=D(50))
    on_top = price(work=work, rates=rates, terms=EURO)
    inside = price(work=work, rates=rates, terms=replace(EURO, inclusive=True))
    assert on_top.total == inside.total == D("90.00")


def test_goods_under_another_tax_stand_on_a_line_of_their_own() -> None:
    fresh = Goods("eucalyptus", 3, D("4.00"), tax=Tax("VAT reduced", D(7)))
    tape = price(shares=[share(Goods("pick", 1, D("2.00")), fresh, part="florals")], rates=PLAIN, terms=EURO)
    assert [(line.tax.percent, line.amount) for line in tape.lines] == [
        (D(20), D("2.00")),
        (D(7), D("12.00")),
    ]
    assert [tax.amount for tax in tape.taxes] == [D("0.40"), D("0.84")]


@pytest.mark.parametrize(
    ("currency", "net", "tax", "total", "deposit"),
    [("JPY", "1235", "124", "1359", "544"), ("KWD", "1234.568", "123.457", "1358.025", "543.210"),
     ("EUR", "1234.57", "123.46", "1358.03", "543.21")],
)  # fmt: skip
def test_yen_have_no_decimals_and_dinars_three(
    currency: str, net: str, tax: str, total: str, deposit: str
) -> None:
    terms = PriceTerms(currency, default_tax=Tax("tax", D(10)), deposit_percent=D(40))
    tape = price(work=Work(prep=D(60)), rates=replace(PLAIN, prep_hour=D("1234.5678")), terms=terms)
    assert (tape.net, tape.taxes[0].amount, tape.total, tape.deposit) == (
        D(net),
        D(tax),
        D(total),
        D(deposit),
    )


def test_margin_is_a_share_of_the_price_and_mark_up_one_of_the_cost() -> None:
    """Identity m = u / (1 + u), as in Slater and Wittry (``tests/checks/test_margin.py``): 60 % is 37.5 %."""
    rates = replace(PLAIN, markup_percent=D(60), prep_hour=D(100))
    tape = price(work=Work(prep=D(60)), rates=rates, terms=EURO)
    assert tape.inside is not None
    assert tape.inside.margin_percent == D("37.5") == margin_percent(D(160), D(100))
    assert margin_percent(D(0), D(10)) == 0


def test_break_even_is_cost_and_overhead() -> None:
    rates = replace(PLAIN, overhead_percent=D(15), markup_percent=D(60), prep_hour=D(100))
    tape = price(work=Work(prep=D(60)), rates=rates, terms=EURO)
    assert tape.inside is not None
    assert (tape.inside.cost, tape.inside.overhead, tape.inside.break_even) == (D(100), D(15), D(115))
    assert tape.net - tape.inside.break_even == tape.inside.margin


def test_what_others_see_has_no_cost_no_origin_and_no_margin() -> None:
    rates = replace(PLAIN, markup_percent=D(60), prep_hour=D(100))
    seen = price(work=Work(prep=D(60)), rates=rates, terms=EURO).for_others()
    assert seen.inside is None
    assert all(line.cost is None and line.origin == "" for line in seen.lines)


# Laws

currencies = st.sampled_from(["EUR", "USD", "JPY", "KWD", "CHF"])
percents = st.decimals(0, 100, places=3)
prices = st.decimals(-5000, 5000, places=4)
quantities = st.decimals("0.001", 500, places=3)
taxes = st.builds(Tax, st.sampled_from(["VAT", "City tax"]), percents)
free_lines = st.lists(st.builds(Extra, st.just("line"), quantities, prices, st.none() | taxes), max_size=8)
goods = st.builds(
    Goods, st.sampled_from("abc"), st.integers(1, 400), st.decimals(0, 90, places=4), per=st.integers(1, 100),
    bag_of=st.sampled_from([0, 50, 100]), price=st.none() | st.decimals(0, 90, places=4), tax=st.none() | taxes,
)  # fmt: skip
shares = st.lists(
    st.builds(Share, st.sampled_from(["garland", "frames"]), st.just("a"), st.just(""),
              st.lists(goods, min_size=1, max_size=4).map(tuple)), max_size=4,
)  # fmt: skip
all_rates = st.builds(
    PriceRates, *[st.decimals(0, 200, places=2)] * 4, st.decimals(0, 4, places=1),
    distance_unit=st.sampled_from(["km", "mile"]), van_distance=st.decimals(0, 9, places=4),
    overhead_percent=percents, markup_percent=percents, rounding_step=st.sampled_from([D(0), D(1), D(5), D("0.05")]),
    margin_percent=st.none() | st.decimals(0, 95, places=2), minimum_order=st.sampled_from([D(0), D(250), D(4000)]),
)  # fmt: skip
works = st.builds(
    Work, *[st.decimals(0, 900, places=1)] * 3, st.integers(1, 6), st.decimals(0, 900, places=1)
)
ways = st.builds(Way, st.integers(0, 90000), st.integers(0, 200), st.integers(0, 4))


hand = st.builds(ByHand, st.decimals(0, 900, places=2), st.just("agreed on the phone"))
adjusted = st.builds(
    Adjustments, rush_percent=percents, discount_percent=percents,
    by_hand=st.dictionaries(st.sampled_from(["hands", "van", "garland@0"]), hand, max_size=2),
) | st.builds(Adjustments, discount_amount=st.decimals(0, 5000, places=2))  # fmt: skip


@st.composite
def tapes(draw: st.DrawFn) -> Tape:
    terms = PriceTerms(draw(currencies), draw(taxes), draw(st.booleans()), draw(percents))
    return price(
        shares=draw(shares), work=draw(works), way=draw(ways), extras=draw(free_lines), rates=draw(all_rates),
        terms=terms, adjustments=draw(adjusted),
    )  # fmt: skip


@given(tapes())
def test_the_parts_add_up_to_the_total_whatever_the_numbers(tape: Tape) -> None:
    assert tape.net + sum(tax.amount for tax in tape.taxes) == tape.total
    assert sum(tax.base for tax in tape.taxes) == tape.net
    assert _sum_of_lines(tape) == (tape.total if tape.inclusive else tape.net)


@given(tapes())
def test_every_amount_is_in_whole_minor_units(tape: Tape) -> None:
    unit = D(1).scaleb(-minor_digits(tape.currency))
    amounts = [line.amount for line in tape.lines] + [tape.net, tape.total, tape.deposit]
    amounts += [tax.amount for tax in tape.taxes]
    assert all(amount % unit == 0 for amount in amounts)


@given(tapes())
def test_tax_with_prices_inside_is_within_one_unit_of_base_times_rate(tape: Tape) -> None:
    unit = D(1).scaleb(-minor_digits(tape.currency))
    for tax in tape.taxes:
        assert abs(tax.amount - tax.base * tax.tax.percent / 100) <= unit


@given(st.lists(st.tuples(taxes, st.decimals(-900, 900, places=2)), max_size=9), st.randoms())
def test_the_order_of_lines_changes_no_total(amounts: list[tuple[Tax, Decimal]], chance: object) -> None:
    shuffled = list(amounts)
    chance.shuffle(shuffled)  # type: ignore[attr-defined] # hypothesis gives a Random
    assert totals(amounts, currency="EUR")[::2] == totals(shuffled, currency="EUR")[::2]


@given(tapes())
def test_the_margin_is_what_is_left_of_the_net(tape: Tape) -> None:
    assert tape.inside is not None
    assert tape.inside.margin + tape.inside.cost + tape.inside.overhead == tape.net


@given(tapes())
def test_the_net_is_the_lines_less_what_is_taken_off_and_more_what_is_put_on(tape: Tape) -> None:
    """EN 16931-1, BR-CO-13: BT-109 = sum of BT-131 - BT-107 + BT-108; with tax inside, of the sum of the lines."""
    on = sum(line.amount for line in tape.lines if line.part in ("rush", "minimum", "rounding"))
    off = -sum(line.amount for line in tape.lines if line.part == "discount")
    own = ("rush", "minimum", "rounding", "discount")
    lines = sum(line.amount for line in tape.lines if line.part not in own)
    assert off >= 0
    assert lines - off + on == _sum_of_lines(tape)


@given(
    st.lists(st.tuples(taxes, st.decimals(0, 5000, places=2)), min_size=1, max_size=6),
    st.decimals(0, 100, places=2),
    currencies,
)
def test_a_discount_before_tax_is_the_same_as_one_after_it(
    amounts: list[tuple[Tax, Decimal]], percent: Decimal, currency: str
) -> None:
    """Within what is rounded on the way: half a unit a tax, and the discount's own half."""
    free = [Extra("line", D(1), amount, tax) for tax, amount in amounts]
    terms = PriceTerms(currency)
    before = price(extras=free, rates=PLAIN, terms=terms)
    after = price(extras=free, rates=PLAIN, terms=terms, adjustments=Adjustments(discount_percent=percent))
    unit = D(1).scaleb(-minor_digits(currency))
    assert abs(after.total - before.total * (100 - percent) / 100) <= unit * (2 * len(before.taxes) + 2)
    assert after.total <= before.total


@given(st.decimals(0, 9000, places=4), st.decimals(0, 900, places=2))
def test_a_margin_and_the_mark_up_that_gives_it_are_one_price(cost: Decimal, markup: Decimal) -> None:
    """Mark-up u on cost is margin u / (1 + u) of the price, and margin m is mark-up m / (1 - m): retail arithmetic."""
    margin = markup / (100 + markup) * 100
    by_margin = priced(cost, markup_percent=D(0), margin_percent=margin)
    assert abs(by_margin - priced(cost, markup_percent=markup, margin_percent=None)) < D("0.0001")


@pytest.mark.parametrize(
    ("markup", "margin"), [("25", "20"), ("50", "33.3333"), ("60", "37.5"), ("100", "50"), ("300", "75")]
)
def test_margins_of_common_mark_ups(markup: str, margin: str) -> None:
    """The usual table of retail arithmetic, recomputed: 25 % on cost is 20 % of the price."""
    made = priced(D(80), markup_percent=D(markup), margin_percent=None)
    assert abs(margin_percent(made, D(80)) - D(margin)) < D("0.0001")
    assert abs(priced(D(80), markup_percent=D(0), margin_percent=D(margin)) - made) < D("0.001")


def test_a_margin_aimed_at_is_what_is_left_after_cost_and_overhead() -> None:
    rates = replace(PLAIN, margin_percent=D(40), overhead_percent=D(20), prep_hour=D(100))
    tape = price(work=Work(prep=D(60)), rates=rates, terms=EURO)
    assert tape.net == D("200.00"), "120 / (1 - 0.40)"
    assert tape.inside is not None
    assert tape.inside.margin_percent == D(40)
    assert tape.inside.break_even == D(120)


def test_a_piece_is_cleaned_after_each_use() -> None:
    tape = price(shares=[share(Goods("cover", 2, D("40"), per=20, care=D("3.50")))], rates=PLAIN, terms=EURO)
    assert tape.lines[0].amount == D("11.00"), "two uses of 2.00 and 3.50 of laundry each"


def test_rush_then_the_smallest_order_then_the_discount() -> None:
    rates = replace(PLAIN, minimum_order=D(300))
    tape = price(
        extras=[Extra("plinth", D(1), D(200))], rates=rates, terms=EURO,
        adjustments=Adjustments(rush_percent=D(20), discount_percent=D(10)),
    )  # fmt: skip
    assert [(line.label, line.amount) for line in tape.lines[1:]] == [
        ("Rush", D("40.00")), ("Minimum order", D("60.00")), ("Discount", D("-30.00")),
    ]  # fmt: skip
    assert tape.net == D("270.00")


def test_what_is_put_on_the_whole_falls_under_each_tax_by_its_share() -> None:
    reduced = Tax("VAT reduced", D(7))
    tape = price(
        extras=[Extra("a", D(1), D("66.67")), Extra("b", D(1), D("33.33"), reduced)], rates=PLAIN, terms=EURO,
        adjustments=Adjustments(discount_amount=D("10.01")),
    )  # fmt: skip
    taken = [(line.tax, line.amount) for line in tape.lines if line.part == "discount"]
    assert taken == [(VAT, D("-6.67")), (reduced, D("-3.34"))]
    assert sum(amount for _, amount in taken) == D("-10.01")


def test_a_price_set_by_hand_keeps_what_it_would_have_been_and_its_cost() -> None:
    rates = replace(PLAIN, markup_percent=D(100), prep_hour=D(50))
    adjustments = Adjustments(
        by_hand={"hands": ByHand(D("80"), "an old friend"), "van": ByHand(D(1), "none")}
    )
    tape = price(work=Work(prep=D(60)), rates=rates, terms=EURO, adjustments=adjustments)
    (line,) = tape.lines
    assert (line.amount, line.built, line.reason, line.cost) == (D(80), D(100), "an old friend", D(50))
    assert tape.inside is not None
    assert tape.inside.margin == D(30)


def test_more_taken_off_than_there_is_stays_below_nothing_whatever_the_smallest_order() -> None:
    for least in (D(0), D(300)):
        below = price(
            extras=[Extra("back", D(1), D(-5))], rates=replace(PLAIN, minimum_order=least), terms=EURO
        )
        assert below.net == D(-5)


def test_an_empty_quote_is_not_brought_up_to_the_smallest_order() -> None:
    assert price(rates=replace(PLAIN, minimum_order=D(300)), terms=EURO).total == 0


@given(st.decimals(-9000, 9000, places=2), st.lists(st.decimals(0, 500, places=3), min_size=1, max_size=7))
def test_what_is_shared_out_adds_up_and_is_fair_to_a_unit(amount: Decimal, weights: list[Decimal]) -> None:
    shares = split(amount, weights, "EUR")
    assert sum(shares) == amount
    whole = sum(weights)
    for weight, part in zip(weights, shares, strict=True):
        if whole:
            assert abs(part - amount * weight / whole) < D("0.01")
