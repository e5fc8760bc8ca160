"""The price tape: what its lines are built from, and laws that hold whatever the numbers."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quoting.pricing import (
    Extra,
    Goods,
    PriceRates,
    PriceTerms,
    Share,
    Tape,
    Tax,
    Way,
    Work,
    margin_percent,
    price,
    totals,
)
from studio.money import minor_digits

D = Decimal
VAT = Tax("VAT", D(20))
PLAIN = PriceRates()
EURO = PriceTerms("EUR", default_tax=VAT)


def share(*goods: Goods, part: str = "garland") -> Share:
    return Share(part, "Garland", "", goods)


def test_goods_are_charged_by_the_piece_out_of_a_bag() -> None:
    tape = price(shares=[share(Goods("latex-11-oat", 49, D("12.00"), per=100))], rates=PLAIN, terms=EURO)
    assert tape.lines[0].amount == D("5.88")


def test_whole_bags_are_opened_once_for_all_set_pieces_together() -> None:
    bagged = Goods("latex-11-oat", 60, D("12.00"), per=100, bag_of=100)
    tape = price(shares=[share(bagged), share(replace(bagged, quantity=20))], rates=PLAIN, terms=EURO)
    assert tape.sum_of_lines == D("12.00"), "80 of one bag of 100 is one bag"
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


def test_the_van_goes_there_and_back_and_everybody_on_it_is_paid() -> None:
    rates = replace(PLAIN, van_distance=D("0.70"), van_hour=D(5), drive_hour=D(18), distance_unit="mile")
    way = Way(distance_m=17703, drive_minutes=30, trips=2)
    tape = price(work=Work(crew=2), way=way, rates=rates, terms=EURO)
    assert tape.lines[0].detail == "11 miles there and back, twice"
    assert tape.lines[0].amount == D("112.80"), "four legs: 44 miles x 0.70 + 2 h x (5 + 2 x 18)"


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
    assert tape.total == tape.sum_of_lines == D("76.17")
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
    """Identity m = u / (1 + u), as any textbook of retail arithmetic has it (from memory): 60 % is 37.5 %."""
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
)  # fmt: skip
works = st.builds(Work, *[st.decimals(0, 900, places=1)] * 3, st.integers(1, 6))
ways = st.builds(Way, st.integers(0, 90000), st.integers(0, 200), st.integers(0, 4))


@st.composite
def tapes(draw: st.DrawFn) -> Tape:
    terms = PriceTerms(draw(currencies), draw(taxes), draw(st.booleans()), draw(percents))
    return price(
        shares=draw(shares), work=draw(works), way=draw(ways), extras=draw(free_lines), rates=draw(all_rates),
        terms=terms,
    )  # fmt: skip


@given(tapes())
def test_the_parts_add_up_to_the_total_whatever_the_numbers(tape: Tape) -> None:
    assert tape.net + sum(tax.amount for tax in tape.taxes) == tape.total
    assert sum(tax.base for tax in tape.taxes) == tape.net
    assert tape.sum_of_lines == (tape.total if tape.inclusive else tape.net)


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
    chance.shuffle(shuffled)  # type: ignore[attr-defined]
    assert totals(amounts, currency="EUR")[::2] == totals(shuffled, currency="EUR")[::2]


@given(tapes())
def test_the_margin_is_what_is_left_of_the_net(tape: Tape) -> None:
    assert tape.inside is not None
    assert tape.inside.margin + tape.inside.cost + tape.inside.overhead == tape.net
